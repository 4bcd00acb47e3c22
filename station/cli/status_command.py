"""`jarside status`: how the station is, and how its ways out are doing."""

from collections.abc import Iterator
from datetime import datetime
from typing import TYPE_CHECKING, Any

import click

from station.cli.frame import App, json_option, pass_app, print_json
from station.cli.times import now, when_text
from station.domain.heartbeat import STALE_AFTER, has_stopped

if TYPE_CHECKING:
    from station.domain.heartbeat import Heartbeat
    from station.domain.way import Arrived, Way


@click.command()
@json_option
@pass_app
def status(app: App, *, as_json: bool) -> None:
    """Say how the station is: last reading, clock, free space, open alerts, and every way on which alerts leave.

    An alert that arrived counts within a minute, a mere reading within ten: it spares the memory card.

    Example: jarside status
    """
    from station.domain.way import ways_shown, while_stopped

    shelf, settings = app.shelf(), app.settings
    beat = shelf.heartbeat()
    targets = [target.name for target in settings.notify]
    ways = ways_shown(targets, settings.mqtt.host is not None, shelf.ways(), _tests(app))
    if beat is not None and _writing(beat) is False:
        ways = while_stopped(ways)
    count = len(shelf.alerts(open_only=True))
    if as_json:
        print_json(_json(app, beat, ways, count))
    else:
        click.echo("\n".join(_lines(app, beat, ways, count)))


def _tests(app: App) -> "tuple[Arrived, ...]":
    from station.store.way_tests import arrivals

    if not app.notebook_file.is_file():
        return ()
    with app.notebook() as notebook:
        return arrivals(notebook)


def _writing(beat: "Heartbeat | None") -> bool | None:
    """Return whether the station keeps readings; None where that cannot be told, for they are dated in the future."""
    if beat is None:
        return False
    return None if _in_future(beat.at) else not has_stopped(beat.at, now())


def _in_future(at: datetime) -> bool:
    return at - now() >= STALE_AFTER


def _json(app: App, beat: "Heartbeat | None", ways: "tuple[Way, ...]", count: int) -> dict[str, Any]:
    return {
        "station": app.settings.station,
        "writing": _writing(beat),
        "at": beat and beat.at,
        "version": beat and beat.version,
        "uptime_s": beat and round(beat.uptime_s),
        "clock_trusted": beat and beat.clock_trusted,
        "last_reading_at": beat and beat.last_reading_at,
        "free_bytes": beat and beat.free_bytes,
        "open_alerts": count,
        "ways": [_way_json(way) for way in ways],
    }


def _way_json(way: "Way") -> dict[str, Any]:
    return {
        "way": way.name,
        "state": way.state.value,
        "line": way.line,
        "remedy": way.remedy,
        "waiting": way.waiting,
        "delivered_at": way.delivered_at,
        "by_test": way.by_test,
    }


def _lines(app: App, beat: "Heartbeat | None", ways: "tuple[Way, ...]", count: int) -> Iterator[str]:
    if beat is None:
        yield f"The station {app.settings.station} has not kept anything yet. Start it: jarside watch."
    else:
        yield from _beat_lines(app, beat)
    yield f"open alerts   {count or 'none'}" + (": jarside alerts list" if count else "")
    for way in ways:
        yield from _way_lines(app, way)


def _beat_lines(app: App, beat: "Heartbeat") -> Iterator[str]:
    from station.domain.moments import clock_text, date_text
    from station.domain.sentences import not_writing

    match _writing(beat):
        case None:
            until = f"{date_text(beat.at, app.zone)} {clock_text(beat.at, app.zone)}"
            yield (
                f"Readings are dated in the future, up to {until}: they were imported, or this clock was set back. "
                "Until then nobody can tell here whether the station is writing."
            )
        case False:
            yield not_writing(beat.at, now(), app.zone)
    last_at = beat.last_reading_at
    yield f"station       {app.settings.station}, version {beat.version}, up {_span(beat.uptime_s)}"
    yield f"last reading  {'none yet' if last_at is None else f'{when_text(app, last_at)} ({_age(last_at)})'}"
    yield f"clock         {'right' if beat.clock_trusted else 'not known to be right'}"
    if beat.free_bytes is not None:
        yield f"free space    {beat.free_bytes / 1e9:,.1f} GB"


def _age(at: datetime) -> str:
    from station.domain.moments import age_text

    ahead = at - now()
    return f"in the future, by {_span(ahead.total_seconds())}" if _in_future(at) else age_text(-ahead)


def _way_lines(app: App, way: "Way") -> Iterator[str]:
    test = " (a test)" if way.by_test else ""
    last = f" Last delivered {when_text(app, way.delivered_at)}{test}." if way.delivered_at else ""
    waiting = f" {way.waiting:,} waiting." if way.waiting else ""
    yield f"{way.name:<12}  {way.state}: {way.line}{last}{waiting}"
    if way.remedy:
        yield f"{'':12}  {way.remedy}"


def _span(seconds: float) -> str:
    minutes, hours, days = seconds / 60.0, seconds / 3600.0, seconds / 86400.0
    if hours < 2.0:
        return f"{minutes:.0f} min"
    return f"{hours:.0f} h" if days < 2.0 else f"{days:.0f} days"
