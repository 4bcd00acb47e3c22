"""The engine of `jarside probe`: reads each part many times and says how it is doing and what to do."""

import enum
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from statistics import median

from hardware.reasons import ADVICE, Reason
from station.domain.readings import Miss, Sample
from station.errors import SensorError
from station.ports import Clock, Sensor

QUANTITIES = ("temp_c", "rh_pct", "light_lx")
TIMES = 20
MARGIN_S = 0.05
"""Added to a part's spacing: it has a clock of its own."""
USUAL = {"dht22": 0.5, "dht11": 0.5}
"""Share of good answers from which a part is called good. In the field about 30 % of a DHT's reads fail on a Pi."""
USUAL_ELSEWHERE = 0.95
WEAK_SHARE = 0.5
"""Below this part of its usual share a part is called bad."""
UNSTEADY = {"temp_c": 2.0, "rh_pct": 5.0}
"""WMO: the largest change between samples a minute apart; within one probe more is noise."""


class Verdict(enum.StrEnum):
    """How a part is doing."""

    GOOD = "good"
    WEAK = "weak"
    BAD = "bad"
    ABSENT = "absent"
    """It gave no answer at all."""
    CLOSED = "closed"
    """It could not be opened."""

    @property
    def works(self) -> bool:
        """Whether the station can use it."""
        return self in (Verdict.GOOD, Verdict.WEAK)


@dataclass(frozen=True, slots=True)
class Spread:
    """What a part said of one quantity.

    Args:
        quantity: temp_c, rh_pct or light_lx.
        last, middle, low, high: the last value, the median, the lowest and the highest.
        scatter: the range without the lowest and the highest: one doubled value is a lone fault, not noise.
    """

    quantity: str
    last: float
    middle: float
    low: float
    high: float
    scatter: float

    @property
    def steady(self) -> bool:
        """Whether it scatters no more than air changes."""
        return self.scatter <= UNSTEADY.get(self.quantity, float("inf"))


@dataclass(frozen=True, slots=True)
class PartReport:
    """How one part is doing.

    Args:
        name: its name in the settings.
        kind: which part it is.
        asked, answered: how often.
        spreads: one for each quantity it gave.
        saturated: how many answers were at full scale.
        reasons: why it missed, the most frequent first, with how often.
        verdict: how it is doing.
        advice: what to do; empty if nothing.
    """

    name: str
    kind: str
    asked: int
    answered: int
    spreads: tuple[Spread, ...]
    saturated: int
    reasons: tuple[tuple[str, int], ...]
    verdict: Verdict
    advice: str

    @property
    def share(self) -> float:
        """Share of good answers, 0 to 1."""
        return self.answered / self.asked if self.asked else 0.0


@dataclass
class _Trial:
    """A part being probed."""

    kind: str
    sensor: Sensor
    due_s: float = 0.0
    answers: list[Sample | Miss] = field(default_factory=list)
    refusal: SensorError | None = None


def probe(
    parts: Sequence[tuple[str, Sensor]], clock: Clock, times: int = TIMES, on_ask: Callable[[int], None] | None = None
) -> tuple[PartReport, ...]:
    """Open every part, ask each `times` times within its spacing, and close it.

    Args:
        parts: kind and raw sensor of each.
        clock: waits and tells the time.
        times: how often each is asked.
        on_ask: called with the number of questions so far.
    """
    trials = [_opened(kind, sensor, clock) for kind, sensor in parts]
    asked = 0
    try:
        while waiting := [one for one in trials if one.refusal is None and len(one.answers) < times]:
            trial = min(waiting, key=lambda one: one.due_s)
            clock.sleep(max(0.0, trial.due_s - clock.boottime_s()))
            trial.answers.append(trial.sensor.sample())
            trial.due_s = clock.boottime_s() + trial.sensor.spacing_s + MARGIN_S
            asked += 1
            if on_ask is not None:
                on_ask(asked)
    finally:
        for trial in trials:
            trial.sensor.close()
    return tuple(_report(trial) for trial in trials)


def _opened(kind: str, sensor: Sensor, clock: Clock) -> _Trial:
    trial = _Trial(kind, sensor)
    try:
        sensor.open()
    except SensorError as error:
        trial.refusal = error
    trial.due_s = clock.boottime_s() + sensor.spacing_s
    return trial


def _report(trial: _Trial) -> PartReport:
    samples = [answer for answer in trial.answers if isinstance(answer, Sample)]
    reasons = Counter(str(answer.reason) for answer in trial.answers if isinstance(answer, Miss)).most_common()
    spreads = tuple(spread for name in QUANTITIES if (spread := _spread(name, samples)) is not None)
    saturated = sum(sample.saturated for sample in samples)
    verdict = _verdict(trial, len(samples), spreads)
    return PartReport(
        name=trial.sensor.name,
        kind=trial.kind,
        asked=len(trial.answers),
        answered=len(samples),
        spreads=spreads,
        saturated=saturated,
        reasons=((trial.refusal.what, 1),) if trial.refusal else tuple(reasons),
        verdict=verdict,
        advice=trial.refusal.remedy if trial.refusal else _advice(verdict, reasons, spreads, saturated),
    )


def _spread(quantity: str, samples: Sequence[Sample]) -> Spread | None:
    values = [value for sample in samples if (value := getattr(sample, quantity)) is not None]
    if not values:
        return None
    ranked = sorted(values)
    inner = ranked[1:-1] or ranked
    return Spread(quantity, values[-1], median(values), ranked[0], ranked[-1], inner[-1] - inner[0])


def _verdict(trial: _Trial, answered: int, spreads: Sequence[Spread]) -> Verdict:
    if trial.refusal is not None:
        return Verdict.CLOSED
    if answered == 0:
        return Verdict.ABSENT
    usual, share = USUAL.get(trial.kind, USUAL_ELSEWHERE), answered / len(trial.answers)
    if share < WEAK_SHARE * usual:
        return Verdict.BAD
    return Verdict.GOOD if share >= usual and all(spread.steady for spread in spreads) else Verdict.WEAK


def _advice(verdict: Verdict, reasons: Sequence[tuple[str, int]], spreads: Sequence[Spread], saturated: int) -> str:
    jumps = not all(spread.steady for spread in spreads)
    if verdict is not Verdict.GOOD and reasons and not jumps:
        return ADVICE.get(Reason(reasons[0][0]), "")
    if jumps:
        return "Its values jump: check the pull-up and the supply, and keep the lead away from mains cables."
    if saturated:
        return "It is at full scale: more light than it can measure. Shade it, or see that this is meant."
    if any(spread.quantity == "light_lx" and spread.high == 0.0 for spread in spreads):
        return "It says dark. If it is not, check its two wires."
    return ""
