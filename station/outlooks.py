"""Minding the jars: each one's warmth minute by minute, its stage, and now and then its date."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime, timedelta

from station.beliefs import Beliefs
from station.config import Settings
from station.domain.by_days import outlook_by_days
from station.domain.evening import EveningRule, Reason, StrainEvening, next_chance, strain_evening
from station.domain.forecast import ready_range
from station.domain.jars import Jar, Stage, stage
from station.domain.outlook import Outlook
from station.domain.paths import HISTORY_DAYS, HourMean, ShelfPaths, shelf_paths
from station.domain.readiness import chance_past, chance_ready
from station.domain.readings import Reading
from station.domain.warmth import JarHeat, followed, fresh, time_constant_s
from station.ports import NotebookView, ShelfLog

FORECAST_EVERY_S = 3600.0
"""Dates are worked out anew this often: a minute's warmth moves them by less than a minute."""
WRITE_EVERY_S = 600.0
"""Outlooks are kept this often; after a restart the log fills in the rest."""
SURELY = 0.95
"""A jar that is past its best with this chance needs no date any more."""
REACHED = 0.9999
"""A need is reached within this: the belief's grid rounds its median by about 1 in 100,000, thousands of sums less."""
_WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


class Minder:
    """Follows the jars of the notebook through the readings.

    Args:
        settings: for the evening rule and the need of a plant nothing is known of.
        log: to catch up with what happened before a jar was recorded or while the station was off.
        notebook: which jars there are.
    """

    def __init__(self, settings: Settings, log: ShelfLog, notebook: NotebookView) -> None:
        self._log = log
        self._notebook = notebook
        self._rule = evening_rule(settings)
        self._base_c = settings.strain.base_c
        self._beliefs = Beliefs(settings.strain.beginning(), log)
        self._version: int | None = None
        self._jars: tuple[Jar, ...] = ()
        self._by_id: dict[str, Jar] = {}
        self._forecast_s: float | None = None
        self._written_s: float | None = None
        self._followed: set[str] = set()

    def minded(
        self, outlooks: tuple[Outlook, ...], reading: Reading
    ) -> tuple[tuple[Outlook, ...], tuple[Outlook, ...]]:
        """Take every jar through one reading.

        Args:
            outlooks: what was thought of the jars so far; a jar that is missing is counted from the log.
            reading: the next reading.

        Returns:
            The outlooks now, and those of them that are to be kept.
        """
        reread = self._reread()
        late = self._learned_late(reading)
        jars = [jar for jar in self._jars if jar.packed_at <= reading.measured_at]
        if not jars:
            return (), late
        known = {outlook.jar_id: outlook for outlook in outlooks}
        forecast = reread or bool(late) or _due(self._forecast_s, reading.boot_s, FORECAST_EVERY_S)
        forecast = forecast or any(jar.id not in known for jar in jars)  # as when the clock has come right
        paths = self._paths(reading) if forecast and any(_to_foresee(jar, known.get(jar.id)) for jar in jars) else None
        now = tuple([self._jar_minded(jar, known.get(jar.id), reading, paths) for jar in jars])
        if forecast:
            self._forecast_s = reading.boot_s
        return now, (*late, *self._to_write(known, now, reading, forecast=forecast))

    @property
    def jars(self) -> Mapping[str, Jar]:
        """The jars by id, as the notebook told them when it was last looked into."""
        return self._by_id

    def _reread(self) -> bool:
        """Look into the notebook if anyone has written there."""
        version = self._notebook.version()
        if version == self._version:
            return False
        self._version, self._jars = version, self._notebook.jars_on_shelf()
        self._by_id = {jar.id: jar for jar in self._jars}
        self._beliefs.take(self._notebook.needs())
        return True

    def _learned_late(self, reading: Reading) -> tuple[Outlook, ...]:
        """Count a judged jar of unknown warmth from the log: one a minute, so that no minute takes long."""
        jar = self._beliefs.next_unknown()
        if jar is None:
            return ()
        outlook = self._left(jar, None, reading)
        self._beliefs.learn(jar, outlook.heat)
        return (outlook,)

    def _jar_minded(self, jar: Jar, before: Outlook | None, reading: Reading, paths: ShelfPaths | None) -> Outlook:
        if not jar.on_shelf:
            return self._left(jar, before, reading)
        tau_s = time_constant_s(jar.jar_ml)
        if before is None:
            before = self._caught_up(jar, reading.measured_at)
        elif jar.id not in self._followed:  # known from before a restart, as of its last write
            before = self._folded(jar, before, self._log.readings(before.heat.through_at, reading.measured_at))
        self._followed.add(jar.id)
        heat = followed(before.heat, reading, tau_s, jar.probe)
        if jar.due_at is not None:
            return outlook_by_days(jar, jar.due_at, replace(before, heat=heat), reading.measured_at, self._rule)
        if heat is not before.heat or paths is not None:
            before = self._with_heat(jar, before, heat, reading.measured_at)
        if not _to_foresee(jar, before):
            return self._overdue(before, reading.measured_at)
        return before if paths is None else self._with_dates(jar, before, paths, tau_s)

    def _overdue(self, outlook: Outlook, at: datetime) -> Outlook:
        """Return a jar that is surely past its best: it is to be strained at the next chance."""
        chance_at = next_chance(self._rule, outlook.evening_at, at)
        if chance_at == outlook.evening_at:
            return outlook
        return replace(outlook, evening_at=chance_at, evening_reason=str(Reason.OVERDUE))

    def _left(self, jar: Jar, before: Outlook | None, reading: Reading) -> Outlook:
        """Return the last outlook of a jar that is off the shelf: its warmth ends when it left."""
        end_at = jar.off_shelf_at or reading.measured_at
        if before is None or before.heat.through_at > end_at:
            before = self._caught_up(jar, end_at)
        now = stage(jar, before.chance_ready, before.chance_past)
        return (
            before
            if before.stage is now
            else replace(before, stage=now, judged_at=reading.measured_at, evening_at=None)
        )

    def _caught_up(self, jar: Jar, until_at: datetime) -> Outlook:
        """Count a jar's warmth from the log, from its packing on."""
        need = self._beliefs.of(jar.plant).next_jar
        heat = fresh(jar.packed_at)
        empty = Outlook(
            jar.id, until_at, heat, Stage.WORKING, 0.0, 0.0, need.low, need.median, need.high, base_c=self._base_c
        )
        return self._folded(jar, empty, self._log.readings(jar.packed_at, until_at))

    def _folded(self, jar: Jar, outlook: Outlook, readings: Iterable[Reading]) -> Outlook:
        tau_s = time_constant_s(jar.jar_ml)
        heat, ready_at, median = outlook.heat, outlook.ready_at, outlook.need_likely
        for reading in readings:
            heat = followed(heat, reading, tau_s, jar.probe)
            if ready_at is None and self._reached(heat, median):
                ready_at = reading.measured_at
        return self._with_heat(jar, replace(outlook, ready_at=ready_at), heat, outlook.judged_at)

    def _with_heat(self, jar: Jar, outlook: Outlook, heat: JarHeat, at: datetime) -> Outlook:
        believed = self._beliefs.of(jar.plant)
        need = believed.next_jar
        ready = chance_ready(believed.belief, heat.warmth)
        past = chance_past(believed.belief, heat.warmth) if ready > 0.5 else 0.0
        return replace(
            outlook,
            judged_at=at,
            heat=heat,
            stage=stage(jar, ready, past),
            chance_ready=ready,
            chance_past=past,
            need_low=need.low,
            need_likely=need.median,
            need_high=need.high,
            evening_moved_at=outlook.evening_moved_at if outlook.need_likely == need.median else None,
            base_c=self._base_c,
            ready_at=self._ready_at(jar, outlook, heat, need.median),
        )

    def _ready_at(self, jar: Jar, outlook: Outlook, heat: JarHeat, median: float) -> datetime | None:
        """Return when the warmth reached the likely need; looked up in the log if need or base is not what it was."""
        if not self._reached(heat, median):
            return None
        if (outlook.need_likely, outlook.base_c) != (median, self._base_c):
            return self._caught_up(jar, heat.through_at).ready_at or heat.through_at
        return outlook.ready_at or heat.through_at

    def _reached(self, heat: JarHeat, median: float) -> bool:
        return heat.warmth.warm_days(self._base_c) >= median * REACHED

    def _with_dates(self, jar: Jar, outlook: Outlook, paths: ShelfPaths, tau_s: float) -> Outlook:
        belief = self._beliefs.of(jar.plant).belief
        ready = ready_range(belief, outlook.heat, paths, tau_s)
        evening = strain_evening(belief, outlook.heat, paths, self._rule, _previous(outlook), tau_s)
        return replace(
            outlook,
            ready_early_at=ready.early_at,
            ready_likely_at=ready.likely_at,
            ready_late_at=ready.late_at,
            evening_at=evening.at if evening else None,
            evening_reason=str(evening.reason) if evening else "",
            evening_moved_at=evening.moved_at if evening else None,
            caveats=tuple(str(caveat) for caveat in ready.caveats),
        )

    def _paths(self, reading: Reading) -> ShelfPaths:
        since_at = reading.measured_at - timedelta(days=HISTORY_DAYS)
        hours = [HourMean(at, temp_c) for at, temp_c in self._log.hour_temps(since_at)]
        return shelf_paths(hours, reading.measured_at, reading.air_temp_c)

    def _to_write(
        self, known: dict[str, Outlook], now: tuple[Outlook, ...], reading: Reading, *, forecast: bool
    ) -> tuple[Outlook, ...]:
        if forecast or _due(self._written_s, reading.boot_s, WRITE_EVERY_S):
            self._written_s = reading.boot_s
            return now
        return tuple([one for one in now if one.jar_id not in known or known[one.jar_id].stage is not one.stage])


def evening_rule(settings: Settings) -> EveningRule:
    """Return when this grower can strain."""
    strain = settings.strain
    away = frozenset(_WEEKDAYS.index(day) for day in strain.days_away)
    return EveningRule(strain.evening, settings.place.zone, away)


def _to_foresee(jar: Jar, outlook: Outlook | None) -> bool:
    """Whether a jar still needs a date."""
    return jar.on_shelf and (outlook is None or outlook.chance_past <= SURELY)


def _due(last_s: float | None, now_s: float, every_s: float) -> bool:
    """Whether something done at `last_s` is to be done again; boot time that ran backwards is another boot."""
    return last_s is None or now_s < last_s or now_s - last_s >= every_s


def _previous(outlook: Outlook) -> StrainEvening | None:
    if outlook.evening_at is None:
        return None
    return StrainEvening(outlook.evening_at, 0.0, Reason(outlook.evening_reason), outlook.evening_moved_at)
