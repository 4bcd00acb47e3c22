"""Jars: packed, noted, strained, judged, bottled, discarded."""

from typing import Annotated

from fastapi import APIRouter, Query

from dashboard.api.asking import CHANGES, UNKNOWN, WRITES, Name, Once, QueryError, TakeBackIn, area, moment
from dashboard.api.bottle_models import BottleOut
from dashboard.api.jar_models import (
    CollectIn,
    CorrectIn,
    DiscardIn,
    JarOut,
    JudgeIn,
    NotedOut,
    NoteIn,
    PackIn,
    StrainIn,
)
from dashboard.desk import Desk
from dashboard.views.jars import stage_of
from station.domain.batch import contents_from
from station.domain.jars import Corrected, Discarded, Entry, Jar, Judged, Noted, NoteTakenBack, Strained
from station.domain.observations import NOT_LOOKED
from station.domain.packing import Packing
from station.store.bottles import Bottles, Fill


def jar_routes(desk: Desk) -> APIRouter:
    """Return the routes about jars."""
    router = area("/jars", "jars")
    _add_reading(router, desk)
    _add_packing(router, desk)
    _add_correcting(router, desk)
    _add_notes(router, desk)
    _add_straining(router, desk)
    _add_ends(router, desk)
    return router


def _shown(desk: Desk, jar: Jar) -> JarOut:
    outlook = desk.books.shelf.outlook(jar.id)
    return JarOut.of(jar, stage_of(jar, outlook, desk.now()), outlook)


def _recorded(desk: Desk, entry: Entry, token: str) -> Jar:
    with desk.books.writing() as notebook:
        return notebook.record(entry, now_at=desk.now(), token=token)


def _add_reading(router: APIRouter, desk: Desk) -> None:
    @router.get("", summary="Jars, the latest packed first")
    def get_jars(
        limit: Annotated[int, Query(ge=1, le=1000, description="At most this many.")] = 60,
    ) -> list[JarOut]:
        now_at = desk.now()
        with desk.books.shelf.together() as shelf:
            jars = [(jar, shelf.outlook(jar.id)) for jar in desk.books.jars()[:limit]]
        return [JarOut.of(jar, stage_of(jar, outlook, now_at), outlook) for jar, outlook in jars]

    @router.get("/{name}", summary="One jar", responses=UNKNOWN)
    def get_jar(name: Name) -> JarOut:
        return _shown(desk, desk.books.jar(name))


def _add_packing(router: APIRouter, desk: Desk) -> None:
    @router.post("", summary="Record a packing", status_code=201, responses=WRITES)
    def pack(sent: PackIn, token: Once) -> JarOut:
        contents = contents_from(sent.plant, desk.records.own_plants())
        _check_packing(desk, sent, blend=bool(contents.shares))
        packing = Packing(
            sent.kind,
            sent.days,
            contents.shares,
            sent.cap_g,
            sent.picked_where.strip(),
            sent.vessel,
            sent.cover,
            sent.stone_boiled,
        )
        with desk.books.writing() as notebook:
            jar = notebook.pack(
                contents.name,
                moment(sent.at, desk.now()),
                sent.jar_ml,
                now_at=desk.now(),
                plant_g=contents.plant_g or sent.plant_g,
                sugar_g=sent.sugar_g,
                probe=sent.probe or "",
                packing=packing,
                token=token,
            )
        return _shown(desk, jar)


def _check_packing(desk: Desk, sent: PackIn, *, blend: bool) -> None:
    """Refuse what does not go together.

    Raises:
        QueryError: a weight is said twice, the cap is more than the sugar, or there is no such probe.
    """
    if blend and sent.plant_g is not None:
        raise QueryError("the blend has weights, and plant_g gives another", "Leave one of them out.")
    if sent.cap_g is not None and sent.cap_g > (sent.sugar_g or 0.0):
        raise QueryError(f"a sugar cap of {sent.cap_g:g} g of {sent.sugar_g or 0:g} g", "The cap is part of the sugar.")
    probes = desk.settings.jar_probes
    if sent.probe is not None and sent.probe not in probes:
        raise QueryError(
            f"there is no probe {sent.probe} in the settings", f"Known probes: {', '.join(probes) or 'none'}."
        )


def _add_correcting(router: APIRouter, desk: Desk) -> None:
    @router.post("/{name}/correct", summary="Put right what was written down of a packing", responses=CHANGES)
    def correct(name: Name, sent: CorrectIn, token: Once) -> JarOut:
        plant = None if sent.plant is None else contents_from(sent.plant, desk.records.own_plants()).name
        if plant is None and not any((sent.jar_ml, sent.plant_g, sent.sugar_g)):
            raise QueryError("nothing to correct is said", "Say the plant, the jar or a weight.")
        entry = Corrected(desk.books.jar(name).id, desk.now(), plant, sent.jar_ml, sent.plant_g, sent.sugar_g)
        return _shown(desk, _recorded(desk, entry, token))


def _add_notes(router: APIRouter, desk: Desk) -> None:
    @router.post("/{name}/notes", summary="Note what was seen or thought", responses=CHANGES)
    def note(name: Name, sent: NoteIn, token: Once) -> NotedOut:
        if not sent.text.strip() and sent.seen == NOT_LOOKED and sent.cover is None:
            raise QueryError("the note is empty", "Say something, or what was looked at.")
        at = moment(sent.at, desk.now())
        entry = Noted(desk.books.jar(name).id, at, sent.text.strip(), sent.seen, cover=sent.cover)
        jar = _recorded(desk, entry, token)
        return NotedOut.of(jar, entry, _shown(desk, jar))

    @router.post("/{name}/notes/take-back", summary="Take a note back that was a slip", responses=CHANGES)
    def take_back(name: Name, sent: TakeBackIn, token: Once) -> JarOut:
        jar, now_at = desk.books.jar(name), desk.now()
        last_at = jar.notes[-1].at if jar.notes else now_at
        entry = NoteTakenBack(jar.id, now_at, moment(sent.at, last_at))
        return _shown(desk, _recorded(desk, entry, token))


def _add_straining(router: APIRouter, desk: Desk) -> None:
    @router.post("/{name}/strain", summary="Record the straining", responses=CHANGES)
    def strain(name: Name, sent: StrainIn, token: Once) -> JarOut:
        jar_id, at = desk.books.jar(name).id, moment(sent.at, desk.now())
        jar = _recorded(desk, Strained(jar_id, at), token)
        if sent.judgement is not None and jar.judgement is None:
            jar = _recorded(desk, Judged(jar_id, at, sent.judgement), "")
        return _shown(desk, jar)

    @router.post("/{name}/judge", summary="Judge the time of straining", responses=CHANGES)
    def judge(name: Name, sent: JudgeIn, token: Once) -> JarOut:
        entry = Judged(desk.books.jar(name).id, moment(sent.at, desk.now()), sent.judgement)
        return _shown(desk, _recorded(desk, entry, token))


def _add_ends(router: APIRouter, desk: Desk) -> None:
    @router.post("/{name}/bottle", summary="Record the juice collected", responses=CHANGES)
    def bottle(name: Name, sent: CollectIn, token: Once) -> list[BottleOut]:
        jar, now_at = desk.books.jar(name), desk.now()
        fills = [Fill(fill.volume_ml, fill.bottle_ml) for fill in sent.fills]
        with desk.books.writing() as notebook:
            made = Bottles(notebook).bottle_jar(
                jar.id,
                fills,
                moment(sent.at, now_at),
                now_at=now_at,
                juice_ml=sent.juice_ml,
                storage=sent.storage,
                note=sent.note.strip(),
                anyway=sent.anyway,
                token=token,
            )
        return [BottleOut.of(one, jar, now_at, desk.manner.keeping) for one in made]

    @router.post("/{name}/discard", summary="Record that the jar was thrown away", responses=CHANGES)
    def discard(name: Name, sent: DiscardIn, token: Once) -> JarOut:
        entry = Discarded(desk.books.jar(name).id, moment(sent.at, desk.now()), sent.reason.strip())
        return _shown(desk, _recorded(desk, entry, token))
