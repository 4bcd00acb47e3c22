"""A jar as people and programs read it."""

from collections.abc import Iterator
from datetime import tzinfo
from typing import Any

from station.domain.jars import Jar, stage
from station.domain.outlook import Outlook
from station.domain.quantities import volume_text, weight_text
from station.domain.sentences import moment_text, range_text


def jar_json(jar: Jar, outlook: Outlook | None) -> dict[str, Any]:
    """Return a jar for programs: weights in g, volumes in mL, warmth in warm-days and °C·h."""
    return {
        "id": jar.id,
        "plant": jar.plant,
        "stage": str(_stage(jar, outlook)),
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
        "notes": [{"at": note.at, "text": note.text} for note in jar.notes],
        "outlook": None if outlook is None else _outlook_json(outlook),
    }


def _outlook_json(outlook: Outlook) -> dict[str, Any]:
    warmth = outlook.heat.warmth
    return {
        "judged_at": outlook.judged_at,
        "jar_temp_c": outlook.heat.temp_c,
        "degree_hours": round(warmth.degree_hours(), 2),
        "warm_days": round(warmth.warm_days(), 3),
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


def _stage(jar: Jar, outlook: Outlook | None) -> str:
    return stage(jar, 0.0, 0.0) if outlook is None else stage(jar, outlook.chance_ready, outlook.chance_past)


def jar_line(jar: Jar, outlook: Outlook | None, zone: tzinfo) -> str:
    """Return a jar in one line: name, stage, warmth, strain evening."""
    parts = [f"{jar.id:<16}", f"{_stage(jar, outlook):<10}", f"packed {moment_text(jar.packed_at, zone)}"]
    if outlook is not None:
        parts.append(f"{outlook.heat.warmth.warm_days():.1f} of about {outlook.need_likely:.1f} warm-days")
    if outlook is not None and outlook.evening_at is not None and jar.on_shelf:
        parts.append(f"strain {moment_text(outlook.evening_at, zone)}")
    return "  ".join(parts)


def jar_page(jar: Jar, outlook: Outlook | None, zone: tzinfo) -> str:
    """Return everything about a jar, a fact a line."""
    return "\n".join(_page_lines(jar, outlook, zone))


def _page_lines(jar: Jar, outlook: Outlook | None, zone: tzinfo) -> Iterator[str]:
    yield f"{jar.id}: {jar.plant}, {_stage(jar, outlook)}"
    yield f"  packed    {moment_text(jar.packed_at, zone)}, {', '.join(_amounts(jar))}"
    if outlook is None:
        yield "  warmth    unknown: the station has not seen this jar yet"
    else:
        yield from _outlook_lines(jar, outlook, zone)
    for what, at in (("strained", jar.strained_at), ("bottled", jar.bottled_at), ("discarded", jar.discarded_at)):
        if at is not None:
            yield f"  {what:<9} {moment_text(at, zone)}"
    if jar.judgement is not None:
        yield f"  judged    {jar.judgement}"
    for note in jar.notes:
        yield f"  {moment_text(note.at, zone)}  {note.text}"


def _amounts(jar: Jar) -> Iterator[str]:
    if jar.plant_g is not None:
        yield f"{weight_text(jar.plant_g)} plant"
    if jar.sugar_g is not None:
        yield f"{weight_text(jar.sugar_g)} sugar"
    yield f"{volume_text(jar.jar_ml)} jar"


def _outlook_lines(jar: Jar, outlook: Outlook, zone: tzinfo) -> Iterator[str]:
    warmth = outlook.heat.warmth
    missing = f", {warmth.missing_h:.1f} h missing" if warmth.missing_h else ""
    yield (
        f"  warmth    {warmth.warm_days():.2f} of about {outlook.need_likely:.1f} warm-days "
        f"({warmth.degree_hours():,.0f} °C·h over {warmth.observed_h:.1f} h{missing})"
    )
    if not jar.on_shelf:
        return
    early, likely, late = outlook.ready_early_at, outlook.ready_likely_at, outlook.ready_late_at
    yield f"  ready     {range_text(early, likely, late, zone)}"
    if outlook.evening_at is not None:
        yield f"  strain    {moment_text(outlook.evening_at, zone)}: {outlook.evening_reason}"
    for caveat in outlook.caveats:
        yield f"  note      {caveat}"
