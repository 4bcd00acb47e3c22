"""What is said to people: one sentence with the number, since when, and what to do; for pages, alerts and shell."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, timedelta, tzinfo

from station.domain.alert import Alert, AlertKind
from station.domain.conditions import Kind, State
from station.domain.figures import TempUnit, counted, light_text, number_text, rh_text, temp_text
from station.domain.guidance import GOOD_HIGH_C, GOOD_LOW_C, Limits
from station.domain.moments import age_text, moment_text, seen_from
from station.domain.readings import Reading

_REMEDIES = {
    Kind.SILENT: "Check the station's plug and its sensors.",
    Kind.SUN: "Move the jars or draw the blind.",
    Kind.HOT: "Move the jars somewhere cooler.",
    Kind.COLD: "Move the jars somewhere warmer.",
    Kind.DAMP: "Air the shelf and keep the covers dry.",
    Kind.BRIGHT: "Hang a cloth in front of the jars.",
}


def verdict(
    conditions: Iterable[State],
    reading: Reading | None,
    unit: TempUnit,
    zone: tzinfo,
    limits: Limits | None = None,
) -> str:
    """Say how the shelf is: one sentence with the number, and what to do if there is anything to do.

    Args:
        conditions: where each condition stands; those left out count as clear.
        reading: the latest reading, or None before the first.
        unit: of temperatures.
        zone: of local times.
        limits: where conditions are raised, for the word "dark"; the defaults if None.
    """
    if reading is None:
        return "Nothing has been measured yet."
    order = list(Kind)
    known = sorted(conditions, key=lambda state: order.index(state.kind))
    raised = [state for state in known if state.raised]
    serious = [state for state in raised if state.kind is not Kind.BRIGHT]
    if serious:
        return _worst(serious, reading, unit, zone)
    coming = next((state for state in known if state.kind in _COMING and _pending(state)), None)
    if coming is not None and coming.since_at is not None and coming.value is not None:
        what = _value_text(coming.kind, coming.value, reading, unit)
        return f"{_COMING[coming.kind]}: {what} since {seen_from(coming.since_at, reading.measured_at, zone)}."
    if raised:
        return f"{_fine(reading, unit, ())} But it is bright: {_bright(limits or Limits())}. {_REMEDIES[Kind.BRIGHT]}"
    return _fine(reading, unit, _qualities(reading, limits or Limits()))


def _bright(limits: Limits) -> str:
    """Return what makes it bright: the bound that a mean went over, since no present number says it."""
    return f"the mean of two hours went above {light_text(limits.bright_lx)}"


def not_writing(measured_at: datetime, now_at: datetime, zone: tzinfo) -> str:
    """Say that the station has stopped: its last minute, measured or not, is old."""
    last = seen_from(measured_at, now_at, zone)
    age = age_text(now_at - measured_at)
    return f"The station is not writing: it last wrote {age}, at {last}. Check its plug, or start it."


_COMING = {
    Kind.SUN: "The sun has reached the shelf",
    Kind.HOT: "Getting too warm",
    Kind.COLD: "Getting too cold",
    Kind.DAMP: "Getting damp",
}


def _pending(state: State) -> bool:
    return not state.raised and state.held_s > 0.0


def _worst(raised: list[State], reading: Reading, unit: TempUnit, zone: tzinfo) -> str:
    first = raised[0]
    since = "" if first.since_at is None else f" since {seen_from(first.since_at, reading.measured_at, zone)}"
    said = _said(first.kind, _present(first, reading), reading, unit)
    also = ", ".join(_ALSO[state.kind] for state in raised[1:])
    return f"{said}{since}. {_REMEDIES[first.kind]}" + (f" Also {also}." if also else "")


def _present(state: State, reading: Reading) -> float | None:
    """Return the value that is told: the reading's own, which is shown beside it, and else the last that was known."""
    values = {Kind.SUN: reading.light_lx, Kind.COLD: reading.air_temp_c, Kind.HOT: reading.air_temp_c}
    value = values.get(state.kind)
    return state.value if value is None else value


_ALSO = {Kind.SUN: "in direct sun", Kind.HOT: "too warm", Kind.COLD: "too cold", Kind.DAMP: "damp"}


def _said(kind: Kind, value: float | None, reading: Reading | None, unit: TempUnit, name: str = "") -> str:
    """Return "Too cold: 13.9 °C"; without the number when it is not known."""
    text = "" if value is None else _value_text(kind, value, reading, unit)
    name = name or _NAMES[kind]
    return f"{name}: {text}" if text else name


_NAMES = {
    Kind.SILENT: "Nothing measured",
    Kind.SUN: "The shelf is in direct sun",
    Kind.HOT: "Too warm",
    Kind.COLD: "Too cold",
    Kind.DAMP: "The shelf is damp",
    Kind.BRIGHT: "The shelf is bright",
}
_PAST_NAMES = _NAMES | {
    Kind.SUN: "The shelf was in direct sun",
    Kind.DAMP: "The shelf was damp",
    Kind.BRIGHT: "The shelf was bright",
}


def _value_text(kind: Kind, value: float, reading: Reading | None, unit: TempUnit) -> str:
    """Return a condition's value as people read it; damp is shown as humidity where that is known."""
    match kind:
        case Kind.COLD | Kind.HOT:
            return temp_text(value, unit)
        case Kind.SUN | Kind.BRIGHT:
            return light_text(value)
        case Kind.DAMP if reading is not None and reading.rh_pct is not None:
            return f"{rh_text(reading.rh_pct)} humidity"
        case Kind.DAMP:
            return f"{number_text(abs(value))} % {'above' if value > 0 else 'below'} where mould can start"
        case Kind.SILENT:
            return ""


def _fine(reading: Reading, unit: TempUnit, qualities: tuple[str, ...]) -> str:
    temp_c = reading.air_temp_c
    words = " and ".join(qualities)
    if temp_c is None:
        return "The shelf's temperature is not known" + (f"; it is {words}." if words else ".")
    feel, effect = _feel(temp_c)
    return f"The shelf is {feel}: {temp_text(temp_c, unit)}" + (f", {words}." if words else ".") + effect


def _feel(temp_c: float) -> tuple[str, str]:
    if temp_c < GOOD_LOW_C:
        return "a little cool", " Jars take longer."
    if temp_c > GOOD_HIGH_C:
        return "a little warm", " Jars are ready sooner."
    return "fine", ""


def _qualities(reading: Reading, limits: Limits) -> tuple[str, ...]:
    """Return "dark" and "dry" as far as they were measured; "dry" because damp is not raised."""
    light = () if reading.light_lx is None else ("dark",) if reading.light_lx <= limits.bright_lx else ("light",)
    return light + (() if reading.rh_pct is None else ("dry",))


def alert_sentence(alert: Alert, zone: tzinfo, unit: TempUnit, plant: str = "", now_at: datetime | None = None) -> str:
    """Say what an alert is about: number, since when, and what to do; in the past once it has cleared.

    Args:
        alert: the alert.
        zone: of local times.
        unit: of temperatures.
        plant: what is in the jar, for an alert about a jar.
        now_at: when it is read; a time on that local day is written without its date. None: the day it was raised.
    """
    kind = alert.kind.condition
    seen_at = now_at or alert.raised_at
    if kind is None:
        return _jar_sentence(alert, zone, plant, seen_at)
    since = seen_from(alert.since_at, seen_at, zone)
    again = " again" if alert.again else ""
    if alert.cleared_at is not None:
        until = seen_from(alert.cleared_at, alert.since_at, zone)
        worst = " at worst" if kind is not Kind.SILENT and alert.peak is not None else ""
        return f"{_said(kind, alert.peak, None, unit, _PAST_NAMES[kind] + again)}{worst}, from {since} to {until}."
    told = kind is not Kind.SILENT and alert.value is not None and seen_at - alert.raised_at >= _JUST
    then = " when it was raised," if told else ""
    return f"{_said(kind, alert.value, None, unit, _NAMES[kind] + again)}{then} since {since}. {_REMEDIES[kind]}"


def several_sentence(alerts: Sequence[Alert], zone: tzinfo, unit: TempUnit) -> str:
    """Say what alerts of one kind of condition that have cleared come to: how often, the worst of them, and when.

    Args:
        alerts: more than one, the newest first, raised on one local day.
        zone: of local times.
        unit: of temperatures.
    """
    kind = Kind(alerts[0].kind)
    peaks = [alert.peak for alert in alerts if alert.peak is not None and kind is not Kind.SILENT]
    worst = None if not peaks else min(peaks) if kind is Kind.COLD else max(peaks)
    said = _said(kind, worst, None, unit, f"{_PAST_NAMES[kind]} {counted(len(alerts), 'time')}")
    since_at = min(alert.since_at for alert in alerts)
    until_at = max(alert.cleared_at or alert.raised_at for alert in alerts)
    since, until = seen_from(since_at, alerts[0].raised_at, zone), seen_from(until_at, since_at, zone)
    return f"{said}{' at worst' if peaks else ''}, between {since} and {until}."


_JUST = timedelta(minutes=2)
"""An alert that is read later than this after it was raised tells a number that is no longer the present one."""


def flood_sentence(alerts: Iterable[Alert], jars: Mapping[str, str]) -> str:
    """Say in one sentence what many alerts are about: "6 alerts at once: too warm; past ready: comfrey; ..." .

    Args:
        alerts: the alerts.
        jars: what is in each jar, by its id.
    """
    known = list(alerts)
    names = [_brief(alert, jars.get(alert.jar_id, alert.jar_id)) for alert in known]
    return f"{len(known)} alerts at once: {'; '.join(names)}. Look at the shelf."


def alert_name(kind: AlertKind) -> str:
    """Return what an alert of a kind is about, in a few words: "Too cold", "Due for straining"."""
    condition = kind.condition
    return _JAR_NAMES[kind] if condition is None else _NAMES[condition]


def _brief(alert: Alert, jar: str) -> str:
    name = alert_name(alert.kind)
    return f"{name[0].lower()}{name[1:]}" + (f": {jar}" if jar else "")


def left_out(since_at: datetime, zone: tzinfo) -> str:
    """Say that messages could not be delivered for so long that they were left out."""
    since = moment_text(since_at, zone)
    return f"Messages since {since} could not be delivered and were left out; the alerts page has them all."


def _jar_sentence(alert: Alert, zone: tzinfo, plant: str, seen_at: datetime) -> str:
    jar = f"the jar of {plant}" if plant else "a jar"
    since = seen_from(alert.since_at, seen_at, zone)
    if alert.cleared_at is not None:
        until = seen_from(alert.cleared_at, alert.since_at, zone)
        if alert.evening_at is not None:
            evening = moment_text(alert.evening_at, zone)
            return f"Due for straining on {evening}: {jar}, told from {since} to {until}."
        return f"{_JAR_NAMES[alert.kind]}: {jar}, from {since} to {until}."
    match alert.kind:
        case AlertKind.STRAIN if alert.evening_at is not None:
            evening = moment_text(alert.evening_at, zone)
            return f"Strain {jar} on {evening} and let it drip overnight, without squeezing."
        case AlertKind.STRAIN:
            return f"Strain {jar} this evening and let it drip overnight, without squeezing."
        case AlertKind.PAST_READY:
            return f"Past ready since {since}: {jar}. Strain it today."
        case AlertKind.NO_JUICE:
            return f"Is there juice in {jar}? Some should have shown by {since}; if not, press the leaves down."
        case _:
            return f"Loosen the lid of {jar} now: it is closed tightly, and gas must get out."


_JAR_NAMES = {
    AlertKind.STRAIN: "Due for straining",
    AlertKind.PAST_READY: "Past ready",
    AlertKind.NO_JUICE: "No juice seen",
    AlertKind.COVER: "Cover to be checked",
}
