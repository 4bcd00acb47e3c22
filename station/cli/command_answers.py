"""Answers that come by the broker's command topic become rows of the notebook, like any other answer."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from station.daemon import JudgedMinute
    from station.ports import Answer
    from station.store.notebook import Notebook


class Answering(Protocol):
    """Something that hears what people want done about alerts."""

    def answers(self) -> "tuple[Answer, ...]":
        """Return what was asked for since the last call."""
        ...


@dataclass(frozen=True, slots=True)
class CommandAnswers:
    """Called after each minute: keeps what was asked for meanwhile, as far as it is about an alert that is open.

    Args:
        publisher: where commands come in.
        notebook: where answers are kept.
    """

    publisher: Answering
    notebook: "Notebook"

    def __call__(self, judged: "JudgedMinute") -> None:
        """Keep the answers."""
        known = {alert.id for alert in judged.memory.alerts}
        for answer in self.publisher.answers():
            if answer.alert_id in known:
                self.notebook.answer(answer)
