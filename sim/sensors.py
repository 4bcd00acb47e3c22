"""The model world's sensors: as coarse, noisy and unreliable as the parts they stand for."""

from abc import ABC, abstractmethod
from collections.abc import Callable

from sim.bounds import Span
from sim.chance import stream
from sim.faults import SensorPlan
from sim.world import World
from station.domain.readings import Miss, Sample

FULL_SCALE_LX = 65535 / 1.2
"""A 16-bit count over 1.2 (BH1750 data sheet): 54,612 lx is saturation, not a measurement."""
_CLIMATE_NOISE = (0.08, 0.4)
_PROBE_NOISE_C = 0.03
_LIGHT_NOISE = 0.01


class SimSensor(ABC):
    """What all parts have in common: opening, spacing, silence and the values they hold.

    Args:
        plan: what it is and what is wrong with it.
        world: what it stands in.
        elapsed_s: asks for the seconds since the start.
        seed: the scenario's seed; a sensor's chance does not depend on any other's.
    """

    spacing_s = 0.2

    def __init__(self, plan: SensorPlan, world: World, elapsed_s: Callable[[], float], seed: int) -> None:
        self._plan = plan
        self._faults = plan.faults
        self._world = world
        self._elapsed_s = elapsed_s
        self._random = stream(seed, f"sensor/{plan.name}")
        self._open = False
        self._asked_s = float("-inf")

    @property
    def name(self) -> str:
        """Its name in the settings."""
        return self._plan.name

    def open(self) -> None:
        """Begin to measure."""
        self._open = True
        self._wake(self._elapsed_s())

    def close(self) -> None:
        """Stop measuring. May be called twice."""
        self._open = False

    def sample(self) -> Sample | Miss:
        """Ask once; what goes wrong is a `Miss`."""
        now_s = self._elapsed_s()
        refusal = self._refusal(now_s)
        if refusal:
            return Miss(self.name, refusal)
        self._asked_s = now_s
        sample = self._answer(now_s)
        if self._random.random() < self._faults.missed:
            return Miss(self.name, "the check sum is wrong")
        return self._twist(sample) if self._random.random() < self._faults.twisted else sample

    def _refusal(self, now_s: float) -> str:
        if not self._open:
            return "it is not open"
        if now_s - self._asked_s < self.spacing_s:
            return "it was asked again too soon"
        return "no answer" if _within(self._faults.unplugged_h, now_s) else ""

    def _wake(self, now_s: float) -> None:  # noqa: B027 - most parts need nothing
        """Get ready for the first sample."""

    @abstractmethod
    def _answer(self, now_s: float) -> Sample:
        """Return what the part says at this second, before the line garbles it."""

    def _twist(self, sample: Sample) -> Sample:
        """Return the sample with a bit slipped: one value doubled or halved."""
        factor = self._random.choice((0.5, 2.0))
        warmth = sample.temp_c is not None and (sample.rh_pct is None or self._random.random() < 0.5)
        return Sample(
            sample.sensor,
            _times(sample.temp_c, factor if warmth else 1.0),
            _times(sample.rh_pct, 1.0 if warmth else factor),
            _times(sample.light_lx, factor),
            sample.saturated,
        )


class ClimateSensor(SimSensor):
    """Like a DHT22: tenths, at most every two seconds, and each answer is the conversion before."""

    spacing_s = 2.1

    def _wake(self, now_s: float) -> None:
        self._converted = self._convert(now_s)

    def _answer(self, now_s: float) -> Sample:
        before = self._converted
        if not _within(self._faults.stuck_h, now_s):
            self._converted = self._convert(now_s)
        return before

    def _convert(self, now_s: float) -> Sample:
        faults, shelf = self._faults, self._world.at(now_s)
        temp_c = shelf.sensor_c + faults.offset_c + self._random.gauss(0.0, _CLIMATE_NOISE[0])
        felt_pct = shelf.sensor_rh_pct + self._random.gauss(0.0, _CLIMATE_NOISE[1])
        felt_pct = faults.gain * felt_pct + faults.offset_pct + faults.drift_pct_per_day * now_s / 86400.0
        return Sample(self.name, round(temp_c, 1), round(min(99.9, max(0.0, felt_pct)), 1))


class LightSensor(SimSensor):
    """Like a BH1750: a 16-bit count, so that direct sun can be more than it can say."""

    _held: Sample | None = None

    def _answer(self, now_s: float) -> Sample:
        if self._held is not None and _within(self._faults.stuck_h, now_s):
            return self._held
        light_lx = self._world.at(now_s).light_lx * self._random.gauss(1.0, _LIGHT_NOISE)
        count = min(65535, max(0, int(light_lx * 1.2)))
        if _within(self._faults.saturated_h, now_s):
            count = 65535
        self._held = Sample(self.name, light_lx=round(count / 1.2, 1), saturated=count == 65535)
        return self._held


class JarProbe(SimSensor):
    """Like a DS18B20 taped to a jar: sixteenths of a degree, about a second for a conversion."""

    spacing_s = 1.0
    _held: Sample | None = None

    def _answer(self, now_s: float) -> Sample:
        if self._held is not None and _within(self._faults.stuck_h, now_s):
            return self._held
        true_c = self._world.at(now_s).jar(self._plan.jar).temp_c
        read_c = true_c + self._faults.offset_c + self._random.gauss(0.0, _PROBE_NOISE_C)
        self._held = Sample(self.name, temp_c=round(read_c * 16.0) / 16.0)
        return self._held


_KINDS: dict[str, type[SimSensor]] = {"climate": ClimateSensor, "light": LightSensor, "jar": JarProbe}


def sensor_of(plan: SensorPlan, world: World, elapsed_s: Callable[[], float], seed: int) -> SimSensor:
    """Return the sensor that a plan describes, not yet open."""
    return _KINDS[plan.kind](plan, world, elapsed_s, seed)


def _within(spans_h: tuple[Span, ...], now_s: float) -> bool:
    return bool(spans_h) and any(since_h * 3600.0 <= now_s < until_h * 3600.0 for since_h, until_h in spans_h)


def _times(value: float | None, factor: float) -> float | None:
    return None if value is None else value * factor
