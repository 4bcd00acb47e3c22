"""Set-up in words: health, corrections and their age, what was set and is not in use yet."""

from datetime import timedelta

import pytest

from dashboard.views.settings import changes
from dashboard.views.setup import Card, Health, bytes_text, setup_view, span_text
from station.config import Settings
from station.domain.corrections import Correction, Quantity
from station.domain.heartbeat import Heartbeat
from station.domain.readings import ProbeReading
from station.store.summaries import Samples
from tests.builders import a_reading
from tests.dashboard.world import MANNER, SETTINGS, at

NOW = at(7)
CARD = Card(free=12_300_000_000, log=183_000_000, notebook=45_056)


def a_beat(**changes: object) -> Heartbeat:
    values = {"at": NOW, "version": "1.2", "uptime_s": 7200.0, "clock_trusted": True, "last_reading_at": NOW}
    return Heartbeat(**(values | changes))  # type: ignore[arg-type]


def a_correction(age: timedelta, quantity: Quantity = Quantity.HUMIDITY) -> Correction:
    return Correction("shelf-air", quantity, 1.0, 2.5, 0.0, (), NOW - age)


def shown(health: Health, settings: Settings = SETTINGS, version: str = "1.2"):  # type: ignore[no-untyped-def]
    return setup_view(health, settings, settings, version, NOW, MANNER)


def test_a_healthy_station_has_nothing_to_mind() -> None:
    reading = a_reading(7 * 1440, probes=(ProbeReading("jar-1", 19.5),))
    view = shown(Health(a_beat(), reading, Samples(980, 20, 1440), CARD, ()))

    assert view.warnings == ()
    assert dict(view.station) == {
        "Station": "version 1.2, up 2 h",
        "Last reading": "Mon 11 May 07:00 (just now)",
        "Clock": "right",
        "Pages": "version 1.2",
    }
    assert dict(view.sensors)["Samples of the last day"] == "98 % good"
    assert dict(view.sensors)["Probe jar-1"] == "19.5 °C"
    assert dict(view.card) == {"Free space": "12 GB", "Shelf log": "183 MB", "Notebook": "45 kB"}


def test_what_is_wrong_is_said_with_what_to_do() -> None:
    beat = a_beat(at=NOW - timedelta(hours=2), clock_trusted=False, version="1.1")
    health = Health(beat, a_reading(), Samples(50, 50, 100, 4), Card(400_000_000, 0, 0), ())
    view = shown(health, SETTINGS.model_validate({}))

    words = " ".join(view.warnings)
    assert "clock is not known to be right" in words
    assert "Only 50 % of the samples were good. Ask each part: jarside probe." in words
    assert "different versions: restart both" in words
    assert "nearly full: 400 MB free" in words
    assert "The place is not set" in words
    assert len(view.warnings) == 6  # and that the station is not writing, in the domain's own words
    assert ("Times not trusted", "4 of 100 readings") in view.sensors


def test_before_the_first_minute_there_is_little_to_say() -> None:
    view = shown(Health(None, None, Samples(), Card(None, 0, 0), ()))

    assert view.station[0] == ("Station", "not started yet")
    assert view.sensors == (("Samples of the last day", "none"),)
    assert view.card[0] == ("Free space", "not known")


def test_a_humidity_correction_wants_doing_again_after_a_year() -> None:
    """AM2302 data sheet: drifts by 0.5 %RH a year; light corrections keep."""
    ages = (a_correction(timedelta(days=364)), a_correction(timedelta(days=366)))
    light = a_correction(timedelta(days=900), Quantity.LIGHT)
    view = shown(Health(a_beat(), None, Samples(), CARD, (*ages, light)))

    assert [one.due for one in view.corrections] == [False, True, False]
    assert "366 days ago" in view.corrections[1].age


@pytest.mark.parametrize(
    ("count", "text"),
    [(0, "0 bytes"), (999, "999 bytes"), (1500, "1.5 kB"), (45_056, "45 kB"), (2_400_000_000, "2.4 GB")],
)
def test_bytes_in_words(count: int, text: str) -> None:
    assert bytes_text(count) == text


@pytest.mark.parametrize(("seconds", "text"), [(90, "2 min"), (7200, "2 h"), (200_000, "2 days")])
def test_spans_in_words(seconds: float, text: str) -> None:
    assert span_text(seconds) == text


def test_what_was_set_since_the_start_is_listed() -> None:
    now = SETTINGS.model_validate(
        {"limits": {"cold_c": 14.5}, "strain": {"days_away": ["tue"]}, "place": SETTINGS.place.model_dump()}
    )

    assert [(one.name, one.used, one.set) for one in changes(SETTINGS, now)] == [
        ("limits.cold_c", "15.6", "14.5"),
        ("strain.days_away", "not set", "tue"),
    ]
    assert changes(SETTINGS, SETTINGS) == ()
