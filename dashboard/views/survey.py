"""What the survey page shows: whether a spot is a good one, and how two compare."""

from collections.abc import Iterable
from dataclasses import dataclass

from dashboard.views.manner import Manner
from station.domain.readings import Reading
from station.domain.shelf import Judge
from station.domain.survey import Spot, spot_verdict, surveyed
from station.domain.survey_words import spot_rows


@dataclass(frozen=True, slots=True)
class SpotView:
    """One spot: its name, its verdict in a sentence, and what was found, line by line."""

    name: str
    verdict: str
    rows: tuple[tuple[str, str], ...]


def spot_view(name: str, readings: Iterable[Reading], manner: Manner) -> SpotView:
    """Return a spot's survey.

    Args:
        name: what the spot is called.
        readings: its log, in order of time.
        manner: limits, place, units and base temperature.
    """
    return shown(name, surveyed(readings, Judge(manner.limits, manner.place), manner.base_c), manner)


def shown(name: str, spot: Spot, manner: Manner) -> SpotView:
    """Return a survey that was made."""
    return SpotView(name, spot_verdict(spot), spot_rows(spot, manner.unit))
