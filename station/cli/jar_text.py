"""A jar as people and programs read it."""

from collections.abc import Iterator
from datetime import datetime, tzinfo
from typing import Any

import click

from station.cli.frame import App, print_json
from station.cli.times import now
from station.cli.words import volume, weight
from station.domain.collecting import juice_warning
from station.domain.figures import counted
from station.domain.jars import Jar, Noted, stage
from station.domain.mix import ratio_text
from station.domain.moments import moment_text, range_text
from station.domain.need_words import NO_READINGS, OUT_OF_REACH
from station.domain.needs import out_of_reach
from station.domain.note_advice import must_discard
from station.domain.observations import Seen
from station.domain.outlook import Outlook
from station.domain.preparations import recipe
from station.domain.signs import FirstSigns, Sign, first_signs
from station.domain.unmeasured import calendar_text, nothing_measured, warmth_of_parts


def jar_json(jar: Jar, outlook: Outlook | None, now_at: datetime) -> dict[str, Any]:
    """Return a jar for programs: weights in g, volumes in mL, warmth in warm-days and °C·h."""
    signs = _signs(jar, outlook, now_at)
    return {
        "id": jar.id,
        "plant": jar.plant,
        "stage": str(_stage(jar, outlook, now_at)),
        "packed_at": jar.packed_at,
        "jar_ml": jar.jar_ml,
        "plant_g": jar.plant_g,
        "sugar_g": jar.sugar_g,
        "probe": jar.probe or None,
        "strained_at": jar.strained_at,
        "judgement": None if jar.judgement is None else str(jar.judgement),
        "bottled_at": jar.bottled_at,
        "juice_ml": jar.juice_ml,
        "discarded_at": jar.discarded_at,
        "discard_reason": jar.discard_reason or None,
        "notes": [_note_json(note) for note in jar.notes],
        "packing": _packing_json(jar),
        "due_at": jar.due_at,
        "outlook": None if outlook is None else _outlook_json(outlook),
        "first_signs": None if signs is None else _signs_json(signs),
    }


def _signs(jar: Jar, outlook: Outlook | None, now_at: datetime) -> FirstSigns | None:
    return first_signs(jar, None if outlook is None else outlook.heat.temp_c, now_at)


def _signs_json(signs: FirstSigns) -> dict[str, Any]:
    asked = signs.question
    return {
        "juice_due_at": signs.juice_due_at,
        "question": None if asked is None else {"sign": str(asked.sign), "due_at": asked.due_at, "text": asked.text},
    }


def _note_json(note: Noted) -> dict[str, Any]:
    looks = {name: str(word) for name, word in _looks(note.seen)}
    cover = None if note.cover is None else str(note.cover)
    return {"at": note.at, "text": note.text, "seen": looks, "cover": cover, "photos": list(note.photos)}


def _looks(seen: Seen) -> Iterator[tuple[str, str]]:
    for name in ("juice", "smell", "bubbles", "surface"):
        word = getattr(seen, name)
        if word is not None:
            yield name, word


def _packing_json(jar: Jar) -> dict[str, Any]:
    packing = jar.packing
    return {
        "kind": str(packing.preparation),
        "days": packing.stand_days,
        "blend": [{"plant": share.plant, "plant_g": share.plant_g} for share in packing.blend],
        "cap_g": packing.cap_g,
        "picked_where": packing.picked_where or None,
        "vessel": str(packing.vessel),
        "cover": str(packing.cover),
        "stone_boiled": packing.stone_boiled,
        "photos": list(packing.photos),
    }


def _outlook_json(outlook: Outlook) -> dict[str, Any]:
    warmth = outlook.heat.warmth
    return {
        "judged_at": outlook.judged_at,
        "jar_temp_c": outlook.heat.temp_c,
        "degree_hours": round(outlook.degree_hours, 2) if _measured(outlook) else None,
        "warm_days": round(outlook.warm_days, 3) if _measured(outlook) else None,
        "observed_h": round(warmth.observed_h, 2),
        "missing_h": round(warmth.missing_h, 2),
        "need": round(outlook.need_likely, 3),
        "chance_ready": round(outlook.chance_ready, 3),
        "ready": {
            "early": outlook.ready_early_at,
            "likely": outlook.ready_likely_at,
            "late": outlook.ready_late_at,
        },
        "ready_at": outlook.ready_at,
        "strain_evening": outlook.evening_at,
        "caveats": list(outlook.caveats),
    }


def _stage(jar: Jar, outlook: Outlook | None, now_at: datetime) -> str:
    """Return the stage; a jar that goes by days needs no station to be ready."""
    if jar.due_at is not None:
        return stage(jar, 1.0 if now_at >= jar.due_at else 0.0, 0.0)
    return stage(jar, 0.0, 0.0) if outlook is None else stage(jar, outlook.chance_ready, outlook.chance_past)


def tell_jar(app: App, jar: Jar, text: str, *, as_json: bool) -> None:
    """Print what became of a jar: a text for people, or the jar for programs."""
    if as_json:
        print_json(jar_json(jar, app.shelf().outlook(jar.id), now()))
    else:
        click.echo(text)


def jar_row(jar: Jar, outlook: Outlook | None, zone: tzinfo, now_at: datetime) -> tuple[str, ...]:
    """Return a jar as a row: name, stage, when packed, warmth, strain evening, and whether it must go."""
    return (
        jar.id,
        _stage(jar, outlook, now_at),
        f"packed {moment_text(jar.packed_at, zone)}",
        _clock_text(jar, outlook, zone, now_at),
        _evening_text(jar, outlook, zone),
        _pressing(jar, outlook, now_at),
    )


def _pressing(jar: Jar, outlook: Outlook | None, now_at: datetime) -> str:
    if jar.on_shelf and must_discard(jar):
        return "! discard it"
    return "! look at it yourself" if calendar_text(jar, outlook, now_at) else ""


def _clock_text(jar: Jar, outlook: Outlook | None, zone: tzinfo, now_at: datetime) -> str:
    if jar.due_at is not None:
        return f"{recipe(jar.packing.preparation).name}, due {moment_text(jar.due_at, zone)}"
    if outlook is None:
        return ""
    if not _measured(outlook):
        return NO_READINGS
    if (parts := warmth_of_parts(jar, outlook, now_at)) is not None:
        return parts
    return f"{outlook.warm_days:.1f} of about {outlook.need_likely:.1f} warm-days"


def _evening_text(jar: Jar, outlook: Outlook | None, zone: tzinfo) -> str:
    if outlook is None or outlook.evening_at is None or not jar.on_shelf or jar.due_at is not None:
        return ""
    return f"strain {moment_text(outlook.evening_at, zone)}"


def _measured(outlook: Outlook) -> bool:
    return not nothing_measured(outlook.heat)


def jar_page(app: App, jar: Jar, outlook: Outlook | None, now_at: datetime) -> Iterator[str]:
    """Yield everything about a jar, a fact a line."""
    zone = app.zone
    yield f"{jar.id}: {jar.plant}, {_stage(jar, outlook, now_at)}"
    yield f"  packed    {moment_text(jar.packed_at, zone)}, {', '.join(_amounts(app, jar))}"
    yield from _packing_lines(app, jar)
    if jar.due_at is not None:
        yield f"  due       {moment_text(jar.due_at, zone)}, after {counted(jar.packing.stand_days or 0.0, 'day')}"
    elif outlook is None:
        yield "  warmth    unknown: the station has not seen this jar yet"
    else:
        yield from _outlook_lines(jar, outlook, zone)
    if by_calendar := calendar_text(jar, outlook, now_at):
        yield f"  look      {by_calendar}"
    yield from _signs_lines(jar, _signs(jar, outlook, now_at), zone)
    yield from _ending_lines(app, jar, outlook)
    for one in must_discard(jar) if jar.on_shelf else ():
        yield f"  mind      {one.text}"
    for note in jar.notes:
        yield f"  {note_text(note, zone)}"


def note_text(note: Noted, zone: tzinfo) -> str:
    """Return a note as people read it: when, its text, what was seen."""
    looks = ", ".join(f"{name} {word}" for name, word in _looks(note.seen))
    cover = f"cover now: {note.cover}" if note.cover is not None else ""
    parts = (note.text, looks, cover, *note.photos)
    return f"{moment_text(note.at, zone)}  " + "; ".join(part for part in parts if part)


def grave_lines(jar: Jar) -> list[str]:
    """Say that a jar should have been discarded, if what was seen of it says so."""
    return [f"But: {one.text}" for one in must_discard(jar)]


def _ending_lines(app: App, jar: Jar, outlook: Outlook | None) -> Iterator[str]:
    for what, at in (("strained", jar.strained_at), ("bottled", jar.bottled_at), ("discarded", jar.discarded_at)):
        if at is not None:
            yield f"  {what:<9} {moment_text(at, app.zone)}"
    if jar.juice_ml is not None:
        yield f"  juice     {volume(app, jar.juice_ml)}"
    if warned := juice_warning(jar):
        yield f"  mind      {warned}"
    if jar.judgement is not None:
        yield f"  judged    {'; '.join((str(jar.judgement), *not_counted(jar, outlook)))}"


def not_counted(jar: Jar, outlook: Outlook | None) -> list[str]:
    """Say that a judgement teaches nothing, where the warmth it was made at is no plant's."""
    return [f"not counted: {OUT_OF_REACH}"] if outlook is not None and out_of_reach(jar, outlook.heat) else []


def _signs_lines(jar: Jar, signs: FirstSigns | None, zone: tzinfo) -> Iterator[str]:
    if signs is None:
        return
    if signs.juice_due_at is not None:
        yield f"  juice     the first is expected by {moment_text(signs.juice_due_at, zone)}"
    if signs.question is not None:
        answers = "--juice some (or none)" if signs.question.sign is Sign.JUICE else "--bubbles few (or none)"
        yield f"  look      {signs.question.text} Say so: jarside jar note {jar.id} {answers}"


def _packing_lines(app: App, jar: Jar) -> Iterator[str]:
    packing = jar.packing
    if packing.blend:
        yield f"  blend     {', '.join(f'{weight(app, share.plant_g)} {share.plant}' for share in packing.blend)}"
    if packing.picked_where:
        yield f"  picked    {packing.picked_where}"
    how = [f"{packing.vessel}, {packing.cover}" if packing.cover != "none" else f"{packing.vessel}, no cover"]
    how += ["stone boiled" if packing.stone_boiled else "stone not boiled"] if packing.stone_boiled is not None else []
    yield f"  vessel    {', '.join(how)}"
    if packing.photos:
        yield f"  photos    {', '.join(packing.photos)}"


def _amounts(app: App, jar: Jar) -> Iterator[str]:
    if jar.plant_g is not None:
        yield f"{weight(app, jar.plant_g)} plant"
    if jar.sugar_g is not None:
        ratio = f", plant to sugar {ratio_text(jar.plant_g / jar.sugar_g)}" if jar.plant_g else ""
        yield f"{weight(app, jar.sugar_g)} sugar{ratio}"
    yield f"{volume(app, jar.jar_ml)} jar"


def _outlook_lines(jar: Jar, outlook: Outlook, zone: tzinfo) -> Iterator[str]:
    yield f"  warmth    {_warmth_text(outlook) if _measured(outlook) else NO_READINGS}"
    if not jar.on_shelf:
        return
    early, likely, late = outlook.ready_early_at, outlook.ready_likely_at, outlook.ready_late_at
    if early is not None or _measured(outlook):
        yield f"  ready     {range_text(early, likely, late, zone)}"
    if outlook.evening_at is not None:
        yield f"  strain    {moment_text(outlook.evening_at, zone)}: {outlook.evening_reason}"
    for caveat in (one for one in outlook.caveats if one != NO_READINGS):
        yield f"  note      {caveat}"


def _warmth_text(outlook: Outlook) -> str:
    warmth = outlook.heat.warmth
    missing = f", {warmth.missing_h:.1f} h missing" if warmth.missing_h else ""
    return (
        f"{outlook.warm_days:.2f} of about {outlook.need_likely:.1f} warm-days "
        f"({outlook.degree_hours:,.0f} °C·h over {warmth.observed_h:.1f} h{missing})"
    )
