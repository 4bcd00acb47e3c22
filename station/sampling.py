"""Asking the sensors, and making the minute's reading of what they say."""

from collections.abc import Iterable
from datetime import datetime

from station.domain.minute import minute_of
from station.domain.quality import JudgedSample, SensorState, judge_sample
from station.domain.readings import Miss, Reading
from station.ports import Sensor


class Sampler:
    """Asks each sensor within its own spacing, judges the answers, and gathers them into readings.

    Args:
        sensors: the parts, opened by `open`.
        probes: the names of those that are fixed to jars.
    """

    def __init__(self, sensors: Iterable[Sensor], probes: frozenset[str] = frozenset()) -> None:
        self._sensors = tuple(sensors)
        self._probes = probes
        self._states = {sensor.name: SensorState() for sensor in self._sensors}
        self._sampled_s: dict[str, float] = {}
        self._asked_s: dict[str, float] = {}
        self._judged: list[JudgedSample] = []
        self._misses: list[Miss] = []

    def open(self) -> None:
        """Open every sensor.

        Raises:
            SensorError: one cannot be opened; the others are closed again.
        """
        try:
            for sensor in self._sensors:
                sensor.open()
        except Exception:
            self.close()
            raise

    def close(self) -> None:
        """Close every sensor."""
        for sensor in self._sensors:
            sensor.close()

    def poll(self, boot_s: float) -> None:
        """Ask every sensor whose spacing has passed."""
        for sensor in self._sensors:
            asked_s = self._asked_s.get(sensor.name)
            if asked_s is None or boot_s - asked_s >= sensor.spacing_s:
                self._asked_s[sensor.name] = boot_s
                self._ask(sensor, boot_s)

    def _ask(self, sensor: Sensor, boot_s: float) -> None:
        answer = sensor.sample()
        if isinstance(answer, Miss):
            self._misses.append(answer)
            return
        name = sensor.name
        elapsed_s = boot_s - self._sampled_s.get(name, boot_s)
        self._sampled_s[name] = boot_s
        self._states[name], judged = judge_sample(self._states[name], answer, elapsed_s)
        self._judged.append(judged)

    def reading(self, measured_at: datetime, boot_id: str, boot_s: float, trusted: bool, span_s: float) -> Reading:  # noqa: FBT001
        """Gather what was sampled since the last call into one reading, and begin the next minute."""
        minute = minute_of(self._judged, self._misses, self._probes)
        self._judged, self._misses = [], []
        return Reading(
            measured_at=measured_at,
            boot_id=boot_id,
            boot_s=boot_s,
            temp_c=minute.temp_c,
            rh_pct=minute.rh_pct,
            light_lx=minute.light_lx,
            good=minute.good,
            missed=minute.missed,
            trusted=trusted,
            span_s=span_s,
            marks=minute.marks,
            probes=minute.probes,
        )
