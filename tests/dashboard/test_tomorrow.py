"""When to pick and when the sun comes: the pages' words over times that a second source gives."""

from dataclasses import replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from dashboard.views.manner import Manner
from dashboard.views.tomorrow import picking_text, sun_text
from station.domain.sun import Place
from station.domain.sunwindow import SunSpell, sun_windows

DENVER = Manner(ZoneInfo("America/Denver"), place=Place(39.742476, -105.1786))
EVENING = datetime(2003, 10, 16, 20, 0, tzinfo=ZoneInfo("America/Denver"))


def test_tomorrows_picking_ends_two_hours_after_sunrise() -> None:
    """Sunrise 06:12:43 UTC-7 on 2003-10-17 there, which was summer time: 07:12 (NREL SPA report, its example)."""
    said = picking_text(EVENING, DENVER)

    assert "to 09:12 on Fri 17 Oct" in said


def test_while_this_mornings_window_lasts_it_is_named() -> None:
    assert "on Fri 17 Oct" in picking_text(EVENING + timedelta(hours=12), DENVER)
    assert "on Sat 18 Oct" in picking_text(EVENING + timedelta(hours=14), DENVER)


def test_without_a_place_nothing_is_said() -> None:
    nowhere = replace(DENVER, place=None)

    assert picking_text(EVENING, nowhere) == ""
    assert sun_text((), EVENING, nowhere) == ""


def test_in_the_polar_night_there_is_no_window() -> None:
    north = Manner(ZoneInfo("UTC"), place=Place(78.2, 15.6))

    assert "does not rise" in picking_text(datetime(2026, 12, 20, 12, tzinfo=ZoneInfo("UTC")), north)


def test_the_sun_is_expected_when_it_came_on_the_days_before() -> None:
    days = [datetime(2026, 6, day, 20, 0, tzinfo=ZoneInfo("UTC")) for day in (10, 11, 12)]
    assert DENVER.place is not None
    windows = sun_windows(DENVER.place, [SunSpell(day, day + timedelta(minutes=40)) for day in days], days[-1])

    said = sun_text(windows, days[-1] + timedelta(hours=2), DENVER)

    assert said.startswith(("The sun reaches the shelf tomorrow 14:0", "The sun reaches the shelf tomorrow 13:5"))
    assert said.endswith("if the sky is clear.")
