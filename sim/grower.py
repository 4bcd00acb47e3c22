"""A grower of the model world: packs, looks, answers alerts, strains on the proposed evening, judges and bottles."""

import math
from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo

from station.daemon import JudgedMinute
from station.domain.alert import Alert
from station.domain.jars import Jar, Judged, Judgement, Noted, Strained
from station.domain.observations import Bubbles, Juice, Seen
from station.domain.outlook import Outlook
from station.ports import Answer
from station.store.bottles import Bottles, Fill
from station.store.notebook import Notebook

UP_H = (6.5, 22.5)
"""Local hours between which the grower is up."""
LOOKS_AFTER_H = (13.0, 60.0)
"""When a jar is looked at: for juice, and for bubbles; later if the grower sleeps."""
ANSWERS_AFTER = timedelta(minutes=40)
DRIPS = timedelta(hours=12)
BOTTLE_ML = 250.0
FULL_ML = 165.0


@dataclass(frozen=True, slots=True)
class Batch:
    """What is packed: days before the present, plant, grams of plant and of sugar, jar in mL.

    A forgotten one is not strained on its evening: everybody has one of those.
    """

    days_ago: float
    plant: str
    plant_g: float
    sugar_g: float
    jar_ml: float
    note: str = ""
    forgotten: bool = False


class Grower:
    """Someone with jars, so that there is a story.

    Args:
        notebook: written in as a person would.
        batches: when to pack what, in order of time.
        zone: for the hours in which the grower is up.
        answers: whether alerts are acknowledged, some time after they were told.
    """

    def __init__(
        self, notebook: Notebook, batches: Iterable[tuple[datetime, Batch]], zone: tzinfo, *, answers: bool = False
    ) -> None:
        self._notebook = notebook
        self._batches = deque(batches)
        self._zone = zone
        self._answers = answers
        self._to_look: list[tuple[datetime, str, Seen]] = []
        self._draining: list[Jar] = []
        self._forgotten: set[str] = set()
        self._answered: set[str] = set()

    def lives(self, judged: JudgedMinute) -> None:
        """Do what is due in this minute."""
        reading = judged.minute.reading
        if reading is None:
            return
        now_at = reading.measured_at
        if self._batches and self._batches[0][0] <= now_at:
            self._pack(self._batches.popleft()[1], now_at)
        for outlook in judged.memory.outlooks:
            self._strain_if_due(outlook, now_at)
        self._bottle_what_has_dripped(now_at)
        if self._up(now_at):
            self._look(now_at)
            self._answer(judged.memory.alerts, now_at)

    def _up(self, now_at: datetime) -> bool:
        local = now_at.astimezone(self._zone)
        return UP_H[0] <= local.hour + local.minute / 60.0 < UP_H[1]

    def _pack(self, batch: Batch, at: datetime) -> None:
        jar = self._notebook.pack(
            batch.plant, at, batch.jar_ml, now_at=at, plant_g=batch.plant_g, sugar_g=batch.sugar_g
        )
        if batch.forgotten:
            self._forgotten.add(jar.id)
        if batch.note:
            self._notebook.record(Noted(jar.id, at, batch.note), now_at=at)
        for after_h, seen in zip(LOOKS_AFTER_H, _SIGNS, strict=True):
            self._to_look.append((at + timedelta(hours=after_h), jar.id, seen))

    def _look(self, now_at: datetime) -> None:
        for look in [look for look in self._to_look if look[0] <= now_at]:
            self._to_look.remove(look)
            if self._notebook.jar(look[1]).on_shelf:
                self._notebook.record(Noted(look[1], now_at, "", look[2]), now_at=now_at)

    def _answer(self, alerts: Iterable[Alert], now_at: datetime) -> None:
        for alert in alerts if self._answers else ():
            told_at = alert.notified_at
            if alert.id not in self._answered and told_at is not None and now_at - told_at >= ANSWERS_AFTER:
                self._answered.add(alert.id)
                self._notebook.answer(Answer(alert.id, now_at))

    def _strain_if_due(self, outlook: Outlook, now_at: datetime) -> None:
        """Strain on the evening that the station proposed, once that evening has come."""
        if outlook.evening_at is None or now_at < outlook.evening_at or outlook.jar_id in self._forgotten:
            return
        jar = self._notebook.jar(outlook.jar_id)
        if not jar.on_shelf:
            return
        strained = self._notebook.record(Strained(jar.id, now_at), now_at=now_at)
        self._notebook.record(Judged(jar.id, now_at, Judgement.RIGHT), now_at=now_at)
        self._draining.append(strained)

    def _bottle_what_has_dripped(self, now_at: datetime) -> None:
        for jar in [jar for jar in self._draining if jar.strained_at and now_at - jar.strained_at > DRIPS]:
            self._draining.remove(jar)
            juice_ml = round((jar.plant_g or 200.0) * 0.9)
            Bottles(self._notebook).bottle_jar(jar.id, _fills(juice_ml), now_at, now_at=now_at)


_SIGNS = (Seen(juice=Juice.SOME), Seen(juice=Juice.COVERING, bubbles=Bubbles.FEW))


def _fills(juice_ml: float) -> list[Fill]:
    """Share juice out among bottles of a quarter litre, a third of each left for gas."""
    count = math.ceil(juice_ml / FULL_ML)
    return [Fill(juice_ml / count, BOTTLE_ML)] * count
