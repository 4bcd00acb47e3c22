"""A sensor with its corrections: the raw sensor stays what it was, and raw values can be worked out again."""

from collections.abc import Callable, Sequence

from station.domain.corrections import Correction, corrected
from station.domain.readings import Miss, Sample
from station.ports import Sensor

Corrections = Callable[[], Sequence[Correction]]
"""Asked at every sample, so that a new correction counts from the next one on."""


def none() -> Sequence[Correction]:
    """Return no corrections."""
    return ()


class Corrected:
    """A sensor whose samples are corrected.

    Args:
        sensor: the raw sensor.
        corrections: returns those that hold now, for any sensor.
    """

    def __init__(self, sensor: Sensor, corrections: Corrections) -> None:
        self._sensor = sensor
        self._corrections = corrections

    @property
    def name(self) -> str:
        """Its name in the settings."""
        return self._sensor.name

    @property
    def spacing_s(self) -> float:
        """The least number of seconds between two questions."""
        return self._sensor.spacing_s

    def open(self) -> None:
        """Open the raw sensor."""
        self._sensor.open()

    def sample(self) -> Sample | Miss:
        """Ask the raw sensor and correct what it says."""
        answer = self._sensor.sample()
        return answer if isinstance(answer, Miss) else corrected(answer, self._corrections())

    def close(self) -> None:
        """Close the raw sensor."""
        self._sensor.close()
