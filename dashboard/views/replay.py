"""What is shown of a stretch of the log that was played again: as it was, and as it would have been."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from dashboard.charts import Chart, place_of
from dashboard.playing import Moment, Played
from dashboard.spells import Spell
from dashboard.views.climate import conditions_text
from dashboard.views.courses import WORDS, Stretch, spells_of, temperature_chart
from dashboard.views.manner import Manner
from station.domain.alert import Alert, AlertKind
from station.domain.figures import TempUnit, light_text, number_text, rh_text, temp_text
from station.domain.hindsight import alerts_apart, evening_foreseen, hours_apart, played_sentence, ready_in_hindsight
from station.domain.jars import Jar
from station.domain.moments import day_text, moment_text, range_text
from station.domain.outlook import Outlook
from station.domain.unmeasured import NOT_MEASURED, nothing_measured
from station.store.summaries import Bucket, Spread

SAME_WITHIN = timedelta(minutes=30)
"""Two times a jar is ready that lie nearer than this are not told apart."""


@dataclass(frozen=True, slots=True)
class WhatIf:
    """What is supposed to have been otherwise.

    Args:
        cold_c, hot_c: limits in °C, where they differ from the settings.
        shift_c: so much warmer, °C.
    """

    cold_c: float | None = None
    hot_c: float | None = None
    shift_c: float = 0.0

    @property
    def any(self) -> bool:
        """Whether anything is."""
        return self != WhatIf()

    def text(self, unit: TempUnit) -> str:
        """Return it in words: "cold below 14.0 °C, and the shelf 2.0 °C cooler"."""
        parts = [f"{name} {temp_text(at_c, unit)}" for name, at_c in self._limits() if at_c is not None]
        if self.shift_c:
            degrees = abs(self.shift_c) * (1.8 if unit == "F" else 1.0)
            parts.append(f"the shelf {number_text(degrees, 1)} °{unit} {'warmer' if self.shift_c > 0 else 'cooler'}")
        return ", and ".join(parts)

    def _limits(self) -> tuple[tuple[str, float | None], ...]:
        return ("cold below", self.cold_c), ("hot above", self.hot_c)


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two at one moment, line by line."""

    name: str
    measured: str
    conditions: str
    alerts: tuple[str, ...]
    jars: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class FrameView:
    """One moment of the play."""

    when: str
    sides: tuple[Side, ...]
    x: float = 0.0
    """How far across the curve it lies, 0 to 1."""


@dataclass(frozen=True, slots=True)
class Total:
    """What one of the two came to."""

    name: str
    alerts: tuple[str, ...]
    conditions: str
    jars: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class ReplayView:
    """A play: what it teaches, what it came to, its curve, and its moments."""

    lessons: tuple[str, ...]
    totals: tuple[Total, ...]
    chart: Chart | None
    frames: tuple[FrameView, ...]


def replay_view(
    plain: Played, other: Played | None, what_if: WhatIf, jars: tuple[Jar, ...], manner: Manner
) -> ReplayView:
    """Return what is shown of a play.

    Args:
        plain: the stretch as it was.
        other: as it would have been, or None.
        what_if: what was supposed for it.
        jars: those that were played with.
        manner: zone and units.
    """
    plants = {jar.id: jar.plant for jar in jars}
    sides = [("as it was", plain)] + ([("what if", other)] if other is not None else [])
    lessons = () if other is None else tuple(_lessons(plain, other, what_if, plants, manner))
    chart = _chart(plain, other if what_if.shift_c else None, manner)
    frames = tuple(_frame(number, sides, chart, plants, manner) for number in range(len(plain.moments)))
    totals = tuple(_total(name, side, plants, manner) for name, side in sides)
    return ReplayView(lessons, totals, chart, frames)


def _told(alerts: tuple[Alert, ...]) -> list[Alert]:
    return [alert for alert in alerts if alert.kind is not AlertKind.BRIGHT]


def _lessons(plain: Played, other: Played, what_if: WhatIf, plants: Mapping[str, str], manner: Manner) -> Iterator[str]:
    """Say what would have been different."""
    had, has = _told(plain.alerts), _told(other.alerts)
    before, after = len(had), len(has)
    counted = f"{after} alert" if after == 1 else f"{after} alerts"
    apart = alerts_apart(had, has)
    same = f"instead of {before}" if before != after else "as well, but others" if apart else "all the same"
    yield f"With {what_if.text(manner.unit)}, this stretch would have brought {counted} {same}."
    if apart:
        yield f"Alerts: {apart}."
    if hours := ", ".join(hours_apart(dict(plain.condition_h), dict(other.condition_h))):
        yield f"Conditions: {hours}."
    later = {outlook.jar_id: outlook for outlook in other.outlooks}
    for outlook in plain.outlooks:
        if (sentence := _moved(outlook, later.get(outlook.jar_id), plants, manner)) is not None:
            yield sentence


def _moved(one: Outlook, other: Outlook | None, plants: Mapping[str, str], manner: Manner) -> str | None:
    """Say how much earlier or later a jar would have been ready; None where that is not known."""
    if other is None:
        return None
    known_at, supposed_at = _ready_at(one), _ready_at(other)
    name = f"{plants[one.jar_id].capitalize()} ({one.jar_id})"
    if known_at is None or supposed_at is None:
        return None
    apart = supposed_at - known_at
    if abs(apart) < SAME_WITHIN:
        return f"{name} would have been ready at about the same time."
    hours = abs(apart).total_seconds() / 3600.0
    amount = f"{number_text(hours)} h" if hours < 48.0 else f"{number_text(hours / 24.0, 1)} days"
    way = "later" if apart > timedelta(0) else "earlier"
    return f"{name} would have been ready about {amount} {way}: {moment_text(supposed_at, manner.zone)}."


def _ready_at(outlook: Outlook) -> datetime | None:
    return outlook.ready_since_at or outlook.ready_likely_at


def _total(name: str, side: Played, plants: Mapping[str, str], manner: Manner) -> Total:
    evenings = dict(side.evenings)
    jars = [(_jar_name(one, plants), _jar_end(one, evenings.get(one.jar_id), manner)) for one in side.outlooks]
    foreseen, begins_at = dict(side.foreseen), side.moments[0].at if side.moments else None
    alerts = tuple(
        f"{_raised(alert, begins_at, manner)}: {_sentence(alert, foreseen.get(alert.id), plants, manner)}"
        for alert in _told(side.alerts)
    )
    return Total(name, alerts, conditions_text(side.condition_h) or "none", tuple(jars))


def _raised(alert: Alert, begins_at: datetime | None, manner: Manner) -> str:
    """Return when an alert was raised, and that this was before the stretch where it was."""
    before = begins_at is not None and alert.raised_at < begins_at
    return f"{'Open from before, ' if before else ''}{moment_text(alert.raised_at, manner.zone)}"


def _jar_name(outlook: Outlook, plants: Mapping[str, str]) -> str:
    return f"{plants[outlook.jar_id]} ({outlook.jar_id})"


def _jar_end(outlook: Outlook, evening_at: datetime | None, manner: Manner) -> str:
    foreseen = evening_foreseen(outlook, evening_at, manner.zone)
    return _jar_now(outlook, manner) + (f"; strain {foreseen}" if foreseen else "")


def _jar_now(outlook: Outlook, manner: Manner) -> str:
    return NOT_MEASURED if nothing_measured(outlook.heat) else f"{_warmth(outlook)}; {_ready(outlook, manner)}"


def _warmth(outlook: Outlook) -> str:
    had = number_text(outlook.warm_days, 1)
    return f"{had} of about {number_text(outlook.need_likely, 1)} warm-days"


def _ready(outlook: Outlook, manner: Manner) -> str:
    if outlook.ready_since_at is not None:
        return f"ready {ready_in_hindsight(outlook.ready_since_at, manner.zone)}"
    ends = outlook.ready_early_at, outlook.ready_likely_at, outlook.ready_late_at
    return f"ready {range_text(*ends, manner.zone)}"


def _frame(
    number: int, sides: list[tuple[str, Played]], chart: Chart | None, plants: Mapping[str, str], manner: Manner
) -> FrameView:
    at = sides[0][1].moments[number].at
    shown = [(name, side, side.moments[number]) for name, side in sides if number < len(side.moments)]
    x = 0.0 if chart is None else place_of(chart, at)
    when = f"{day_text(at, manner.zone)}, {at.astimezone(manner.zone):%H:%M}"
    return FrameView(when, tuple(_side(name, side, moment, plants, manner) for name, side, moment in shown), x)


def _side(name: str, side: Played, moment: Moment, plants: Mapping[str, str], manner: Manner) -> Side:
    reading = moment.reading
    values = (
        (reading.temp_c, lambda value: temp_text(value, manner.unit)),
        (reading.rh_pct, rh_text),
        (reading.light_lx, light_text),
    )
    measured = ", ".join(text(value) for value, text in values if value is not None)
    evenings = {one.jar_id: one.evening_at for one in moment.outlooks}
    alerts = tuple(
        _sentence(_as_then(alert, evenings.get(alert.jar_id)), None, plants, manner, moment.at)
        for alert in _told(side.alerts)
        if alert.id in moment.alerts
    )
    jars = tuple((_jar_name(one, plants), _jar_now(one, manner)) for one in moment.outlooks)
    conditions = ", ".join(WORDS[kind] for kind in moment.raised) or "none"
    return Side(name, measured or "nothing measured", conditions, alerts, jars)


def _as_then(alert: Alert, evening_at: datetime | None) -> Alert:
    """Return an alert as it was while it was open: of a strain alert with the evening that was foreseen then."""
    value = evening_at.timestamp() if alert.kind is AlertKind.STRAIN and evening_at is not None else alert.value
    return replace(alert, cleared_at=None, value=value)


def _sentence(
    alert: Alert,
    foreseen_at: datetime | None,
    plants: Mapping[str, str],
    manner: Manner,
    at: datetime | None = None,
) -> str:
    return played_sentence(alert, foreseen_at, manner.zone, manner.unit, plants.get(alert.jar_id, ""), at)


def _chart(plain: Played, other: Played | None, manner: Manner) -> Chart | None:
    """Return the temperature as it was, and beside it as it would have been where the shelf was to be warmer."""
    chart = _drawn(plain, manner)
    beside = None if other is None else _drawn(other, manner)
    if chart is None or beside is None:
        return chart
    said = f"As it was: {_lowered(chart.description)} What if, dashed: {_lowered(beside.description)}"
    return replace(chart, beside=beside.course, description=said)


def _lowered(sentence: str) -> str:
    return sentence[:1].lower() + sentence[1:]


def _drawn(side: Played, manner: Manner) -> Chart | None:
    """Return one side's temperature, moment by moment, with its spells."""
    moments = side.moments
    if len(moments) < 2:
        return None
    since_at, until_at = moments[0].at, moments[-1].at
    step = (until_at - since_at) / (len(moments) - 1)
    buckets = tuple(Bucket(one.at - step / 2, step.total_seconds(), _spread(one), None, None, 1) for one in moments)
    spells: tuple[Spell, ...] = spells_of(side.alerts, until_at)
    return temperature_chart(Stretch(since_at, until_at, buckets, spells), manner)


def _spread(moment: Moment) -> Spread | None:
    """Return the extremes since the moment before with the temperature now; None where now is not to be believed."""
    temp_c = moment.reading.air_temp_c
    if temp_c is None:
        return None
    low_c, high_c = moment.low_c, moment.high_c
    return Spread(temp_c if low_c is None else low_c, temp_c, temp_c if high_c is None else high_c)
