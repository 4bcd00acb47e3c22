"""Was this a good spot? A stretch of the log, summed up."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from station.domain.conditions import Kind
from station.domain.figures import share_text
from station.domain.guidance import GOOD_HIGH_C, GOOD_LOW_C
from station.domain.readings import Mark, Reading
from station.domain.shelf import Judge, Shelf
from station.domain.warmth import BASE_C, Warmth, approach

GOOD_SHARE = 0.8
POOR_SHARE = 0.1
SOME_SHARE = 0.01
ENOUGH_H = 24.0
NOISE_DIGITS = 6
"""Hours are told to this digit: 1,440 minutes added up are 23.99999999999992 h, and are a day."""


@dataclass(frozen=True, slots=True)
class Spot:
    """What a log says about the place it was taken at; all times in hours.

    Args:
        covered_h: hours in which anything was measured.
        measured_h: hours with a believable temperature.
        good_h: hours of those within the good range.
        condition_h: measured hours under each raised condition; a condition that never was is left out.
        sunlit_h: hours in which direct sun lit the sensor.
        warm_days_a_day: how fast a jar would work here: warm-days in a day.
        least_c, mean_c, most_c: temperatures, None if none was measured.
        light_h, rh_h: hours with light, and with humidity; nothing can be said of sun or damp where there are none.
    """

    covered_h: float
    measured_h: float
    good_h: float
    condition_h: dict[Kind, float]
    sunlit_h: float
    warm_days_a_day: float | None
    least_c: float | None
    mean_c: float | None
    most_c: float | None
    light_h: float = 0.0
    rh_h: float = 0.0

    def known_h(self, kind: Kind) -> float:
        """The hours in which what a condition goes by was measured."""
        hours = {Kind.SUN: self.light_h, Kind.BRIGHT: self.light_h, Kind.DAMP: self.rh_h, Kind.SILENT: self.covered_h}
        return hours.get(kind, self.measured_h)

    def share(self, kind: Kind) -> float:
        """The share of the covered time under a condition, 0 to 1."""
        return self.condition_h.get(kind, 0.0) / self.covered_h if self.covered_h else 0.0


@dataclass(slots=True)
class Survey:
    """Sums up readings one by one; ask for `spot` at any time.

    Args:
        judge: the limits and the place by which conditions are judged.
        base_c: the base temperature from which warmth is told, °C.
    """

    judge: Judge
    base_c: float = BASE_C
    _shelf: Shelf = field(default_factory=Shelf)
    _hours: dict[Kind, float] = field(default_factory=dict)
    _warmth: Warmth = field(default_factory=Warmth)
    _covered_h: float = 0.0
    _good_h: float = 0.0
    _sunlit_h: float = 0.0
    _light_h: float = 0.0
    _rh_h: float = 0.0
    _sum_ch: float = 0.0
    _least_c: float | None = None
    _most_c: float | None = None

    def add(self, reading: Reading) -> None:
        """Take in one reading, in order of time."""
        reading = self.judge.marked(self._shelf, reading)
        self._shelf = self.judge.judged(self._shelf, reading)
        hours = reading.span_s / 3600.0
        self._covered_h += hours if reading.measured else 0.0
        self._light_h += hours if reading.light_lx is not None else 0.0
        self._rh_h += hours if reading.rh_pct is not None else 0.0
        for state in self._shelf.states:
            if state.raised and _told(state.kind, reading):
                self._hours[state.kind] = self._hours.get(state.kind, 0.0) + hours
        if reading.marks & Mark.SUNLIT:
            self._sunlit_h += hours
        if (temp_c := reading.air_temp_c) is not None:
            self._add_temp(temp_c, hours)

    def _add_temp(self, temp_c: float, hours: float) -> None:
        self._warmth = self._warmth.after(approach(temp_c, temp_c, hours * 3600.0, 0.0))
        self._good_h += hours if GOOD_LOW_C <= temp_c <= GOOD_HIGH_C else 0.0
        self._sum_ch += temp_c * hours
        self._least_c = temp_c if self._least_c is None else min(self._least_c, temp_c)
        self._most_c = temp_c if self._most_c is None else max(self._most_c, temp_c)

    def spot(self) -> Spot:
        """Return what was found so far."""
        measured_h = self._warmth.observed_h
        return Spot(
            covered_h=round(self._covered_h, NOISE_DIGITS),
            measured_h=measured_h,
            good_h=self._good_h,
            condition_h=dict(self._hours),
            sunlit_h=self._sunlit_h,
            warm_days_a_day=self._warmth.warm_days(self.base_c) / (measured_h / 24.0) if measured_h else None,
            least_c=self._least_c,
            mean_c=self._sum_ch / measured_h if measured_h else None,
            most_c=self._most_c,
            light_h=self._light_h,
            rh_h=self._rh_h,
        )


def _told(kind: Kind, reading: Reading) -> bool:
    """Whether a reading measured what a condition goes by: one that stays raised through a gap adds no hours."""
    match kind:
        case Kind.SUN | Kind.BRIGHT:
            return reading.light_lx is not None
        case Kind.HOT | Kind.COLD:
            return reading.temp_c is not None
        case Kind.DAMP:
            return reading.rh_pct is not None
        case Kind.SILENT:
            return True


def surveyed(readings: Iterable[Reading], judge: Judge, base_c: float = BASE_C) -> Spot:
    """Return what a log says about its place; the arguments are those of `Survey`."""
    survey = Survey(judge, base_c)
    for reading in readings:
        survey.add(reading)
    return survey.spot()


_FAULTS = {
    Kind.SUN: ("direct sun reaches it", "move the jars out of it or draw a blind"),
    Kind.HOT: ("it is too warm", "look for somewhere cooler"),
    Kind.COLD: ("it is too cold", "look for somewhere warmer"),
    Kind.DAMP: ("it is damp enough for mould", "air it, or look for somewhere drier"),
    Kind.BRIGHT: ("it is bright", "hang a cloth in front of the jars"),
}


def spot_verdict(spot: Spot) -> str:
    """Say in one sentence whether this is a good place for jars.

    The worst fault is the one that holds for the largest share of the time; brightness only counts where nothing worse
    does, since a cloth mends it.
    """
    if round(spot.covered_h, 1) < ENOUGH_H:
        return (
            f"Not enough to judge by: hours in which anything was measured count, and there are {spot.covered_h:.1f}; "
            f"at least {ENOUGH_H:.0f} are needed."
        )
    return f"{_judged(spot)}{_unknown(spot)}"


def _unknown(spot: Spot) -> str:
    """Say of what nothing is known, because it was not measured."""
    known = (("Light", "sun", spot.light_h), ("Humidity", "damp", spot.rh_h))
    return "".join(f" {name} was not measured: nothing is known of {what}." for name, what, hours in known if not hours)


def _judged(spot: Spot) -> str:
    worst = max(_FAULTS, key=lambda kind: (kind is not Kind.BRIGHT and spot.share(kind) > SOME_SHARE, spot.share(kind)))
    share = spot.share(worst)
    if share > SOME_SHARE:
        fault, remedy = _FAULTS[worst]
        judged = "Not a good spot:" if share > POOR_SHARE else "A fair spot, but"
        return f"{judged} {fault} for {share_text(share)} of the time; {remedy}."
    return _in_range(spot)


def _in_range(spot: Spot) -> str:
    if spot.mean_c is None:
        return "No temperature was measured; nothing else speaks against this spot."
    good = spot.good_h / spot.measured_h
    if good >= GOOD_SHARE:
        return f"A good spot: in the good range for {share_text(good)} of the time."
    side = "cool" if spot.mean_c < GOOD_LOW_C else "warm" if spot.mean_c > GOOD_HIGH_C else "uneven"
    return f"A fair spot, a little {side}: in the good range for {share_text(good)} of the time."
