"""What sensors a scenario has, and what is wrong with them."""

from dataclasses import dataclass
from typing import Literal

from sim.bounds import KEYS, Name, Number, Positive, Share, Span


@dataclass(frozen=True, slots=True)
class Faults:
    """What is wrong with a sensor; nothing by default. Spans are hours since the start.

    Args:
        missed: share of samples that fail their check; 0.3 is usual for a DHT22 on a Pi.
        twisted: share of the others that pass with a doubled or halved value; 1 in 750 is usual.
        offset_c, offset_pct: how much too high it reads, °C and %RH.
        gain: what its humidity is multiplied by before the offset.
        drift_pct_per_day: how fast its humidity wanders off, %RH a day.
        stuck_h: when it repeats its last value.
        unplugged_h: when it does not answer.
        saturated_h: when its light is at full scale whatever falls on it.
    """

    __pydantic_config__ = KEYS
    missed: Share = 0.0
    twisted: Share = 0.0
    offset_c: Number = 0.0
    offset_pct: Number = 0.0
    gain: Positive = 1.0
    drift_pct_per_day: Number = 0.0
    stuck_h: tuple[Span, ...] = ()
    unplugged_h: tuple[Span, ...] = ()
    saturated_h: tuple[Span, ...] = ()


FLAKY = Faults(missed=0.3, twisted=1 / 750)
"""A DHT22 on a Pi as it is met in the field."""


@dataclass(frozen=True, slots=True)
class SensorPlan:
    """One sensor of a scenario.

    Args:
        name: its name in the settings.
        kind: "climate" measures air temperature and humidity, "light" illuminance, "jar" the warmth of a jar.
        jar: the name of the jar that a jar sensor is fixed to.
        faults: what is wrong with it.
    """

    __pydantic_config__ = KEYS
    name: Name
    kind: Literal["climate", "light", "jar"]
    jar: str = ""
    faults: Faults = Faults()
