"""Answers that come by the broker's command topic become rows of the notebook, like any other answer."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

import click

if TYPE_CHECKING:
    from station.domain.alert import Alert
    from station.ports import Answer
    from station.store.notebook import Notebook


class Answering(Protocol):
    """Something that hears what people want done about alerts."""

    def answers(self) -> "tuple[Answer, ...]":
        """Return what was asked for since the last call."""
        ...


@dataclass(frozen=True, slots=True)
class CommandAnswers:
    """Called every minute: keeps what was asked for meanwhile; says of what is about no open alert that it was not.

    Args:
        publisher: where commands come in.
        notebook: where answers are kept.
    """

    publisher: Answering
    notebook: "Notebook"

    def __call__(self, alerts: "tuple[Alert, ...]") -> None:
        """Keep the answers to these alerts."""
        known = {alert.id for alert in alerts}
        answers = self.publisher.answers()
        for answer in answers:
            if answer.alert_id in known:
                self.notebook.answer(answer)
        strange = next((answer.alert_id for answer in answers if answer.alert_id not in known), None)
        if strange is not None:  # one line a minute, whoever sends how many
            click.echo(f"A command was passed over: no alert {strange!r} is open. See: jarside alerts list.", err=True)
