"""A jar of whose time little was measured: its warmth is not known, and the calendar has to do in its place."""

from datetime import datetime, timedelta

from station.domain.jars import Jar
from station.domain.outlook import Outlook
from station.domain.preparations import Preparation
from station.domain.warmth import JarHeat, Warmth

CALENDAR_DAYS = 5
"""Common practice: five or six days. From the fifth on somebody is to look, so that no jar is forgotten."""
MANY_MISSING_H = 24.0
"""With a day and more missing, and more missing than known, what a jar has had is mostly a guess."""
NOT_MEASURED = "warmth not measured"


def mostly_missing(known_h: float, missing_h: float) -> bool:
    """Whether so much of a jar's time is missing that its warmth is mostly a guess.

    The share is a half: hours that nobody measured are taken to have been like those that were, and beyond a half most
    of what is told rests on that. A few hours on the first day are no matter (`MANY_MISSING_H`).

    Args:
        known_h: hours that were measured or bridged.
        missing_h: hours of which nothing is known.
    """
    return missing_h >= MANY_MISSING_H and missing_h > known_h


def nothing_measured(heat: JarHeat) -> bool:
    """Whether not one hour of a jar was measured, so that its warmth is no number at all."""
    return heat.warmth.observed_h == 0.0


def known_h(warmth: Warmth) -> float:
    """Return the hours of a jar that were measured or bridged."""
    return warmth.observed_h + warmth.bridged_h


def stood_h(jar: Jar, now_at: datetime) -> float:
    """Return the hours a jar has stood on the shelf so far, 0 or more."""
    return max(((jar.off_shelf_at or now_at) - jar.packed_at) / timedelta(hours=1), 0.0)


def hardly_measured(jar: Jar, heat: JarHeat, now_at: datetime) -> bool:
    """Whether most of a jar's time so far is missing; a gap that still goes on counts, too."""
    known, stood = known_h(heat.warmth), stood_h(jar, now_at)
    return nothing_measured(heat) or mostly_missing(known, stood - known)


def warmth_of_parts(jar: Jar, outlook: Outlook, now_at: datetime) -> str | None:
    """Return what is known of the warmth of a jar that was hardly measured, or None where it was measured well."""
    heat = outlook.heat
    if nothing_measured(heat):
        return NOT_MEASURED
    if not hardly_measured(jar, heat, now_at):
        return None
    hours = f"{known_h(heat.warmth):,.0f} of {stood_h(jar, now_at):,.0f} h measured"
    return f"{outlook.warm_days:.1f} warm-days in the {hours}"


def calendar_text(jar: Jar, outlook: Outlook | None, now_at: datetime) -> str:
    """Ask a person to look at a jar whose warmth is not known, once it is about ready by the calendar; else "".

    No date is told: only how long ago it was packed, and that it is the calendar that says so.

    Args:
        jar: a jar; one that goes by days needs no warmth.
        outlook: what the station thinks of it; None before its first minute with it.
        now_at: when it is read.
    """
    days = int(stood_h(jar, now_at) // 24)
    if not jar.on_shelf or jar.packing.preparation is not Preparation.FERMENT or jar.due_at is not None:
        return ""
    if days < CALENDAR_DAYS or (outlook is not None and not hardly_measured(jar, outlook.heat, now_at)):
        return ""
    return (
        f"Look at {jar.id} yourself: {_missing_text(jar, outlook, now_at)}; by the calendar it is about ready "
        f"(packed {days} days ago)."
    )


def _missing_text(jar: Jar, outlook: Outlook | None, now_at: datetime) -> str:
    if outlook is None:
        return "its warmth was not counted"
    if nothing_measured(outlook.heat):
        return "nothing was measured"
    stood = stood_h(jar, now_at)
    return f"{stood - known_h(outlook.heat.warmth):,.0f} of its {stood:,.0f} h were not measured"
