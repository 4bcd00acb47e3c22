"""The weather outside the house: season, day, passing systems, clouds and moisture, all from one seed."""

import math
from dataclasses import dataclass
from datetime import UTC, datetime
from statistics import NormalDist

from sim.bounds import KEYS, NotNegative, Number, Positive, Share, Temperature
from sim.chance import Wander, stream
from sim.moisture import moisture_gm3

DAY_S = 86400.0
_YEAR_S = 365.25 * DAY_S
_WARMEST_DAY = 205.0
"""Late July in the north; the ground's turn comes some forty days later."""
_GROUND_LAG_DAYS = 40.0
_GROUND_SHARE = 0.4
_WARMEST_HOUR = 15.0
_DEW_FOLLOWS = 0.5
"""Warm air brings more water with it, but a heatwave is not a steam bath."""
_CLOUD_SPREAD = 1.6
"""Above 1 the cover is mostly little or mostly much, as skies are."""


@dataclass(frozen=True, slots=True)
class Spell:
    """Some days that are unlike the rest.

    Args:
        days: from and until, days since the start; it comes and goes within half a day.
        temp_c: how much warmer the air is, °C.
        cloud_steps: how much cloudier, in standard steps; −3 is a clear sky, 3 an overcast one.
    """

    __pydantic_config__ = KEYS
    days: tuple[Number, Number]
    temp_c: Number = 0.0
    cloud_steps: Number = 0.0

    def strength(self, day: float) -> float:
        """Return how much of it is felt on a day since the start, 0 to 1."""
        since, until = self.days
        return max(0.0, min(1.0, 2.0 * (day - since), 2.0 * (until - day)))


@dataclass(frozen=True, slots=True)
class Climate:
    """What weather a place has.

    Args:
        mean_c: mean of the year, °C.
        season_swing_c: half the difference between the warmest and the coldest time of year.
        day_swing_c: half the difference between day and night under a clear sky.
        system_swing_c: standard deviation that passing systems bring.
        system_days: how long such a system lasts.
        cloud: mean share of the sky that is covered.
        dew_gap_c: how far the dew point lies below the season's temperature, on a middling day.
        spells: days unlike the rest.
    """

    __pydantic_config__ = KEYS
    mean_c: Temperature = 10.0
    season_swing_c: NotNegative = 6.5
    day_swing_c: NotNegative = 4.5
    system_swing_c: NotNegative = 2.0
    system_days: Positive = 2.5
    cloud: Share = 0.6
    dew_gap_c: NotNegative = 3.0
    spells: tuple[Spell, ...] = ()


@dataclass(frozen=True, slots=True)
class Outside:
    """The air outside at one moment.

    Args:
        temp_c: air temperature, °C.
        moisture_gm3: water in it, g/m³.
        cover: share of the sky that is covered, 0 to 1.
        sun_covered: whether a cloud stands before the sun just now.
        ground_c: temperature of the ground about a cellar, °C.
    """

    temp_c: float
    moisture_gm3: float
    cover: float
    sun_covered: bool
    ground_c: float


class Weather:
    """Weather that goes on step by step, the same for the same seed.

    Args:
        climate: what weather the place has.
        lat_deg: latitude; the seasons turn about south of the equator.
        lon_deg: longitude; gives the hour of the sun.
        start_at: aware time of second 0.
        seed: the scenario's seed.
    """

    def __init__(self, climate: Climate, lat_deg: float, lon_deg: float, start_at: datetime, seed: int) -> None:
        self._climate = climate
        first = start_at.astimezone(UTC)
        self._year_day = first.timetuple().tm_yday + (0.0 if lat_deg >= 0.0 else 182.6)
        self._sun_time_s = 3600.0 * first.hour + 60.0 * first.minute + first.second + 240.0 * lon_deg
        self._system = Wander(stream(seed, "system"), climate.system_days * DAY_S)
        self._cloud = Wander(stream(seed, "cloud"), 10 * 3600.0)
        self._ripple = Wander(stream(seed, "ripple"), 12 * 60.0)
        self._dryness = Wander(stream(seed, "dryness"), 1.5 * DAY_S)
        mean_cover = min(max(climate.cloud, 0.01), 0.99)
        self._cloud_mean = NormalDist().inv_cdf(mean_cover) * math.sqrt(1.0 + _CLOUD_SPREAD**2)
        self._haze = mean_cover

    def step(self, elapsed_s: float, span_s: float) -> Outside:
        """Let `span_s` seconds go by, up to `elapsed_s` since the start, and return the air outside."""
        day = elapsed_s / DAY_S
        cloudiness = self._cloud_mean + _CLOUD_SPREAD * self._cloud.step(span_s)
        warmer_c = self._system.step(span_s) * self._climate.system_swing_c
        for spell in self._climate.spells:
            strength = spell.strength(day)
            warmer_c += strength * spell.temp_c
            cloudiness += strength * spell.cloud_steps
        cover = 0.5 * (1.0 + math.erf(cloudiness * math.sqrt(0.5)))
        self._haze += (cover - self._haze) * min(1.0, span_s / 10800.0)
        season_c = self._season_c(day, 0.0, 1.0)
        temp_c = season_c + warmer_c + self._of_the_day_c(elapsed_s)
        gap_c = self._climate.dew_gap_c * math.exp(0.4 * self._dryness.step(span_s))
        dew_c = min(temp_c - 0.2, season_c + _DEW_FOLLOWS * warmer_c - gap_c)
        covered = self._ripple.step(span_s) < cloudiness
        return Outside(
            temp_c,
            moisture_gm3(dew_c, temp_c),
            cover,
            covered,
            self._season_c(day, _GROUND_LAG_DAYS, _GROUND_SHARE),
        )

    def _season_c(self, day: float, lag_days: float, share: float) -> float:
        turn = 2.0 * math.pi * (self._year_day + day - _WARMEST_DAY - lag_days) * DAY_S / _YEAR_S
        return self._climate.mean_c + share * self._climate.season_swing_c * math.cos(turn)

    def _of_the_day_c(self, elapsed_s: float) -> float:
        hour = (self._sun_time_s + elapsed_s) / 3600.0
        swing_c = self._climate.day_swing_c * (1.0 - 0.65 * self._haze)
        return swing_c * math.cos(math.pi * (hour - _WARMEST_HOUR) / 12.0)
