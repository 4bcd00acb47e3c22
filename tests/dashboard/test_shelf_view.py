from dataclasses import replace
from datetime import timedelta

import pytest

from dashboard.present import Present
from dashboard.shelf_drawing import Daylight
from dashboard.views.manner import Manner
from dashboard.views.shelf import Level, shelf_view, still_shown
from station.domain.alert import Alert, AlertKind
from station.domain.conditions import Kind, State
from station.domain.readings import Mark, Reading
from tests.builders import a_reading
from tests.dashboard.world import MANNER, a_jar, an_outlook, at

NOON = at(hours=6)


def a_present(reading: Reading | None = None, *states: State, alerts: tuple[Alert, ...] = ()) -> Present:
    return Present(reading or a_reading(360), states, alerts, {"comfrey-1": an_outlook()})


def test_a_good_shelf_has_a_good_lamp() -> None:
    view = shelf_view(a_present(), (), NOON, MANNER)

    assert view.verdict == "The shelf is fine: 20.0 °C, dark and dry."
    assert view.level is Level.GOOD
    assert view.measured is not None
    assert (view.measured.temp, view.measured.rh, view.measured.light) == ("20.0 °C", "55 %", "120 lx")
    assert view.measured.age == "just now"
    assert not view.measured.nothing


def test_a_raised_condition_asks_to_act_and_a_coming_one_to_watch() -> None:
    cold = State(Kind.COLD, True, since_at=at(hours=4), value=14.0)
    coming = replace(cold, raised=False, held_s=600.0)
    bright = State(Kind.BRIGHT, True, value=1400.0)

    assert shelf_view(a_present(None, cold), (), NOON, MANNER).level is Level.ACT
    assert shelf_view(a_present(None, coming), (), NOON, MANNER).level is Level.WATCH
    assert shelf_view(a_present(None, bright), (), NOON, MANNER).level is Level.WATCH


def test_a_missed_minute_does_not_yet_colour_the_lamp() -> None:
    missed = State(Kind.SILENT, False, held_s=60.0, since_at=NOON, value=1.0)

    assert shelf_view(a_present(None, missed), (), NOON, MANNER).level is Level.GOOD


def test_an_old_reading_means_that_the_station_is_not_writing() -> None:
    later = NOON + timedelta(hours=3)
    view = shelf_view(a_present(a_reading(360, marks=Mark.SUNLIT)), (), later, MANNER)

    assert view.verdict.startswith("The station is not writing: it last wrote 3 hours ago, at 13:00.")
    assert view.level is Level.OFF
    assert not view.sunlit


def test_a_reading_of_three_minutes_ago_is_still_the_present() -> None:
    assert shelf_view(a_present(), (), NOON + timedelta(minutes=3), MANNER).level is Level.GOOD
    assert shelf_view(a_present(), (), NOON + timedelta(minutes=3, seconds=1), MANNER).level is Level.OFF


def test_nothing_measured_yet_is_said_plainly() -> None:
    view = shelf_view(Present(None, (), (), {}), (), NOON, MANNER)

    assert view.verdict == "Nothing has been measured yet."
    assert view.level is Level.OFF
    assert view.measured is None


def test_a_quantity_that_was_not_measured_is_a_dash() -> None:
    view = shelf_view(a_present(a_reading(360, rh_pct=None, light_lx=None)), (), NOON, MANNER)

    assert view.measured is not None
    assert (view.measured.rh, view.measured.light) == ("–", "–")


def test_the_sun_falls_in_when_it_falls_on_the_sensor() -> None:
    assert shelf_view(a_present(a_reading(360, marks=Mark.SUNLIT)), (), NOON, MANNER).sunlit
    assert not shelf_view(a_present(), (), NOON, MANNER).sunlit


# At 50° N, 8° E on 4 May 2026 the sun rises at 03:59 and sets at 18:51 UTC (NREL's algorithm, worked out with pvlib).
@pytest.mark.parametrize(
    ("hour_utc", "daylight"),
    [(1, Daylight.NIGHT), (4, Daylight.DAWN), (12, Daylight.DAY), (18.7, Daylight.DUSK), (22, Daylight.NIGHT)],
)
def test_the_window_shows_the_hour_of_the_place(hour_utc: float, daylight: Daylight) -> None:
    now_at = at(hours=hour_utc - 6)

    assert shelf_view(a_present(), (), now_at, MANNER).daylight is daylight


@pytest.mark.parametrize(
    ("hour", "daylight"), [(3, Daylight.NIGHT), (7, Daylight.DAWN), (13, Daylight.DAY), (19, Daylight.DUSK)]
)
def test_without_a_place_the_window_goes_by_the_clock(hour: int, daylight: Daylight) -> None:
    nowhere = Manner(MANNER.zone)

    assert shelf_view(a_present(), (), at(hours=hour - 7), nowhere).daylight is daylight


def test_the_jar_that_stands_longest_comes_first() -> None:
    young, old = a_jar(id="mugwort-1", packed_at=at(2)), a_jar()

    assert [card.id for card in shelf_view(a_present(), (young, old), at(3), MANNER).jars] == ["comfrey-1", "mugwort-1"]


def test_alerts_of_jars_are_among_the_things_to_do_and_not_repeated() -> None:
    cold = Alert("cold-1", AlertKind.COLD, NOON, NOON, value=15.0)
    strain = Alert("strain-1", AlertKind.STRAIN, NOON, NOON, jar_id="comfrey-1")

    view = shelf_view(a_present(alerts=(strain, cold)), (), NOON, MANNER)

    assert [line.id for line in view.alerts] == ["cold-1"]


def test_a_jar_stays_on_the_page_while_it_stands_or_drains() -> None:
    draining = a_jar(strained_at=at(5))

    assert still_shown(a_jar(), at(30))
    assert still_shown(draining, at(6))
    assert not still_shown(draining, at(13))
    assert not still_shown(a_jar(strained_at=at(5), bottled_at=at(5.5)), at(6))
    assert not still_shown(a_jar(discarded_at=at(5)), at(6))
    assert not still_shown(a_jar(), at(-1))


@pytest.mark.parametrize(("count", "words"), [(0, ""), (1, "1 open alert"), (2, "2 open alerts")])
def test_open_alerts_are_told_beside_the_verdict(count: int, words: str) -> None:
    alerts = tuple(Alert(f"a{number}", AlertKind.COLD, at(0), at(0), value=14.0) for number in range(count))

    assert shelf_view(a_present(alerts=alerts), (), NOON, MANNER).amiss == words


@pytest.mark.parametrize(("count", "words"), [(0, ""), (1, "1 about a jar"), (2, "2 about jars")])
def test_alerts_about_jars_are_counted_beside_those_about_the_shelf(count: int, words: str) -> None:
    of_jars = tuple(Alert(f"s{number}", AlertKind.STRAIN, at(0), at(0), "comfrey-1") for number in range(count))
    view = shelf_view(a_present(alerts=of_jars), (), NOON, MANNER)

    assert (view.of_jars, view.alerts) == (words, ())
