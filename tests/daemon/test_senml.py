import json
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.errors import PackError
from station.senml import Record, decode, encode

NOW = datetime(2026, 5, 4, 6, 0, tzinfo=UTC)
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
FINITE = st.floats(allow_nan=False, allow_infinity=False)
NAMES = st.from_regex(r"[A-Za-z0-9][A-Za-z0-9\-:./_]{0,20}", fullmatch=True)
TEXT = st.text(st.characters(codec="utf-8"), max_size=20)
TIMES = st.integers(300_000_000_000_000, 4_290_000_000_000_000).map(lambda us: EPOCH + timedelta(microseconds=us))
VALUES = FINITE | st.booleans() | TEXT | st.binary(max_size=20)
RECORDS = st.builds(Record, NAMES, TEXT, VALUES, TIMES, st.none() | FINITE, st.none() | FINITE)


@given(st.lists(RECORDS, min_size=1, max_size=6))
def test_what_is_written_is_read_back_in_the_order_of_time(records: list[Record]) -> None:
    assert decode(encode(records), NOW) == tuple(sorted(records, key=lambda one: one.at or NOW))


def test_a_base_name_and_a_common_time_are_written_once() -> None:
    records = [Record("shelf/temperature", "Cel", 20.5, NOW), Record("shelf/humidity", "%RH", 55, NOW)]
    assert json.loads(encode(records, "shelf/")) == [
        {"bn": "shelf/", "bt": 1777874400, "n": "temperature", "u": "Cel", "v": 20.5},
        {"n": "humidity", "u": "%RH", "v": 55},
    ]


def test_a_record_without_a_time_is_of_about_now_even_beside_one_with_a_time() -> None:
    read = decode(encode([Record("a", value=1, at=NOW - timedelta(hours=1)), Record("b", value=2)]), NOW)
    assert [one.at for one in read] == [NOW - timedelta(hours=1), NOW]


@pytest.mark.parametrize(
    "record",
    [
        Record("", value=1),
        Record("-a", value=1),
        Record("a b", value=1),
        Record("ä", value=1),
        Record("a"),
        Record("a", value=float("nan")),
        Record("a", value=float("inf")),
        Record("a", value=1, sum=float("nan")),
        Record("a", value=1, at=datetime(1970, 1, 1, tzinfo=UTC)),
        Record("a", value=1, version=11),
    ],
)
def test_what_may_not_be_written_is_refused(record: Record) -> None:
    with pytest.raises(PackError):
        encode([record])


def test_an_empty_pack_is_neither_written_nor_read() -> None:
    with pytest.raises(PackError):
        encode([])
    with pytest.raises(PackError):
        decode("[]", NOW)


@pytest.mark.parametrize(
    "pack",
    [
        "",
        "{}",
        "[1]",
        '[{"n":"a","v":1}',
        '[{"n":"a","v":NaN}]',
        '[{"n":"a","v":1e999}]',
        '[{"n":"a","v":1' + 400 * "0" + "}]",
        '[{"n":"a","v":"1"}]',
        '[{"n":"a","v":true}]',
        '[{"n":"a","v":null}]',
        '[{"n":"a","v":1,"v":2}]',
        '[{"n":"a","v":1,"vs":"b"}]',
        '[{"n":"a","vb":0}]',
        '[{"n":"a","vs":1}]',
        '[{"n":"a","vd":"a"}]',
        '[{"n":"a","vd":"+/=="}]',
        '[{"n":"a","u":"Cel"}]',
        '[{"n":"a","t":1e300,"v":1}]',
        '[{"n":1,"v":1}]',
        '[{"v":1}]',
        '[{"n":"_a","v":1}]',
        '[{"n":"a b","v":1}]',
        '[{"bt":"now","n":"a","v":1}]',
        '[{"bver":11,"n":"a","v":1}]',
        '[{"bver":0,"n":"a","v":1}]',
        '[{"bver":true,"n":"a","v":1}]',
        '[{"bver":5.0,"n":"a","v":1}]',
        '[{"n":"a","v":1},{"bver":5,"n":"a","v":1}]',
        '[{"n":"a","v":1,"must_":1}]',
        '[{"bn":"a","must_":1},{"v":1}]',
        100_000 * "[",
        b"\xff\xfe[\x00",
        '[{"n":"a","v":1}]'.encode("utf-16"),
    ],
)
def test_what_breaks_the_rules_is_refused_with_a_reason(pack: str | bytes) -> None:
    with pytest.raises(PackError) as caught:
        decode(pack, NOW)
    assert caught.value.what
    assert caught.value.remedy


@pytest.mark.parametrize("version", [1, 5, 10])
def test_an_older_version_is_read_and_remembered(version: int) -> None:
    pack = f'[{{"bver":{version},"n":"a","v":1}},{{"n":"b","v":1}}]'
    assert {one.version for one in decode(pack, NOW)} == {version}
    assert decode(encode(decode(pack, NOW)), NOW) == decode(pack, NOW)
