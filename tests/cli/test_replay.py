"""`jarside replay`: the log through the station's own code."""

from datetime import datetime, timedelta
from pathlib import Path

import pytest

from tests.builders import START
from tests.cli.shell import a_log, a_steady_log, jarside, refused

JAR = f"comfrey@{START.isoformat()}"


def time_of(text: str) -> datetime:
    return datetime.fromisoformat(text)


@pytest.mark.parametrize("every_s", [60, 600, 3600])
def test_five_and_a_half_days_at_20_degrees_are_ready_at_their_end(tmp_path: Path, every_s: int) -> None:
    """5.5 d at 20 °C is the need of common practice; 1,716 °C·h at base 7 by arithmetic: 132 h × 13 °C."""
    log = a_steady_log(tmp_path, 20.0, 132, every_s)
    (jar,) = jarside("replay", log, "--jar", JAR, "--json").json["jars"]
    assert jar["degree_hours"] == pytest.approx(1716.0, rel=1e-3)
    assert jar["warm_days"] == pytest.approx(5.5, rel=1e-3)
    assert jar["observed_h"] == pytest.approx(132.0)
    assert jar["missing_h"] == 0.0
    assert time_of(jar["ready_at"]) == START + timedelta(hours=132)


def test_at_15_degrees_it_is_about_nine_days_and_less_certain(tmp_path: Path) -> None:
    """8.9 d: 5.5 × (20 − 7) / (15 − 7); the published bases of 4 to 10 °C put it anywhere from 8.0 to 11.0 d."""
    cool = jarside("replay", a_steady_log(tmp_path, 15.0, 120), "--jar", JAR, "--json").json["jars"][0]
    warm = jarside("replay", a_steady_log(tmp_path, 20.0, 120), "--jar", JAR, "--json").json["jars"][0]
    likely_d = (time_of(cool["ready"]["likely"]) - START) / timedelta(days=1)
    assert likely_d == pytest.approx(8.94, abs=0.15)
    widths = [time_of(jar["ready"]["late"]) - time_of(jar["ready"]["early"]) for jar in (cool, warm)]
    assert widths[0] > 1.4 * widths[1]
    assert cool["ready_at"] is None
    assert cool["caveats"]


def test_a_cold_night_is_a_condition_and_an_alert(tmp_path: Path) -> None:
    rows = [
        f"{(START + timedelta(minutes=minute)).isoformat()},{12.0 if 120 <= minute < 300 else 20.0},50,100"
        for minute in range(600)
    ]
    said = jarside("replay", a_log(tmp_path, *rows), "--json").json
    (alert,) = said["alerts"]
    assert alert["kind"] == "cold"
    assert alert["jar"] is None
    assert time_of(alert["raised_at"]) == START + timedelta(minutes=149)
    assert time_of(alert["cleared_at"]) == START + timedelta(minutes=329)
    assert alert["peak"] == 12.0
    assert said["shelf"]["hours"]["cold"] == pytest.approx(3.0)
    assert said["shelf"]["temp_c"] == {"min": 12.0, "mean": pytest.approx(17.6), "max": 20.0}


def test_what_if_stands_beside_the_plain_answer(tmp_path: Path) -> None:
    log = a_steady_log(tmp_path, 15.0, 72)
    said = jarside("replay", log, "--jar", JAR, "--shift-temp", "3", "--set", "limits.hot_c=17", "--json").json
    assert said["shelf"]["hours"].keys() == {"cold"}
    assert said["what_if"]["shelf"]["hours"].keys() == {"hot"}
    assert said["what_if"]["jars"][0]["warm_days"] > said["jars"][0]["warm_days"]
    assert "What if" in jarside("replay", log, "--shift-temp", "-2").out


def test_gaps_are_counted_and_a_jar_says_what_it_missed(tmp_path: Path) -> None:
    times = [START + timedelta(minutes=10 * number) for number in range(200) if not 50 <= number < 110]
    log = a_log(tmp_path, *(f"{at.isoformat()},20,," for at in times))
    said = jarside("replay", log, "--jar", JAR, "--json").json
    assert said["readings"]["gaps"] == 1
    jar = said["jars"][0]
    assert jar["bridged_h"] == pytest.approx(2.0)
    assert jar["missing_h"] == pytest.approx(8.0)
    assert jar["observed_h"] == pytest.approx(199 / 6 - 10.0, abs=1e-3)


def test_the_summary_reads_as_sentences(tmp_path: Path) -> None:
    out = jarside("replay", a_steady_log(tmp_path, 20.0, 132), "--jar", JAR).out
    assert "793 readings" in out
    assert "No alerts." in out
    assert "1,716 °C·h" in out


@pytest.mark.parametrize(
    ("rows", "fragments"),
    [
        (["2026-05-04T06:00:00,20,50,"], ["line 2", "time"]),
        (["yesterday,20,50,"], ["line 2", "yesterday"]),
        (["2026-05-04T06:00:00Z,400,50,"], ["line 2", "temp_c", "400"]),
        (["2026-05-04T06:00:00Z,20,130,"], ["line 2", "rh_pct", "130"]),
        (["2026-05-04T06:00:00Z,nan,50,"], ["line 2", "temp_c", "nan"]),
        (["2026-05-04T06:10:00Z,20,50,", "2026-05-04T06:00:00Z,20,50,"], ["line 3"]),
        (["2026-05-04T06:00:00Z,20,50,", "2026-05-04T06:00:00Z,20,50,"], ["line 3"]),
        (["2026-05-04T06:00:00Z,20,50,", "2026-05-04T06:10:0"], ["line 3"]),
    ],
)
def test_a_bad_row_stops_it_with_file_line_and_reason(tmp_path: Path, rows: list[str], fragments: list[str]) -> None:
    refused(jarside("replay", a_log(tmp_path, *rows)), "log.csv", *fragments)


def test_bad_rows_can_be_left_out_and_are_counted(tmp_path: Path) -> None:
    rows = ["2026-05-04T06:00:00Z,20,50,", "2026-05-04T06:10:00Z,400,50,", "2026-05-04T06:20:00Z,20,50,"]
    said = jarside("replay", a_log(tmp_path, *rows), "--skip-bad", "--json").json
    assert said["readings"]["count"] == 2
    assert said["readings"]["rejected"] == 1


def test_a_wrong_header_an_empty_file_and_a_missing_one_are_refused(tmp_path: Path) -> None:
    refused(jarside("replay", a_log(tmp_path, header="when,warmth")), "log.csv", "time,temp_c,rh_pct,light_lx")
    refused(jarside("replay", a_log(tmp_path)), "log.csv")
    refused(jarside("replay", tmp_path / "nowhere.csv"), "nowhere.csv")


def test_a_jar_that_cannot_be_understood_is_refused(tmp_path: Path) -> None:
    log = a_steady_log(tmp_path, 20.0, 24)
    refused(jarside("replay", log, "--jar", "comfrey"), "PLANT@TIME")
    refused(jarside("replay", log, "--jar", "comfrey@soon"), "soon")


def test_a_limit_that_is_not_allowed_is_refused(tmp_path: Path) -> None:
    log = a_steady_log(tmp_path, 20.0, 24)
    refused(jarside("replay", log, "--set", "limits.cold=14"), "limits.cold", "cold_c")
    refused(jarside("replay", log, "--set", "limits.cold_c=freezing"), "limits.cold_c", "freezing")
    refused(jarside("replay", log, "--set", "cold"), "section.key=value")


def test_a_jar_packed_after_the_log_says_that_its_warmth_is_unknown(tmp_path: Path) -> None:
    log = a_steady_log(tmp_path, 20.0, 24)
    assert "warmth unknown" in jarside("replay", log, "--jar", "comfrey@2027-01-01T00:00Z").out


def test_a_log_without_a_temperature_tells_no_warmth_and_no_range(tmp_path: Path) -> None:
    """It said "0.00 of about 5.5 warm-days" and "later than can be foreseen"."""
    times = [START + timedelta(hours=number) for number in range(200)]
    out = jarside("replay", a_log(tmp_path, *(f"{at.isoformat()},,50,100" for at in times)), "--jar", JAR).out
    assert out.rstrip().endswith("warmth not measured")
    assert "warm-days" not in out
    assert "range" not in out


def test_a_jar_packed_long_before_the_log_gets_a_sentence_instead_of_dates(tmp_path: Path) -> None:
    """By hand: ten days are 240 h, of which two are bridged; the first row's own ten minutes are measured."""
    log = a_steady_log(tmp_path, 20.0, 24)
    early = f"comfrey@{(START - timedelta(days=10)).isoformat()}"
    out = jarside("replay", log, "--jar", early).out
    assert out.endswith(
        "238 of 264 h since packing were not measured (the log begins Mon 4 May 06:00): no date can be told\n"
    )
    assert "range" not in out
    assert "strain  " not in out
    (jar,) = jarside("replay", log, "--jar", early, "--json").json["jars"]
    assert jar["missing_h"] == pytest.approx(240.0 - 2.0 - 1 / 6, abs=1e-3)
    assert jar["ready"] == {"early": None, "likely": None, "late": None}
    assert jar["ready_at"] is jar["strain_evening"] is None
    assert "no date can be told" in jar["caveats"][-1]


@pytest.mark.parametrize(("before_h", "log_h"), [(12, 24), (48, 72)])
def test_where_more_was_measured_than_missed_the_dates_stay(tmp_path: Path, before_h: int, log_h: int) -> None:
    log = a_steady_log(tmp_path, 20.0, log_h)
    out = jarside("replay", log, "--jar", f"comfrey@{(START - timedelta(hours=before_h)).isoformat()}").out
    assert "  range  " in out
    assert "readings are missing since packing" in out
    assert "no date can be told" not in out


def test_a_log_of_another_year_tells_its_year_and_in_whose_zone_its_times_are(tmp_path: Path) -> None:
    """The log has its own offset; its times are told in the zone of the settings, UTC here: 08:00 there is 06:00."""
    rows = [f"2020-12-18T{8 + minute // 60:02}:{minute % 60:02}:00+02:00,20,50," for minute in range(0, 121, 10)]
    head = jarside("replay", a_log(tmp_path, *rows)).out.splitlines()[0]

    assert head == "13 readings, Fri 18 Dec 2020 06:00 to Fri 18 Dec 2020 08:00 (times of UTC)"
