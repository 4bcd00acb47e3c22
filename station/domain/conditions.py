"""Conditions of the shelf: step machines with a hold, a dead band and an explicit unknown."""

import enum
from dataclasses import dataclass
from datetime import datetime


class Kind(enum.StrEnum):
    """What guidance speaks of, in the order in which it matters."""

    SILENT = "silent"
    SUN = "sun"
    HOT = "hot"
    COLD = "cold"
    DAMP = "damp"
    BRIGHT = "bright"

    @property
    def unit(self) -> str | None:
        """The unit of its value, as SenML (RFC 8428) writes it; None for silence, of which only is kept whether it is.

        The value of `damp` is how far the humidity lies above the one at which mould can start.
        """
        return _UNITS.get(self)


_UNITS = {Kind.SUN: "lx", Kind.HOT: "Cel", Kind.COLD: "Cel", Kind.DAMP: "%RH", Kind.BRIGHT: "lx"}


class Bound(enum.Enum):
    """Which side of its bound raises a condition."""

    BELOW = "below"
    ABOVE = "above"
    AT_LEAST = "at least"


@dataclass(frozen=True, slots=True)
class Limit:
    """When a condition is raised and when it clears.

    Args:
        bound: which side raises.
        raise_at: the value that raises, in the condition's own unit.
        raise_held_s: for how many measured seconds the cause must hold.
        clear_at: the value that clears; between the two nothing changes.
        clear_held_s: for how many measured seconds the relief must hold.
    """

    bound: Bound
    raise_at: float
    raise_held_s: float
    clear_at: float
    clear_held_s: float

    def raises(self, value: float) -> bool:
        """Whether `value` speaks for the condition."""
        if self.bound is Bound.BELOW:
            return value < self.raise_at
        return value > self.raise_at or (self.bound is Bound.AT_LEAST and value == self.raise_at)

    def clears(self, value: float) -> bool:
        """Whether `value` speaks against the condition."""
        if self.bound is Bound.BELOW:
            return value >= self.clear_at
        return value < self.clear_at or (self.bound is Bound.ABOVE and value == self.clear_at)

    def worse(self, one: float, other: float) -> float:
        """Return the value that lies further on the raising side."""
        return min(one, other) if self.bound is Bound.BELOW else max(one, other)


@dataclass(frozen=True, slots=True)
class State:
    """Where one condition stands; stored with its cause.

    Args:
        kind: which condition.
        raised: whether it holds now.
        held_s: for how many measured seconds the evidence for a change has held.
        since_at: when that evidence began, or, once raised without new evidence, when the cause began.
        peak: the worst value since the cause began, in the condition's own unit.
        value: the last known value.
    """

    kind: Kind
    raised: bool = False
    held_s: float = 0.0
    since_at: datetime | None = None
    peak: float | None = None
    value: float | None = None


def step(limit: Limit, state: State, value: float | None, span_s: float, at: datetime) -> State:
    """Take a condition one reading further.

    Only measured time counts towards a hold. An unknown value neither raises nor clears: it leaves the state alone.

    Args:
        limit: the rule.
        state: where the condition stands.
        value: the reading's value, or None if it is not known.
        span_s: how many seconds the reading stands for, above 0.
        at: when the reading ends.

    Returns:
        The new state; `raised` differs from before when the condition was raised or has cleared.
    """
    if value is None:
        return state
    return _while_raised(limit, state, value, span_s) if state.raised else _while_clear(limit, state, value, span_s, at)


def _while_clear(limit: Limit, state: State, value: float, span_s: float, at: datetime) -> State:
    if not limit.raises(value):
        if state.held_s == 0.0 and state.value == value:
            return state
        return State(state.kind, value=value)
    held_s = state.held_s + span_s
    peak = value if state.peak is None else limit.worse(state.peak, value)
    since_at = state.since_at or at
    if held_s >= limit.raise_held_s:
        return State(state.kind, True, 0.0, since_at, peak, value)
    return State(state.kind, False, held_s, since_at, peak, value)


def _while_raised(limit: Limit, state: State, value: float, span_s: float) -> State:
    if not limit.clears(value):
        peak = value if state.peak is None else limit.worse(state.peak, value)
        return State(state.kind, True, 0.0, state.since_at, peak, value)
    held_s = state.held_s + span_s
    if held_s >= limit.clear_held_s:
        return State(state.kind, value=value)
    return State(state.kind, True, held_s, state.since_at, state.peak, value)


@dataclass(frozen=True, slots=True)
class SlidingMean:
    """A mean over a sliding window, kept in slots of a twelfth of the window.

    Args:
        window_s: the window, seconds.
        slots: per slot its number since boot, the measured seconds and the sum of value × seconds; newest last.
        boot_id: the boot whose slots these are. How long the machine was off nobody knows: each boot begins anew.
    """

    window_s: float
    slots: tuple[tuple[int, float, float], ...] = ()
    boot_id: str = ""

    def with_value(self, value: float, span_s: float, boot_s: float, boot_id: str) -> "SlidingMean":
        """Return the mean after one more value that stands for `span_s` seconds up to `boot_s` of that boot."""
        if boot_id != self.boot_id:
            return SlidingMean(self.window_s, (), boot_id).with_value(value, span_s, boot_s, boot_id)
        number = int((boot_s - 0.5 * span_s) * 12.0 / self.window_s)
        if self.slots and self.slots[-1][0] == number:
            _, seconds, total = self.slots[-1]
            newest = (number, seconds + span_s, total + value * span_s)
            return SlidingMean(self.window_s, (*self.slots[:-1], newest), boot_id)
        kept = [slot for slot in self.slots if number - 12 < slot[0] < number]
        return SlidingMean(self.window_s, (*kept, (number, span_s, value * span_s)), boot_id)

    @property
    def mean(self) -> float | None:
        """The mean, or None while less than half of the window was measured."""
        seconds = sum(slot[1] for slot in self.slots)
        return sum(slot[2] for slot in self.slots) / seconds if seconds >= 0.5 * self.window_s else None
