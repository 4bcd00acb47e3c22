"""The button in a running station: a press takes note, holding puts off until morning, each at the next minute."""

from datetime import UTC, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from hardware.button import Press
from station.cli.button_answers import ButtonAnswers
from station.domain.alert import next_morning
from tests.daemon.world import Stand, a_stand, steady

LISBON = ZoneInfo("Europe/Lisbon")


class Finger:
    """A button and who presses it."""

    def __init__(self) -> None:
        self.presses: list[Press] = []

    def take(self) -> tuple[Press, ...]:
        taken, self.presses = tuple(self.presses), []
        return taken


@pytest.fixture
def cold(tmp_path: Path):
    """A cold station with one open alert, and its button."""
    stand = a_stand(tmp_path, steady(12.0))
    finger = Finger()
    stand.station._hear = ButtonAnswers(finger, stand.notebook, stand.clock.now, time(6, 30), LISBON)
    stand.live(40)
    assert [str(alert.kind) for alert in stand.station.memory.alerts] == ["cold"]
    yield stand, finger
    stand.end()


def test_a_press_takes_note_of_what_is_open(cold: tuple[Stand, Finger]):
    stand, finger = cold
    finger.presses.append(Press.ACKNOWLEDGE)
    stand.live(1)
    (alert,) = stand.station.memory.alerts
    assert alert.acknowledged_at is not None
    assert alert.put_off_until_at is None


def test_holding_puts_off_until_morning(cold: tuple[Stand, Finger]):
    stand, finger = cold
    finger.presses.append(Press.LATER)
    stand.live(1)
    (alert,) = stand.station.memory.alerts
    assert alert.put_off_until_at == datetime(2026, 5, 5, 5, 30, tzinfo=UTC)  # 06:30 summer time in Lisbon


def test_a_press_with_nothing_open_writes_nothing(tmp_path: Path):
    stand = a_stand(tmp_path)
    finger = Finger()
    finger.presses.append(Press.ACKNOWLEDGE)
    stand.station._hear = ButtonAnswers(finger, stand.notebook, stand.clock.now, time(6, 30), LISBON)
    stand.live(2)
    assert stand.notebook.answers(stand.clock.now() - timedelta(days=1)) == ()
    stand.end()


@pytest.mark.parametrize(
    ("at", "expected"),
    [
        ("2026-05-04T02:00+00:00", "2026-05-04T05:30+00:00"),
        ("2026-05-04T05:30+00:00", "2026-05-05T05:30+00:00"),
        ("2026-05-04T22:00+00:00", "2026-05-05T05:30+00:00"),
        ("2026-10-24T22:00+00:00", "2026-10-25T06:30+00:00"),  # the clock goes back that night
        ("2026-03-28T22:00+00:00", "2026-03-29T05:30+00:00"),  # and forward that one
    ],
)
def test_the_next_morning(at: str, expected: str):
    found = next_morning(datetime.fromisoformat(at), time(6, 30), LISBON)
    assert found == datetime.fromisoformat(expected)
    assert timedelta(0) < found - datetime.fromisoformat(at) <= timedelta(days=1, hours=1)
