"""Feeding: rounds and when they are due, seeds that soak, and what was given."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from dashboard.views.jars import ACT, CALM, TODAY
from dashboard.views.manner import Manner
from station.domain.bottling import Bottle, oldest_first
from station.domain.dilution import Dilution, mixture_text
from station.domain.feeding import Fed, Method, Soak, SoakState, TimeAdvice, soak_from, time_advice
from station.domain.moments import clock_text, moment_text, seen_from
from station.domain.quantities import volume_ml, volume_text
from station.domain.rounds import Due, Round, Standing, due, due_text
from station.domain.sun import sun_day

FORGOTTEN = timedelta(hours=12)
"""A soak of which no end was written down is shown for this long after its latest end."""
NO_BOTTLE = "none"
"""What the form says for juice that is not in the notebook; the command line says the same."""
_PRESSING = {Standing.LATE: ACT, Standing.DUE: TODAY}


@dataclass(frozen=True, slots=True)
class RoundLine:
    """A round.

    Args:
        id: which.
        text: when it is due, in words.
        pressing: `calm`, `today` or `act`.
    """

    id: str
    text: str
    pressing: str


@dataclass(frozen=True, slots=True)
class SoakLine:
    """Seeds in diluted juice.

    Args:
        id: the feeding.
        what: which seeds.
        times: since when, and between which times they may come out.
        state: how they stand now, in words.
        left: how long until they may come out, or until they must, in words; "" when they must now.
        soak: the times themselves, for the script that counts.
        pressing: `calm`, `today` (may come out) or `act`.
    """

    id: str
    what: str
    times: str
    state: str
    left: str
    soak: Soak
    pressing: str


@dataclass(frozen=True, slots=True)
class FedLine:
    """What was given: when, to what, how much of which juice, and a note."""

    id: str
    when: str
    what: str
    mixture: str
    source: str
    note: str


@dataclass(frozen=True, slots=True)
class FeedingView:
    """The feeding page.

    Args:
        rounds: those running, the next due first.
        soaks: seeds in juice now.
        advice: for each method whether now is a good time, and why.
        history: feedings, the latest first.
    """

    rounds: tuple[RoundLine, ...]
    soaks: tuple[SoakLine, ...]
    advice: tuple[tuple[str, TimeAdvice], ...]
    history: tuple[FedLine, ...]


def feeding_view(
    rounds: Iterable[Round], feedings: Iterable[Fed], now_at: datetime, manner: Manner, most: int
) -> FeedingView:
    """Return the feeding page.

    Args:
        rounds: all of them.
        feedings: all of them, the latest first.
        now_at: when it is read.
        manner: zone, place and measures.
        most: so many feedings are shown.
    """
    given = tuple(feedings)
    return FeedingView(
        round_lines(rounds, now_at, manner),
        tuple(soak_line(fed, now_at, manner) for fed in given if soaking(fed, now_at)),
        tuple((str(method), advice_now(method, now_at, manner)) for method in (Method.LEAF_SPRAY, Method.DRENCH)),
        tuple(fed_line(fed, manner) for fed in given[:most]),
    )


def round_lines(rounds: Iterable[Round], now_at: datetime, manner: Manner) -> tuple[RoundLine, ...]:
    """Return the rounds that run, the next due first."""
    today = now_at.astimezone(manner.zone).date()
    standing = [(due(one, today, manner.zone), one) for one in rounds if one.stopped_at is None]
    return tuple(_round_line(when, one) for when, one in sorted(standing, key=lambda pair: pair[0].from_on))


def _round_line(when: Due, one: Round) -> RoundLine:
    return RoundLine(one.id, due_text(when, one), _PRESSING.get(when.standing, CALM))


def advice_now(method: Method, at: datetime, manner: Manner) -> TimeAdvice:
    """Return whether a moment is a good one for a method on this shelf's place."""
    sun = sun_day(manner.place, at.astimezone(manner.zone).date(), manner.zone) if manner.place else None
    return time_advice(method, at, manner.zone, sun)


def soaking(fed: Fed, now_at: datetime) -> bool:
    """Whether these seeds are in the juice now, as far as is known."""
    if fed.method is not Method.SEED_SOAK or now_at < fed.at:
        return False
    return now_at < (fed.until_at or soak_from(fed.at).latest_at + FORGOTTEN)


def soak_line(fed: Fed, now_at: datetime, manner: Manner) -> SoakLine:
    """Return how seeds that soak stand now."""
    soak, zone = soak_from(fed.at), manner.zone
    state = soak.state(now_at)
    since, ready, latest = (seen_from(at, now_at, zone) for at in (soak.from_at, soak.ready_at, soak.latest_at))
    over = state is SoakState.OVER
    out = f"should have come out by {latest}" if over else f"may come out from {ready}, and must by {latest}"
    return SoakLine(
        fed.feeding_id,
        fed.place or "seeds",
        f"In since {since}; they {out}.",
        str(state),
        _left(soak, state, now_at),
        soak,
        {SoakState.READY: TODAY, SoakState.OVER: ACT}.get(state, CALM),
    )


def _left(soak: Soak, state: SoakState, now_at: datetime) -> str:
    if state is SoakState.OVER:
        return ""
    until_at = soak.latest_at if state is SoakState.READY else soak.ready_at
    minutes = max(round((until_at - now_at).total_seconds() / 60.0), 1)
    hours, rest = divmod(minutes, 60)
    words = ([f"{hours} h"] if hours else []) + ([f"{rest} min"] if rest else [])
    return f"{' '.join(words)} left"


def fed_line(fed: Fed, manner: Manner) -> FedLine:
    """Return a feeding as the history shows it."""
    until = f" to {clock_text(fed.until_at, manner.zone)}" if fed.until_at else ""
    return FedLine(
        fed.feeding_id,
        moment_text(fed.at, manner.zone) + until,
        ", ".join(part for part in (fed.method.value, fed.place) if part),
        mixture_text(Dilution(fed.juice_ml, fed.water_ml), manner.measures),
        fed.bottle_id,
        fed.note,
    )


def bottle_choices(bottles: Iterable[Bottle], manner: Manner) -> list[tuple[str, str]]:
    """Return the bottles to feed from, the one to use first at the top, and juice from elsewhere."""
    stored = oldest_first(bottles, manner.keeping)
    choices = [(one.id, f"{one.id}, {volume_text(one.left_ml, manner.measures)} left") for one in stored]
    return [*choices, (NO_BOTTLE, "juice that is not in the notebook")]


def round_fields(one: Round, manner: Manner) -> dict[str, list[str]]:
    """Return what a round says of its next feeding, as a form holds it."""
    rule = one.rule
    fields = {
        "round": one.id,
        "method": str(rule.method),
        "place": rule.place,
        "ratio": f"{rule.parts:g}",
        "every": f"{rule.least_days}-{rule.most_days}",
        "water": "" if rule.water_ml is None else typed_volume(rule.water_ml, manner),
        "first": "" if rule.first_on is None else rule.first_on.isoformat(),
        "note": rule.note,
    }
    return {name: [text] for name, text in fields.items()}


def typed_volume(amount_ml: float, manner: Manner) -> str:
    """Return a volume as somebody would type it, so that it reads back as the same amount."""
    text = volume_text(amount_ml, manner.measures).replace(",", "")  # 1,000 L could mean two numbers
    return text if abs(volume_ml(text) - amount_ml) < 1e-6 * amount_ml else f"{amount_ml:.10g} mL"
