"""The learned sun window against the model world's window, a month after it was learned.

The places are such that the window's side lets the sun in all the while. Further south its top takes over within the
month, an edge that nobody has met yet, and the expected time is then further off.
"""

import random
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

import pytest

from sim.replay import FixedNotebook, NoSignal
from sim.rig import rig_of, settings_of
from sim.scenario import load
from sim.window import Window, reaches_shelf
from station.daemon import Station
from station.domain.sun import Place, sun_position
from station.domain.sunwindow import expected_sun, spells_of, sun_windows
from station.ports import Rig
from station.store.shelf_log import ShelfLog
from station.store.shelf_reader import ShelfReader
from station.store.sun_seen import sun_seen

SILL = Window(azimuth_deg=255.0, width_m=0.9, height_m=1.0, sill_m=-0.05, distance_m=0.25, skyline_deg=8.0)
"""The window of the scenario of a sill in May."""


def sunny_minutes(place: Place, day: date) -> list[datetime]:
    ats = [datetime.combine(day, time(0), UTC) + timedelta(minutes=minute) for minute in range(1440)]
    return [at for at in ats if (sun := sun_position(place, at)).elevation_deg > 0.0 and reaches_shelf(SILL, sun)]


def clouded(minutes: list[datetime], chance: random.Random) -> list[datetime]:
    """A day of the model world's kind: overcast, or with a cloud before the sun for a while, or clear."""
    sky = chance.random()
    if sky < 0.3:
        return []
    if sky > 0.6:
        return minutes
    gone, lasts = chance.randrange(len(minutes)), chance.randrange(10, 60)
    return minutes[:gone] + minutes[gone + lasts :]


@pytest.mark.parametrize("place", [Place(50.0, 8.0), Place(60.0, 8.0)])
@pytest.mark.parametrize("first", [date(2026, 3, 10), date(2026, 8, 1)])
def test_a_month_later_the_sun_comes_within_ten_minutes(place: Place, first: date) -> None:
    chance = random.Random(7)
    days = [first + timedelta(days=day) for day in range(21)]
    ats = [at for day in days for at in clouded(sunny_minutes(place, day), chance)]
    (window,) = sun_windows(place, spells_of(ats), datetime.combine(days[-1], time(23), UTC))
    for ahead in (1, 15, 30):
        day = days[-1] + timedelta(days=ahead)
        expected = expected_sun(place, window, day, UTC)
        assert expected is not None
        assert abs(expected.began_at - sunny_minutes(place, day)[0]) <= timedelta(minutes=10)


def test_a_week_of_the_station_on_a_sill_tells_the_next_day_s_sun(tmp_path: Path) -> None:
    scenario = load("window-sill-may")
    settings, rig = settings_of(scenario), rig_of(scenario)
    place = scenario.place.almanac
    with ShelfLog.open(tmp_path / "shelf.db", durable=False) as log, log.batch():
        station = Station(settings, Rig(rig.clock, rig.sensors, None, NoSignal()), log, FixedNotebook())
        station.start()
        for _ in range(7 * 1440):
            station.tick()
    now_at = scenario.start_at + timedelta(days=7)
    sun = sun_seen(ShelfReader(tmp_path / "shelf.db"), place, settings.limits.sun_lx, now_at, settings.zone)
    (spell,) = sun.tomorrow
    truth = [at for at in sunny_minutes(place, (now_at + timedelta(days=1)).date()) if at.hour > 11]
    assert abs(spell.began_at - truth[0]) <= timedelta(minutes=10)
