"""What happened in a minute, put into messages: events for programs, sentences for people, and how things now stand."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from station import messages
from station.alerts import Change
from station.config import Settings
from station.domain.alert import Alert
from station.domain.jars import Jar
from station.domain.outlook import Outlook
from station.domain.readings import Reading
from station.domain.sentences import alert_sentence, flood_sentence, left_out
from station.ports import Message


@dataclass(frozen=True, slots=True)
class News:
    """What happened in a minute, as far as others may want to hear of it.

    Args:
        reading: the minute's reading.
        changes: what happened to alerts.
        summary: whether those that notify go out as one summary.
        moved: alerts that are no longer as they were, those that changed among them.
        alerts: the open alerts after it.
        outlooks: what is thought of the jars after it.
        judged: the outlooks that are worth telling.
        afresh: whether earlier times have moved, so that all must be told again.
        jars: the jars by id.
    """

    reading: Reading
    changes: tuple[Change, ...]
    summary: bool
    moved: tuple[Alert, ...]
    alerts: tuple[Alert, ...]
    outlooks: tuple[Outlook, ...]
    judged: tuple[Outlook, ...]
    afresh: bool
    jars: Mapping[str, Jar]


class Words:
    """Puts news into messages as this station's settings have them."""

    def __init__(self, settings: Settings) -> None:
        self._station = settings.station
        self._zone = settings.zone
        self._unit = settings.units.temperature

    def events(self, news: News) -> list[Message]:
        """Return an event for each change."""
        return [
            messages.event(
                one.alert, one.happening, self._sentence(one.alert, news.jars, one.at), one.at, notify=one.notify
            )
            for one in news.changes
        ]

    def notices(self, news: News) -> list[str]:
        """Return what people are to be told."""
        told = [change.alert for change in news.changes if change.notify]
        if news.summary:
            return [flood_sentence(told, {jar_id: _name(jar_id, news.jars) for jar_id in news.jars})]
        return [self._sentence(alert, news.jars, news.reading.measured_at) for alert in told]

    def instead(self, dropped: tuple[Message, ...], target: str | None, at: datetime) -> Message:
        """Return the summary that stands for messages which could not be sent for long."""
        first_at = dropped[0].created_at
        text = left_out(first_at, self._zone)
        return messages.summary(dropped, text, at) if target is None else messages.for_person(target, text, first_at)

    def standing(self, news: News, gone: frozenset[str]) -> list[Message]:
        """Return the latest reading, and of the retained topics those that have changed.

        Args:
            news: what happened; `afresh` returns all topics.
            gone: jars that were here before and may have topics still.
        """
        at, jars = news.reading.measured_at, news.jars
        said = messages.readings(news.reading, self._station)
        found = [] if said is None else [said]
        if news.afresh:
            found += messages.not_raised(news.alerts, {*jars, *gone}, at)
        alerts = news.alerts if news.afresh else news.moved
        found += [messages.alert_state(alert, self._sentence(alert, jars, at + _LATER), at) for alert in alerts]
        here = {outlook.jar_id for outlook in news.outlooks}
        found += [messages.jar_gone(jar_id, at) for jar_id in sorted(gone - here)]
        shown = news.outlooks if news.afresh else news.judged
        return found + [messages.jar_state(jars[one.jar_id], one) for one in shown if one.jar_id in jars]

    def _sentence(self, alert: Alert, jars: Mapping[str, Jar], at: datetime) -> str:
        return alert_sentence(alert, self._zone, self._unit, _name(alert.jar_id, jars), at)


_LATER = timedelta(days=1)
"""A retained sentence is read whenever somebody looks: it names the day, and says of when its number is."""


def _name(jar_id: str, jars: Mapping[str, Jar]) -> str:
    """Return what a jar is called: its plant, and its id too where another jar of the plant stands beside it."""
    if jar_id not in jars:
        return jar_id
    plant = jars[jar_id].plant
    alone = sum(jar.plant == plant for jar in jars.values()) == 1
    return plant if alone else f"{plant} ({jar_id})"
