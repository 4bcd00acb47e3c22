"""When to pick and when the sun comes: the pages' words over times that a second source gives."""

from dataclasses import replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from dashboard.views.manner import Manner
from dashboard.views.tomorrow import picking_text, sun_text
from station.domain.coming_sun import ComingSun
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
    assert sun_text(None, EVENING, nowhere) == ""


def test_in_the_polar_night_there_is_no_window() -> None:
    north = Manner(ZoneInfo("UTC"), place=Place(78.2, 15.6))

    assert "does not rise" in picking_text(datetime(2026, 12, 20, 12, tzinfo=ZoneInfo("UTC")), north)


def spell(day: int, hour: int) -> SunSpell:
    began_at = datetime(2026, 5, day, hour, 10, tzinfo=ZoneInfo("America/Denver"))
    return SunSpell(began_at, began_at + timedelta(minutes=30))


def test_the_sun_is_named_for_today_until_it_is_over_and_for_tomorrow() -> None:
    assert DENVER.place is not None
    windows = sun_windows(DENVER.place, [spell(day, 15) for day in (11, 12, 13)], spell(13, 20).ended_at)
    sun = ComingSun(windows, (spell(14, 15),), (spell(15, 15),))

    before, after = sun_text(sun, spell(14, 8).began_at, DENVER), sun_text(sun, spell(14, 20).began_at, DENVER)

    assert before.startswith("Direct sun today 15:10 to 15:40 if the sky is clear. Direct sun tomorrow 15:10 to 15:40")
    assert after == "Direct sun tomorrow 15:10 to 15:40 if the sky is clear."


def test_a_shelf_that_has_seen_no_sun_says_nothing_of_it() -> None:
    assert sun_text(ComingSun((), (), ()), EVENING, DENVER) == ""
