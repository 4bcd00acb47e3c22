"""SenML against the values of the examples in RFC 8428 (section 5.1), written down here in our own arrangement.

The expected side of each pair is the resolved form that the RFC's rules give (section 4.6), as in its section 5.1.4.
"""

import json
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from station.senml import Record, Value, decode, encode

NOW = datetime(2026, 5, 4, 6, 0, tzinfo=UTC)
OW = "urn:dev:ow:10e2073a01080063"


def at(seconds: float) -> datetime:
    return datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=seconds)


def facts(pack: str) -> list[tuple[str, str, Value, datetime | None]]:
    return [(one.name, one.unit, one.value, one.at) for one in decode(pack, NOW)]


def a_pack(*items: dict[str, Any]) -> str:
    return json.dumps(items)


def test_a_single_data_point_is_of_about_now() -> None:
    """Section 5.1.1."""
    assert facts(a_pack({"n": OW, "u": "Cel", "v": 23.1})) == [(OW, "Cel", 23.1, NOW)]


def test_two_quantities_of_about_now_share_a_base_name() -> None:
    """Section 5.1.2, first example: a time of 0 means about now."""
    pack = a_pack(
        {"bn": OW + ":", "n": "voltage", "t": 0, "u": "V", "v": 120.1}, {"n": "current", "t": 0, "u": "A", "v": 1.2}
    )
    assert facts(pack) == [(OW + ":voltage", "V", 120.1, NOW), (OW + ":current", "A", 1.2, NOW)]


def test_the_past_counts_back_from_the_base_time_and_resolves_in_the_order_of_time() -> None:
    """Section 5.1.2, second example: base time 1276020076.001, base unit A, version 5, currents up to 5 s back."""
    currents = (1.2, 1.3, 1.4, 1.5, 1.6, 1.7)
    head = {"bn": OW + ":", "bt": 1276020076.001, "bu": "A", "bver": 5, "n": "voltage", "u": "V", "v": 120.1}
    items = [{"n": "current", "t": second - 5, "v": value} for second, value in enumerate(currents)]
    records = decode(a_pack(head, *items), NOW)
    assert [(one.value, one.at) for one in records if one.unit == "A"] == [
        (value, at(1276020071.001 + second)) for second, value in enumerate(currents)
    ]
    assert (OW + ":voltage", "V", 120.1, at(1276020076.001)) in [(r.name, r.unit, r.value, r.at) for r in records]
    assert {one.version for one in records} == {5}


def test_one_sensor_s_series_needs_no_names_of_its_own() -> None:
    """Section 5.1.3, shortened: humidity with positions between, one base time, own units beside the base unit."""
    pack = a_pack(
        {"bn": OW, "bt": 1320067464, "bu": "%RH", "v": 20.0, "t": 0},
        {"v": 24.30621, "u": "lon", "t": 0},
        {"v": 60.07965, "u": "lat", "t": 0},
        {"v": 20.3, "t": 60},
        {"v": 98.0, "u": "%EL", "t": 150},
        {"v": 21.2, "t": 180},
    )
    assert facts(pack) == [  # section 5.1.4 gives these as the resolved form
        (OW, "%RH", 20.0, at(1320067464)),
        (OW, "lon", 24.30621, at(1320067464)),
        (OW, "lat", 60.07965, at(1320067464)),
        (OW, "%RH", 20.3, at(1320067524)),
        (OW, "%EL", 98.0, at(1320067614)),
        (OW, "%RH", 21.2, at(1320067644)),
    ]


def test_ninety_two_seconds_of_humidity() -> None:
    """The RFC's longer series: the last four of twelve values stand at 80, 90, 91 and 92 s."""
    late = {80: 21.7, 90: 21.5, 91: 21.5, 92: 21.5}
    pack = a_pack(
        {"bn": OW, "bt": 1320067464, "bu": "%RH", "v": 21.2, "t": 0}, *({"v": v, "t": t} for t, v in late.items())
    )
    assert facts(pack)[1:] == [(OW, "%RH", value, at(1320067464 + t)) for t, value in late.items()]


def test_text_truth_and_bytes_stand_beside_numbers() -> None:
    """Section 5.1.5: all four kinds of value. The third is false, which must not be lost."""
    pack = a_pack(
        {"bn": OW + ":", "n": "temp", "u": "Cel", "v": 23.1},
        {"n": "label", "vs": "Machine Room"},
        {"n": "open", "vb": False},
        {"n": "nfv-reader", "vd": "aGkgCg"},
    )
    assert [one.value for one in decode(pack, NOW)] == [23.1, "Machine Room", False, b"hi \n"]


def test_a_later_base_name_takes_over_and_the_base_time_stays() -> None:
    """Section 5.1.6: two devices in one pack."""
    pack = a_pack(
        {"bn": "2001:db8::2/", "bt": 1320078429, "n": "temperature", "u": "Cel", "v": 25.2},
        {"n": "humidity", "u": "%RH", "v": 30},
        {"bn": "2001:db8::1/", "n": "temperature", "u": "Cel", "v": 12.3},
        {"n": "humidity", "u": "%RH", "v": 67},
    )
    assert facts(pack) == [
        ("2001:db8::2/temperature", "Cel", 25.2, at(1320078429)),
        ("2001:db8::2/humidity", "%RH", 30, at(1320078429)),
        ("2001:db8::1/temperature", "Cel", 12.3, at(1320078429)),
        ("2001:db8::1/humidity", "%RH", 67, at(1320078429)),
    ]


def test_a_label_that_need_not_be_understood_is_passed_over() -> None:
    """The RFC's example with links: label `l`, which this reader does not know."""
    pack = a_pack(
        {"bn": OW + ":", "bt": 1320078429, "l": '[{"href":"humidity"}]', "n": "temperature", "v": 27.2, "u": "Cel"},
        {"n": "humidity", "v": 80, "u": "%RH"},
    )
    assert facts(pack) == [
        (OW + ":temperature", "Cel", 27.2, at(1320078429)),
        (OW + ":humidity", "%RH", 80, at(1320078429)),
    ]


def test_a_record_of_base_values_alone_gives_no_record() -> None:
    """The RFC's thermostat: the base name stands in a record of its own."""
    pack = a_pack({"bn": OW + ":"}, {"n": "temp", "u": "Cel", "v": 23.1}, {"n": "heat", "u": "/", "v": 1})
    assert facts(pack) == [(OW + ":temp", "Cel", 23.1, NOW), (OW + ":heat", "/", 1, NOW)]


def test_own_absolute_times_need_no_base_time_and_a_unit_without_base_does_not_carry_over() -> None:
    """The RFC's pair of readings 15 s apart, once with every name written and once with a base name."""
    items = [{"t": 1276020076, "v": 23.5, "u": "Cel"}, {"t": 1276020091, "v": 23.6, "u": "Cel"}]
    expected = [(OW, "Cel", 23.5, at(1276020076)), (OW, "Cel", 23.6, at(1276020091))]
    assert facts(a_pack(*({"n": OW, **item} for item in items))) == expected
    assert facts(a_pack({"bn": OW, **items[0]}, items[1])) == expected
    assert facts(a_pack({"bn": OW, **items[0]}, {"t": 1276020091, "v": 23.6}))[1][1] == ""


def test_lamps_set_to_full_and_dimmed_a_tenth_of_a_second_later() -> None:
    """Section 5.1.7: actuators, with a base time written with an exponent."""
    pack = (
        '[{"bt":1.320078429e+09,"bu":"/","n":"2001:db8::3","v":0.5},{"n":"2001:db8::4","v":0.5},'
        '{"n":"2001:db8::3","t":0.1,"v":0},{"n":"2001:db8::4","t":0.1,"v":0}]'
    )
    assert facts(pack) == [
        ("2001:db8::3", "/", 0.5, at(1320078429)),
        ("2001:db8::4", "/", 0.5, at(1320078429)),
        ("2001:db8::3", "/", 0, at(1320078429.1)),
        ("2001:db8::4", "/", 0, at(1320078429.1)),
    ]


@pytest.mark.parametrize("seconds", [2.0**28, 1.8e9])
def test_a_time_from_two_to_the_twenty_eight_on_is_absolute(seconds: float) -> None:
    """Section 4.5.3."""
    assert facts(a_pack({"n": "a", "v": 1, "t": seconds}))[0][3] == at(seconds)


@pytest.mark.parametrize("seconds", [2.0**28 - 1, 10.0, 0.0, -10.0])
def test_a_time_below_that_counts_from_now_and_so_does_its_sum_with_a_base_time(seconds: float) -> None:
    """Section 4.5.3."""
    expected = NOW + timedelta(seconds=seconds)
    assert facts(a_pack({"n": "a", "v": 1, "t": seconds}))[0][3] == expected
    assert facts(a_pack({"bt": seconds - 1, "n": "a", "v": 1, "t": 1}))[0][3] == expected


def test_base_value_and_base_sum_are_added_and_a_missing_part_counts_as_nought() -> None:
    """Sections 4.1 and 4.5.4."""
    records = decode(a_pack({"bv": 20, "bs": 100, "n": "a", "v": 1.5, "s": 5}, {"n": "b"}, {"n": "c", "bv": 0}), NOW)
    assert [(one.value, one.sum) for one in records] == [(21.5, 105), (20, 100), (0, 100)]


def test_the_rfc_s_multiple_types_survive_being_written_again() -> None:
    records = (
        Record("a:n", "Cel", 23.1),
        Record("a:s", value=""),
        Record("a:b", value=False),
        Record("a:d", value=b""),
    )
    assert [one.value for one in decode(encode(records, "a:"), NOW)] == [23.1, "", False, b""]
