"""Virtual jars on a logged shelf: what the station would have known of each, and the work it has truly done.

Their truth is the model world's: work goes on by the cardinal temperature model.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import groupby
from statistics import fmean

from sim.kinetics import relative_rate
from station.domain.forecast import ReadyRange, ready_range
from station.domain.paths import HISTORY_DAYS, HourMean, shelf_paths
from station.domain.readiness import Belief
from station.domain.readings import Reading
from station.domain.warmth import TIME_CONSTANT_S, JarHeat, followed, fresh


@dataclass(frozen=True, slots=True)
class Moment:
    """A virtual jar at one moment: what the station knows of it, and the work truly done, days at 20 °C."""

    heat: JarHeat
    work_days: float


@dataclass(frozen=True, slots=True)
class VirtualJar:
    """A virtual jar's whole life."""

    packed_at: datetime
    moments: Sequence[Moment]
    ready_at: datetime

    def heat_at(self, share: float) -> JarHeat:
        """Return its heat when so much of its time had passed."""
        at = self.packed_at + share * (self.ready_at - self.packed_at)
        past = bisect_right(self.moments, at, key=lambda moment: moment.heat.through_at)
        return self.moments[past - 1].heat


class LoggedShelf:
    """A log, with what is looked up in it again and again.

    Args:
        readings: in order of time.
        shift_temp_c: added to every temperature, °C.
    """

    def __init__(self, readings: Iterable[Reading], shift_temp_c: float) -> None:
        self._readings = [replace(one, temp_c=one.temp_c + shift_temp_c) for one in readings if one.temp_c is not None]
        self._times = [one.measured_at for one in self._readings]
        self._hours = list(_hour_means(self._readings))
        self._hour_times = [hour.at for hour in self._hours]

    def packings(self, settle_h: float, every_h: float) -> Iterator[datetime]:
        """Yield when jars are packed: so many hours after the log begins, and then every so many hours to its end."""
        if self._times:
            at = self._times[0] + timedelta(hours=settle_h)
            while at < self._times[-1]:
                yield at
                at += timedelta(hours=every_h)

    def life(self, packed_at: datetime) -> Iterator[Moment]:
        """Yield a jar's heat, and the work it has truly done, after each reading from its packing on."""
        moment = Moment(fresh(packed_at), 0.0)
        for reading in self._readings[bisect_right(self._times, packed_at) :]:
            moment = _later(moment, reading)
            yield moment

    def ready_range(self, belief: Belief, heat: JarHeat) -> ReadyRange:
        """Return the range that the station would have given just then."""
        at = heat.through_at
        first = bisect_left(self._hour_times, at - timedelta(days=HISTORY_DAYS))
        last = bisect_right(self._hour_times, at - timedelta(hours=1))
        present_c = self._readings[max(bisect_right(self._times, at) - 1, 0)].temp_c
        return ready_range(belief, heat, shelf_paths(self._hours[first:last], at, present_c))


def finished(shelf: LoggedShelf, packed_at: datetime, need_days: float) -> VirtualJar | None:
    """Return a jar that became ready within the log, or None if it did not.

    Args:
        shelf: where it stands.
        packed_at: when it is packed.
        need_days: how many days at 20 °C it truly takes.
    """
    moments = [Moment(fresh(packed_at), 0.0)]
    for moment in shelf.life(packed_at):
        before = moments[-1]
        moments.append(moment)
        if moment.work_days >= need_days:
            part = (need_days - before.work_days) / (moment.work_days - before.work_days)
            start_at = before.heat.through_at
            return VirtualJar(packed_at, moments, start_at + part * (moment.heat.through_at - start_at))
    return None


def _hour_means(readings: Iterable[Reading]) -> Iterator[HourMean]:
    for at, group in groupby(readings, lambda one: one.measured_at.replace(minute=0, second=0, microsecond=0)):
        yield HourMean(at, fmean(one.temp_c for one in group if one.temp_c is not None))


def _later(moment: Moment, reading: Reading) -> Moment:
    before, after = moment.heat, followed(moment.heat, reading, TIME_CONSTANT_S)
    if after is before or after.temp_c is None:
        return moment
    start_c = after.temp_c if before.temp_c is None else before.temp_c
    days = (after.through_at - before.through_at) / timedelta(days=1)
    return Moment(after, moment.work_days + days * relative_rate(0.5 * (start_c + after.temp_c)))
