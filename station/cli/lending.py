"""What the pages are lent: a player of the log, a test of the ways out, and where the settings are."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from dashboard.lent import Lent
from dashboard.playing import Moment, Played, Stretch
from station.config import Settings
from station.domain.way import Way

if TYPE_CHECKING:
    from station.daemon import JudgedMinute
    from station.domain.conditions import Kind


STEP_S = 300.0
"""A play looks at every five minutes, and where the sun comes or goes more often: a page is waiting for it, and the
shortest hold is five minutes long."""


def lent(settings: Settings, folder: Path, read: Callable[[bool], Settings] | None = None) -> Lent:
    """Return what the pages of one data folder are lent.

    Args:
        settings: of the station.
        folder: the data folder.
        read: reads the settings anew, with what was set on the pages or without; None where nothing can be set there.
    """

    def play(stretch: Stretch) -> Played:
        return played(folder / "shelf.db", stretch)

    def test() -> tuple[Way, ...]:
        from station.clock import SystemClock
        from station.rehearsal import rehearsed

        return rehearsed(settings, SystemClock())

    return Lent(play, test, read)


def played(path: Path, stretch: Stretch) -> Played:
    """Play a stretch of a shelf log through the station's rules.

    Args:
        path: the shelf log, which is only read.
        stretch: what is to be played, and how.

    Raises:
        StoreError: the log cannot be read.
    """
    from sim.replay import replay, shifted
    from sim.thinning import thinned
    from station.store.shelf_reader import ShelfReader

    begin_at = min((stretch.since_at, *(jar.packed_at for jar in stretch.jars)))
    kept = ShelfReader(path).readings(begin_at, stretch.until_at)
    readings = shifted(thinned(kept, STEP_S, stretch.settings.limits.limits()), stretch.shift_c)
    film = _Film(stretch)
    outcome = replay(
        readings, stretch.settings, stretch.jars, on_minute=film.look, needs=stretch.needs, judged=stretch.judged
    )
    return Played(
        count=film.count,
        moments=tuple(film.moments),
        alerts=tuple(one for one in outcome.alerts if one.cleared_at is None or one.cleared_at >= stretch.since_at),
        condition_h=tuple(film.condition_h.items()),
        outlooks=tuple(outlook for _, outlook in outcome.jars if outlook is not None),
        evenings=tuple(outcome.evenings.items()),
        foreseen=tuple(outcome.foreseen.items()),
    )


@dataclass
class _Film:
    """Keeps some moments of a play, evenly spread over its stretch."""

    stretch: Stretch
    count: int = 0
    moments: list[Moment] = field(default_factory=list)
    condition_h: dict["Kind", float] = field(default_factory=dict)
    _temps_c: list[float] = field(default_factory=list)
    _next_at: datetime | None = None

    def look(self, judged: "JudgedMinute") -> None:
        """Take in one minute; those before the stretch only warm the jars up."""
        reading = judged.minute.reading
        if reading is None or reading.measured_at < self.stretch.since_at:
            return
        self.count += 1
        raised = tuple(state.kind for state in judged.memory.shelf.states if state.raised)
        for kind in raised:
            self.condition_h[kind] = self.condition_h.get(kind, 0.0) + reading.span_s / 3600.0
        if reading.air_temp_c is not None:
            self._temps_c.append(reading.air_temp_c)
        if self._next_at is None or reading.measured_at >= self._next_at:
            self._keep(judged, raised)

    def _keep(self, judged: "JudgedMinute", raised: tuple["Kind", ...]) -> None:
        reading, memory = judged.minute.reading, judged.memory
        assert reading is not None  # noqa: S101 - `look` has seen to it
        alerts = tuple(alert.id for alert in memory.alerts)
        low_c, high_c = min(self._temps_c, default=None), max(self._temps_c, default=None)
        self._temps_c.clear()
        self.moments.append(Moment(reading.measured_at, reading, raised, alerts, memory.outlooks, low_c, high_c))
        step = (self.stretch.until_at - self.stretch.since_at) / self.stretch.frames
        self._next_at = reading.measured_at + max(step, timedelta(seconds=1))
