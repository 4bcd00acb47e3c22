"""A jar on the shelf as it really is: its warmth, and the ferment that nobody sees."""

import math
from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from sim.bounds import KEYS, Name, NotNegative, Positive, Share
from sim.chance import stream
from sim.kinetics import relative_rate

_GLASS_JK_L = 320.0
_CONTENTS_JK_L = 4230.0
"""A full litre holds 4,550 J/K: 0.4 kg of glass, and 1.15 kg of sugary plant at 3.7 kJ/kgK."""
_LOSS_WK = 4550.0 / (3.3 * 3600.0)
"""What a litre's wall passes to still air; with the full jar's heat it makes a time constant of 3.3 h."""
_ABSORBING_M2 = 0.011
"""Shadow of a litre jar, 0.10 × 0.16 m, times the share of the sun that its contents take up, 0.7."""
_NEED_DAYS = 5.5
_NEED_LOG_SD = 0.10
_JUICE_DAYS = 0.5
"""Sugar draws the first juice within hours (common practice)."""


@dataclass(frozen=True, slots=True)
class Jar:
    """A jar that is packed in the course of a scenario.

    Args:
        name: its id.
        plant: what is in it.
        packed_after_h: when it is packed, hours after the start.
        jar_ml: the jar's volume.
        fill: share of the volume that is filled.
        plant_g, sugar_g: what went in.
        need_days: how many days at 20 °C it really takes; drawn about 5.5 when it is not given.
    """

    __pydantic_config__ = KEYS
    name: Name
    plant: Annotated[str, Field(min_length=1)]
    packed_after_h: NotNegative = 0.0
    jar_ml: Positive = 1000.0
    fill: Share = 0.67
    plant_g: Positive | None = None
    sugar_g: Positive | None = None
    need_days: Positive | None = None


@dataclass(frozen=True, slots=True)
class JarState:
    """How a jar is just now.

    Args:
        name: its id.
        packed: whether it stands on the shelf yet.
        temp_c: temperature of its contents.
        progress: share of its ferment that is done; 1 is ready, more is past it.
        juice: share of its juice that is drawn, 0 to 1.
        bubbling: how lively it works, 0 to 1.
    """

    name: str
    packed: bool
    temp_c: float
    progress: float
    juice: float
    bubbling: float


def time_constant_s(jar_ml: float, fill: float) -> float:
    """Return how slowly a jar follows the air, seconds: heat held over heat passed by a wall that grows with volume^⅔.

    Args:
        jar_ml: its volume, mL, above 0.
        fill: share of it that is filled, 0 to 1.
    """
    litres = jar_ml / 1000.0
    return litres * (_GLASS_JK_L + _CONTENTS_JK_L * fill) / (_LOSS_WK * math.pow(litres, 2.0 / 3.0))


def sun_gain_c(beam_wm2: float) -> float:
    """Return how far above the air a jar in steady sun ends up, °C; size cancels between shadow and wall."""
    return beam_wm2 * _ABSORBING_M2 / _LOSS_WK


def cooled_c(start_c: float, about_c: float, span_s: float, lag_s: float) -> float:
    """Return a jar's temperature after `span_s` seconds in surroundings at `about_c`: exact for steady surroundings."""
    return about_c + (start_c - about_c) * math.exp(-span_s / lag_s)


class WorkingJar:
    """A jar that lives on the shelf step by step; its true need is drawn from the seed and hidden from the station."""

    def __init__(self, jar: Jar, seed: int) -> None:
        self.jar = jar
        drawn = stream(seed, f"need/{jar.name}").gauss(0.0, _NEED_LOG_SD)
        self.need_days = jar.need_days if jar.need_days is not None else _NEED_DAYS * math.exp(drawn)
        self._lag_s = time_constant_s(jar.jar_ml, jar.fill)
        self._temp_c = 0.0
        self._worked_days = 0.0
        self._packed = False

    def step(self, elapsed_s: float, span_s: float, air_c: float, beam_wm2: float) -> JarState:
        """Let `span_s` seconds go by, up to `elapsed_s` since the start, in air at `air_c` and this much sun."""
        if elapsed_s < self.jar.packed_after_h * 3600.0:
            return JarState(self.jar.name, False, air_c, 0.0, 0.0, 0.0)
        if not self._packed:
            self._packed, self._temp_c = True, air_c
            return JarState(self.jar.name, True, air_c, 0.0, 0.0, 0.0)
        self._temp_c = cooled_c(self._temp_c, air_c + sun_gain_c(beam_wm2), span_s, self._lag_s)
        rate = relative_rate(self._temp_c)
        self._worked_days += rate * span_s / 86400.0
        progress = self._worked_days / self.need_days
        juice = 1.0 - math.exp(-self._worked_days / _JUICE_DAYS)
        bubbling = min(1.0, rate * _liveliness(progress))
        return JarState(self.jar.name, True, self._temp_c, progress, juice, bubbling)


def _liveliness(progress: float) -> float:
    """A ferment starts slowly, is at its liveliest a third of the way and quietens as it gets ready."""
    return max(0.0, 3.0 * progress * math.exp(1.0 - 3.0 * progress))
