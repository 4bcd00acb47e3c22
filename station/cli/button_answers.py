"""The push button as an answer: what a person did with it becomes a row of the notebook, like any other answer."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, time
from typing import TYPE_CHECKING, Protocol
from zoneinfo import ZoneInfo

from hardware.button import Press
from station.domain.alert import next_morning
from station.ports import Answer

if TYPE_CHECKING:
    from station.domain.alert import Alert
    from station.store.notebook import Notebook


class Pressed(Protocol):
    """Something with a button."""

    def take(self) -> tuple[Press, ...]:
        """Return what was done with it since the last call."""
        ...


@dataclass(frozen=True, slots=True)
class ButtonAnswers:
    """Called every minute: answers the open alerts as the button was used meanwhile.

    Args:
        button: the button.
        notebook: where answers are kept.
        now: returns the time, aware UTC.
        morning: until when a held button puts off, local time of day.
        zone: the local zone.
    """

    button: Pressed
    notebook: "Notebook"
    now: Callable[[], datetime]
    morning: time
    zone: ZoneInfo

    def __call__(self, alerts: "tuple[Alert, ...]") -> None:
        """Answer these alerts."""
        for press in self.button.take():
            # dated as minutes are: it must not come after the one in which it is heard
            at = self.now().replace(microsecond=0)
            until_at = next_morning(at, self.morning, self.zone) if press is Press.LATER else None
            for alert in alerts:
                self.notebook.answer(Answer(alert.id, at, until_at))
