"""A station and a grower in one kitchen, for tests of what they make of each other."""

from datetime import datetime, timedelta
from pathlib import Path

from station.domain.jars import Jar, Judged, Judgement, Strained
from station.domain.outlook import Outlook
from station.store.notebook import Notebook
from tests.builders import START, a_reading
from tests.daemon.world import Stand, a_stand
from tests.left_open import closed_after

STEP_MIN = 20


class Kitchen:
    """A station and a grower, twenty minutes at a time."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.stand: Stand = a_stand(folder)
        self.grower = closed_after(Notebook.open(folder / "notebook.db"))
        self.minute = 0

    @property
    def now_at(self) -> datetime:
        return START + timedelta(minutes=self.minute)

    def lives(self, days: float, temp_c: float = 20.0) -> None:
        for _ in range(round(days * 1440 / STEP_MIN)):
            self.minute += STEP_MIN
            self.stand.station.take(a_reading(self.minute, temp_c, span_s=60.0 * STEP_MIN))

    def sleeps(self, days: float) -> None:
        self.minute += round(days * 1440)

    def packs(self, plant: str, at: datetime | None = None) -> Jar:
        return self.grower.pack(plant, at or self.now_at, 1000.0, now_at=self.now_at)

    def strains(self, jar: Jar, judgement: Judgement | None = None, at: datetime | None = None) -> None:
        self.grower.record(Strained(jar.id, at or self.now_at), now_at=self.now_at)
        if judgement is not None:
            self.judges(jar, judgement)

    def judges(self, jar: Jar, judgement: Judgement | None) -> None:
        self.grower.record(Judged(jar.id, self.now_at, judgement), now_at=self.now_at)

    def outlook(self, jar: Jar) -> Outlook:
        return next(one for one in self.stand.station.memory.outlooks if one.jar_id == jar.id)

    def likely_at(self, jar: Jar) -> datetime:
        at = self.outlook(jar).ready_likely_at
        assert at is not None
        return at

    def moved_h(self, jar: Jar, before_at: datetime) -> float:
        return (self.likely_at(jar) - before_at) / timedelta(hours=1)

    def ends(self) -> None:
        self.grower.close()
        self.stand.end()
