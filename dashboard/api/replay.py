"""Replay: a stretch of the log played again, with limits and warmth as they might have been."""

from datetime import date
from typing import Annotated

from fastapi import APIRouter, Query

from dashboard.api.alerts import AlertOut
from dashboard.api.asking import BUSY, NO_FIT, Day, Flag, QueryError, area, known_day
from dashboard.api.replay_models import PlayedOut, ReplayOut, SupposedOut
from dashboard.desk import Desk
from dashboard.player import LONGEST_DAYS, MOST_SHIFT_C, Asked, Player, Plays, settings_with, supposed
from dashboard.playing import Played
from dashboard.views.replay import replay_view
from station.domain.hindsight import played_sentence
from station.domain.jars import Jar

Degrees = Annotated[float, Query(ge=-50, le=80)]
Shift = Annotated[float, Query(ge=-MOST_SHIFT_C, le=MOST_SHIFT_C, description="The shelf so much warmer, °C.")]


def replay_routes(desk: Desk) -> APIRouter:
    """Return the route of the replay."""
    router, player = area("/replay", "replay"), Player(desk)

    @router.get("", summary=f"Play at most {LONGEST_DAYS} days of the log; takes a while", responses=NO_FIT | BUSY)
    def get_replay(
        since: Annotated[Day, Query(description="The first local day.")],
        until: Annotated[Day, Query(description="The last local day, included.")],
        cold_c: Annotated[Degrees | None, Query(description="Suppose too cold below, °C.")] = None,
        hot_c: Annotated[Degrees | None, Query(description="Suppose too hot above, °C.")] = None,
        shift_c: Shift = 0.0,
        *,
        moments: Annotated[Flag, Query(description="Also tell moment by moment, some 120 of them.")] = False,
    ) -> ReplayOut:
        asked = _asked(desk, since, until, (cold_c, hot_c), shift_c)
        return _told(desk, player, asked, _played(desk, player, asked), moments=moments)

    return router


def _asked(desk: Desk, since: date, until: date, limits_c: tuple[float | None, float | None], shift_c: float) -> Asked:
    """Return what is asked for.

    Raises:
        JarsideError: the days or the limits cannot be.
    """
    asked = Asked(known_day(since), known_day(until), supposed(desk.settings, *limits_c, shift_c))
    if not asked.in_bounds:
        raise QueryError("until lies before since, or too far behind it", f"Play up to {LONGEST_DAYS} days at a time.")
    settings_with(desk.settings, asked.what_if)
    return asked


def _played(desk: Desk, player: Player, asked: Asked) -> Plays:
    if desk.lent.play is None:
        raise QueryError("nothing can be played here", "Play it from the shell: jarside replay.")
    return player.play(asked, desk.lent.play)


def _told(desk: Desk, player: Player, asked: Asked, plays: Plays, *, moments: bool) -> ReplayOut:
    cast, what_if = player.cast(asked), asked.what_if
    since_at, until_at = player.ends(asked)
    jars = {jar.id: jar for jar in cast.jars}

    def side(played: Played) -> PlayedOut:
        return PlayedOut.of(played, _alerts(desk, played, jars), jars, moments=moments)

    return ReplayOut(
        since_at=since_at,
        until_at=until_at,
        supposed=SupposedOut(cold_c=what_if.cold_c, hot_c=what_if.hot_c, shift_c=what_if.shift_c),
        lessons=list(replay_view(plays.plain, plays.other, what_if, cast.jars, desk.manner).lessons),
        as_it_was=side(plays.plain),
        what_if=None if plays.other is None else side(plays.other),
        gone=list(cast.gone),
        left_out=list(cast.left_out),
    )


def _alerts(desk: Desk, played: Played, jars: dict[str, Jar]) -> list[AlertOut]:
    zone, unit = desk.manner.zone, desk.manner.unit
    plants = {name: jar.plant for name, jar in jars.items()}
    foreseen = dict(played.foreseen)
    return [
        AlertOut.of(
            alert, played_sentence(alert, foreseen.get(alert.id), zone, unit, plants.get(alert.jar_id, ""), None)
        )
        for alert in played.alerts
    ]
