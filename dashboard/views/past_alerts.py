"""Alerts that have cleared, day by day: of a day of clouds one line, which opens."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import groupby

from dashboard.views.alerts import AlertLine, alert_lines
from dashboard.views.manner import Manner
from station.domain.alert import Alert
from station.domain.moments import plain_day_text
from station.domain.sentences import several_sentence


@dataclass(frozen=True, slots=True)
class Group:
    """Alerts of one kind on one day, the newest first; `text` tells them in one sentence, "" where there is but one."""

    text: str
    lines: tuple[AlertLine, ...]


@dataclass(frozen=True, slots=True)
class Day:
    """A local day on which alerts were raised, such as "Thu 14 May"."""

    name: str
    groups: tuple[Group, ...]


def past_days(alerts: Iterable[Alert], plants: Mapping[str, str], manner: Manner) -> tuple[Day, ...]:
    """Return alerts that have cleared by the day on which they were raised.

    Args:
        alerts: the newest first; open ones are left out.
        plants: the plant of each jar's id.
        manner: zone and units.
    """
    by_day = groupby(
        (alert for alert in alerts if not alert.open), lambda one: one.raised_at.astimezone(manner.zone).date()
    )
    days = ([*of_day] for _, of_day in by_day)
    found = ((of_day[0], tuple(_groups(of_day, plants, manner))) for of_day in days)
    return tuple(Day(plain_day_text(first.raised_at, manner.zone), groups) for first, groups in found if groups)


def _groups(alerts: Iterable[Alert], plants: Mapping[str, str], manner: Manner) -> Iterator[Group]:
    """Yield a day's alerts, those about the shelf together by their kind, each about a jar by itself."""
    alike: dict[str, list[Alert]] = {}
    for alert in alerts:
        alike.setdefault(alert.id if alert.jar_id else alert.kind, []).append(alert)
    for these in alike.values():
        lines = tuple(line for one in these for line in alert_lines((one,), plants, one.raised_at, manner))
        if lines:
            yield Group(several_sentence(these, manner.zone, manner.unit) if these[1:] else "", lines)
