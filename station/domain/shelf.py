"""The shelf as a whole: every condition taken one reading further."""

from dataclasses import dataclass, field, replace

from station.domain.air import mould_critical_rh_pct
from station.domain.conditions import Kind, Limit, SlidingMean, State, step
from station.domain.guidance import BRIGHT_WINDOW_S, Limits, all_limits
from station.domain.readings import Mark, Reading
from station.domain.sun import Place, sun_is_up


@dataclass(frozen=True, slots=True)
class Shelf:
    """What the station carries from minute to minute about the shelf.

    Args:
        states: one per condition, in the order of `Kind`.
        light: the sliding mean of the light.
    """

    states: tuple[State, ...] = tuple(State(kind) for kind in Kind)
    light: SlidingMean = field(default_factory=lambda: SlidingMean(BRIGHT_WINDOW_S))

    def state(self, kind: Kind) -> State:
        """Return where one condition stands."""
        return next(state for state in self.states if state.kind is kind)


class Judge:
    """Applies one set of limits at one place; keeps no state of its own.

    Args:
        limits: where conditions are raised.
        place: where the shelf is; None when unknown, and then the sun counts as up.
    """

    def __init__(self, limits: Limits, place: Place | None = None) -> None:
        self._place = place
        self._limits: tuple[Limit, ...] = tuple(limit for _, limit in all_limits(limits))
        self._sun_clear_lx = self._limits[list(Kind).index(Kind.SUN)].clear_at

    def marked(self, shelf: Shelf, reading: Reading) -> Reading:
        """Return the reading, marked `SUNLIT` while direct sun falls on the sensor or has just left it."""
        if not (shelf.state(Kind.SUN).raised or self._lit(reading)):
            return reading
        return replace(reading, marks=reading.marks | Mark.SUNLIT)

    def judged(self, shelf: Shelf, reading: Reading) -> Shelf:
        """Return the shelf after one more (marked) reading."""
        light = shelf.light
        if reading.light_lx is not None:
            light = light.with_value(reading.light_lx, reading.span_s, reading.boot_s, reading.boot_id)
        values = self._values(reading, light)
        states = tuple(
            [
                step(limit, state, value, reading.span_s, reading.measured_at)
                for limit, state, value in zip(self._limits, shelf.states, values, strict=True)
            ]
        )
        return Shelf(states, light)

    def _values(self, reading: Reading, light: SlidingMean) -> tuple[float | None, ...]:
        """Return the value of each condition in its own unit, in the order of `Kind`."""
        temp_c = reading.air_temp_c
        return (
            0.0 if reading.measured else 1.0,
            self._sun_lx(reading),
            temp_c,
            temp_c,
            _damp_margin_pct(temp_c, reading.rh_pct),
            None if reading.light_lx is None else light.mean,
        )

    def _lit(self, reading: Reading) -> bool:
        light_lx = reading.light_lx
        return light_lx is not None and light_lx >= self._sun_clear_lx and self._sun_up(reading)

    def _sun_lx(self, reading: Reading) -> float | None:
        """Return the light as far as it can be the sun's: none of it at night."""
        light_lx = reading.light_lx
        if light_lx is None or light_lx < self._sun_clear_lx or self._sun_up(reading):
            return light_lx
        return 0.0

    def _sun_up(self, reading: Reading) -> bool:
        if self._place is None or not reading.trusted:
            return True  # unknown: only the sun is this bright anyway
        return sun_is_up(self._place, reading.measured_at)


def _damp_margin_pct(temp_c: float | None, rh_pct: float | None) -> float | None:
    """Return by how much the humidity lies above the mould-critical one, %RH (negative below it)."""
    if temp_c is None or rh_pct is None:
        return None
    return rh_pct - mould_critical_rh_pct(temp_c)
