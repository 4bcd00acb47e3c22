"""A replay as people read it."""

from collections.abc import Iterator
from datetime import datetime, tzinfo
from typing import TYPE_CHECKING

from station.config import Settings
from station.domain.alert import Alert
from station.domain.conditions import Kind
from station.domain.figures import counted, light_text, rh_text, temp_text
from station.domain.hindsight import evening_foreseen, played_sentence, ready_in_hindsight
from station.domain.jars import Jar
from station.domain.moments import moment_text, range_text
from station.domain.outlook import Outlook
from station.domain.unmeasured import NOT_MEASURED, known_h, mostly_missing, nothing_measured

if TYPE_CHECKING:
    from sim.replay import Replay

MOST_ALERTS = 12
"""More than this are counted, not listed."""


def replay_text(outcome: "Replay", rejected: int, settings: Settings) -> str:
    """Return a replay's summary: the log, the shelf, the alerts, the jars."""
    return "\n".join(_lines(outcome, rejected, settings))


def _lines(outcome: "Replay", rejected: int, settings: Settings) -> Iterator[str]:
    zone = settings.zone
    assert outcome.first_at is not None  # noqa: S101 - the command refuses an empty log
    assert outcome.last_at is not None  # noqa: S101
    yield (
        f"{counted(outcome.count, 'reading')}, "
        f"{moment_text(outcome.first_at, zone)} to {moment_text(outcome.last_at, zone)}"
        + (f", {counted(outcome.gaps, 'gap')}" if outcome.gaps else "")
        + (f", {counted(rejected, 'row')} left out" if rejected else "")
        + f" (times of {settings.place.zone})"
    )
    yield from shelf_lines(outcome, settings)
    yield from _alert_lines(outcome, settings)
    for jar, outlook in outcome.jars:
        yield ""
        yield from jar_lines(jar, outlook, outcome, zone)


def shelf_lines(outcome: "Replay", settings: Settings) -> Iterator[str]:
    """Yield the shelf's extremes and its hours under each condition."""
    unit = settings.units.temperature
    temp = outcome.temp_c
    if temp.least is not None and temp.mean is not None and temp.most is not None:
        yield _extremes("temperature", *(temp_text(value, unit) for value in (temp.least, temp.mean, temp.most)))
    rh, light = outcome.rh_pct, outcome.light_lx
    if rh.least is not None and rh.mean is not None and rh.most is not None:
        yield _extremes("humidity", rh_text(rh.least), rh_text(rh.mean), rh_text(rh.most))
    if light.least is not None and light.mean is not None and light.most is not None:
        yield _extremes("light", light_text(light.least), light_text(light.mean), light_text(light.most))
    hours = [f"{kind} {outcome.condition_h[kind]:.1f} h" for kind in Kind if kind in outcome.condition_h]
    yield f"  {'conditions':<12} " + (", ".join(hours) if hours else "none")


def _extremes(name: str, least: str, mean: str, most: str) -> str:
    return f"  {name:<12} {least} to {most}, mean {mean}"


def _alert_lines(outcome: "Replay", settings: Settings) -> Iterator[str]:
    alerts = outcome.alerts
    zone = settings.zone
    if not alerts:
        yield "No alerts."
        return
    yield f"{counted(len(alerts), 'alert')}:"
    for alert in alerts[:MOST_ALERTS]:
        yield f"  {moment_text(alert.raised_at, zone)}  {_sentence(alert, outcome, settings)}"
    if len(alerts) > MOST_ALERTS:
        yield f"  and {len(alerts) - MOST_ALERTS} more; --json has them all"


def _sentence(alert: Alert, outcome: "Replay", settings: Settings) -> str:
    foreseen_at = outcome.foreseen.get(alert.id)
    return played_sentence(alert, foreseen_at, settings.zone, settings.units.temperature, alert.jar_id)


def no_dates_because(jar: Jar, outlook: Outlook, first_at: datetime | None, zone: tzinfo) -> str:
    """Return why no date can be told of a jar of which little was measured, in one sentence; "" if it can.

    Args:
        jar, outlook: the jar, and what the log came to for it.
        first_at: when the log begins.
        zone: for that moment.
    """
    warmth = outlook.heat.warmth
    had_h, missing_h = known_h(warmth), warmth.missing_h
    if not mostly_missing(had_h, missing_h):
        return ""
    late = first_at is not None and jar.packed_at < first_at
    begins = f" (the log begins {moment_text(first_at, zone)})" if first_at and late else ""
    return (
        f"{missing_h:,.0f} of {had_h + missing_h:,.0f} h since packing were not measured{begins}: no date can be told"
    )


def jar_lines(jar: Jar, outlook: Outlook | None, outcome: "Replay", zone: tzinfo) -> Iterator[str]:
    """Yield one jar's warmth, range and strain evening."""
    yield f"{jar.plant}, packed {moment_text(jar.packed_at, zone)}"
    if outlook is None:
        yield "  no readings since packing: warmth unknown"
        return
    if nothing_measured(outlook.heat):
        yield f"  {NOT_MEASURED}"
        return
    warmth = outlook.heat.warmth
    missing = f", {warmth.missing_h:.1f} h missing" if warmth.missing_h else ""
    yield (
        f"  warmth       {outlook.warm_days:.2f} of about {outlook.need_likely:.1f} warm-days "
        f"({outlook.degree_hours:,.0f} °C·h over {warmth.observed_h:.1f} h{missing})"
    )
    if why := no_dates_because(jar, outlook, outcome.first_at, zone):
        yield f"  note         {why}"
        return
    yield from _date_lines(outlook, outcome.evenings.get(jar.id), zone)
    for caveat in outlook.caveats:
        yield f"  note         {caveat}"


def _date_lines(outlook: Outlook, evening_at: datetime | None, zone: tzinfo) -> Iterator[str]:
    if outlook.ready_since_at is not None:
        yield f"  ready        {ready_in_hindsight(outlook.ready_since_at, zone)}"
    if outlook.ready_early_at or outlook.ready_at is None:
        yield "  range        " + range_text(
            outlook.ready_early_at, outlook.ready_likely_at, outlook.ready_late_at, zone
        )
    if foreseen := evening_foreseen(outlook, evening_at, zone):
        yield f"  strain       {foreseen}"
