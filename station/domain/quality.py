"""Which samples to believe.

Every sensor has a state that its samples step through: `judge_sample(state, sample, elapsed_s) -> (state, judged)`.
A value far from the last accepted one is doubted until following samples agree with it, so a lone fault is dropped and
a true change is followed.
"""

from dataclasses import dataclass
from enum import StrEnum

from station.domain.air import RH_MOST_PCT, TEMP_HIGH_C, TEMP_LOW_C
from station.domain.readings import Sample

MINUTE_S = 60.0

GROWTH_MINUTES = 5.0
"""A true change can grow with the time that passed since the last accepted value, for this many minutes; after that a
large one must be confirmed like any other (own choice: 10 °C or 25 %RH)."""

STILL_S = 3600.0
STILL_BELOW_RH_PCT = 95.0
"""A sensor that gives the very same temperature and humidity for 60 minutes is stuck, unless air is near saturation.

The time and the exception are the WMO's (minimum variability), the band is not: theirs, less than 0.1 °C and 1 %RH, is
made for weather and calls the quiet air of a half-heated house stuck for 27 % of a winter (TRH database, Tampere, every
10 minutes). Sensors read every 5 s and rounded to 0.1 never repeated themselves for longer than 13 minutes (Suthaharan
et al. 2010, labelled single-hop sensor network)."""

STILL_GAP_S = 300.0
"""A pause longer than this says nothing about stillness: nobody looked (own choice)."""


class Reason(StrEnum):
    """What became of a value, and why."""

    GOOD = "good"
    SATURATED = "saturated"
    """Used, as a lower bound: the light was at the sensor's full scale."""
    OUT_OF_RANGE = "out of range"
    UNCONFIRMED = "unconfirmed"
    """The first value of a sensor: there is nothing to compare it with until a second one agrees."""
    JUMP = "jump"
    """Further from the last accepted value than the air changes in that time; no following value has agreed yet."""
    DOUBLED = "doubled or halved"
    """Twice or half the last accepted value: a lost bit that passed the checksum is likelier than a true change."""
    STUCK = "stuck"


USED = (Reason.GOOD, Reason.SATURATED)

AGREEING = {Reason.UNCONFIRMED: 1, Reason.JUMP: 1, Reason.DOUBLED: 3}
"""How many following values must agree with a doubted one. Of DHT22 reads 1 in 500 to 1,000 passes its checksum doubled
or halved (field reports): at one read in 10 s two alike in a row come some twice a year, four in a row never."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What values of a quantity are believed.

    Args:
        low, high: the range.
        most: values from `high` to this count as `high`.
        step: the largest change between two values up to a minute apart that needs no confirmation.
    """

    low: float
    high: float
    most: float
    step: float


TEMP_LIMITS = Limits(TEMP_LOW_C, TEMP_HIGH_C, TEMP_HIGH_C, step=2.0)
"""°C. Range: AM2302 data sheet; 85 °C, which a DS18B20 shows at power-on, is outside. Step: WMO, largest change from
one sample to the next."""

RH_LIMITS = Limits(0.0, 100.0, RH_MOST_PCT, step=5.0)
"""%RH. Range: by definition. Step: WMO, likewise."""

LIGHT_MOST_LX = 200_000.0
"""Direct sun is 32,000 to 100,000 lx (illuminance tables); above twice that it is no light. Light has no step check: a
cloud passes in a second."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """A value that waits for others to agree with it.

    Args:
        value: the newest of the values that agree.
        at_s: when it came, on the sensor's own count of seconds.
        reason: why the first of them was doubted.
        agreed: how many followed it.
    """

    value: float
    at_s: float
    reason: Reason
    agreed: int = 0


@dataclass(frozen=True, slots=True)
class Channel:
    """One quantity of one sensor: its last accepted value, when that came, and the doubt that is open."""

    value: float | None = None
    at_s: float = 0.0
    doubt: Doubt | None = None


@dataclass(frozen=True, slots=True)
class Stillness:
    """Since when a sensor has given the same two values."""

    since_s: float
    temp_c: float
    rh_pct: float


@dataclass(frozen=True, slots=True)
class SensorState:
    """What the checks remember of one sensor. A new sensor begins with `SensorState()`.

    Args:
        clock_s: seconds counted so far.
        temp, rh: its two channels that have a memory.
        still: since when it has not moved; None before its first sample with both.
    """

    clock_s: float = 0.0
    temp: Channel = Channel()
    rh: Channel = Channel()
    still: Stillness | None = None


@dataclass(frozen=True, slots=True)
class JudgedSample:
    """A sample after the checks.

    Args:
        sample: what is left of it: a value that is not to be used is None.
        temp, rh, light: what became of each value; None where the sensor gave none.
    """

    sample: Sample
    temp: Reason | None
    rh: Reason | None
    light: Reason | None

    @property
    def reasons(self) -> tuple[Reason, ...]:
        """What became of the values that the sensor gave."""
        return tuple(reason for reason in (self.temp, self.rh, self.light) if reason is not None)

    @property
    def used(self) -> bool:
        """Whether anything is left of it."""
        return any(reason in USED for reason in self.reasons)

    @property
    def doubted(self) -> bool:
        """Whether any of its values was dropped."""
        return any(reason not in USED for reason in self.reasons)


def judge_sample(state: SensorState, sample: Sample, elapsed_s: float) -> tuple[SensorState, JudgedSample]:
    """Judge one sample of a sensor by those before it.

    The first value of each quantity only serves to confirm the second. Stuck needs both temperature and humidity, so a
    probe that measures temperature alone never is: a jar may well keep its temperature for an hour.

    Args:
        state: what is remembered of this sensor.
        sample: its answer; any number, nan too.
        elapsed_s: seconds since its previous sample, misses not counted as samples; from a clock that does not step.

    Returns:
        The state for the next sample, and the sample with what became of each value.

    Source: range, step and stillness after WMO, Guidelines on Quality Control Procedures for Data from Automatic
    Weather Stations; following a true change, and doubled values, are this project's own.
    """
    at_s = state.clock_s + elapsed_s
    temp, temp_reason = _judge_value(TEMP_LIMITS, state.temp, sample.temp_c, at_s)
    rh, rh_reason = _judge_value(RH_LIMITS, state.rh, sample.rh_pct, at_s)
    temp_c = temp.value if temp_reason is Reason.GOOD else None
    rh_pct = rh.value if rh_reason is Reason.GOOD else None
    still = state.still
    if temp_c is not None and rh_pct is not None:
        still = _watch(state, temp_c, rh_pct, at_s)
        if at_s - still.since_s >= STILL_S:
            temp_c = rh_pct = None
            temp_reason = rh_reason = Reason.STUCK
    light_lx, light_reason = _judge_light(sample)
    left = Sample(sample.sensor, temp_c, rh_pct, light_lx, light_reason is Reason.SATURATED)
    return SensorState(at_s, temp, rh, still), JudgedSample(left, temp_reason, rh_reason, light_reason)


def _judge_value(limits: Limits, channel: Channel, value: float | None, at_s: float) -> tuple[Channel, Reason | None]:
    if value is None:
        return channel, None
    # Written so that nan is out of range.
    if not limits.low <= value <= limits.most:
        return channel, Reason.OUT_OF_RANGE
    value = min(value, limits.high)
    reason = _why_doubted(limits, channel, value, at_s)
    if reason is None:
        return Channel(value, at_s), Reason.GOOD
    return _weigh(limits, channel, Doubt(value, at_s, reason))


def _why_doubted(limits: Limits, channel: Channel, value: float, at_s: float) -> Reason | None:
    last = channel.value
    if last is None:
        return Reason.UNCONFIRMED
    change = abs(value - last)
    if change <= limits.step:
        return None
    # Half a step is how far the true value may have moved under the lost bit.
    if min(abs(value / 2 - last), abs(value * 2 - last)) <= limits.step / 2:
        return Reason.DOUBLED
    return None if change <= _allowed(limits, at_s - channel.at_s) else Reason.JUMP


def _weigh(limits: Limits, channel: Channel, doubt: Doubt) -> tuple[Channel, Reason]:
    """Let a doubted value agree with the one that is doubted already, or take that one's place."""
    earlier = channel.doubt
    if earlier is not None and abs(doubt.value - earlier.value) <= _allowed(limits, doubt.at_s - earlier.at_s):
        if earlier.agreed + 1 >= AGREEING[earlier.reason]:
            return Channel(doubt.value, doubt.at_s), Reason.GOOD
        doubt = Doubt(doubt.value, doubt.at_s, earlier.reason, earlier.agreed + 1)
    return Channel(channel.value, channel.at_s, doubt), doubt.reason


def _allowed(limits: Limits, elapsed_s: float) -> float:
    return limits.step * min(max(elapsed_s / MINUTE_S, 1.0), GROWTH_MINUTES)


def _watch(state: SensorState, temp_c: float, rh_pct: float, at_s: float) -> Stillness:
    """The stillness that goes on, or a new one when the values moved, are near saturation or came late."""
    still = state.still
    paused = at_s - min(state.temp.at_s, state.rh.at_s) > STILL_GAP_S
    if still is None or paused or rh_pct >= STILL_BELOW_RH_PCT:
        return Stillness(at_s, temp_c, rh_pct)
    return still if still.temp_c == temp_c and still.rh_pct == rh_pct else Stillness(at_s, temp_c, rh_pct)


def _judge_light(sample: Sample) -> tuple[float | None, Reason | None]:
    light_lx = sample.light_lx
    if light_lx is None:
        return None, None
    if not 0.0 <= light_lx <= LIGHT_MOST_LX:
        return None, Reason.OUT_OF_RANGE
    return light_lx, Reason.SATURATED if sample.saturated else Reason.GOOD
