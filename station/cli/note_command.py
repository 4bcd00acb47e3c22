"""`jarside jar note`: what was seen of a jar, what follows from it, and a note taken back."""

from datetime import datetime, timedelta
from typing import Any

import click

from station.cli.frame import App, json_option, pass_app, print_json
from station.cli.jar_text import grave_lines, jar_json, note_text, tell_jar
from station.cli.times import at_option, now, said_at
from station.cli.words import Id, Word
from station.domain.jars import Jar, Noted, NoteTakenBack
from station.domain.note_advice import advice_after, grave_notes
from station.domain.observations import NOT_LOOKED, Act, Bubbles, Juice, Seen, Smell, Surface
from station.domain.packing import Cover, cover_warning
from station.errors import JarsideError


@click.command()
@click.argument("name", type=Id("jar"))
@click.argument("text", required=False, default="")
@click.option("--juice", type=Word(Juice), help="How much juice stands in it.")
@click.option("--smell", type=Word(Smell), help="What it smells of.")
@click.option("--bubbles", type=Word(Bubbles), help="How much it bubbles.")
@click.option("--surface", type=Word(Surface), help="What the surface looks like; fuzzy and coloured are mould.")
@click.option("--cover", type=Word(Cover), help="What closes it from now on: a lid loosened, a cloth tied over it.")
@click.option("--photo", "photos", multiple=True, metavar="PATH", help="A photo; may be given several times.")
@click.option("--take-back", is_flag=True, help="The last note was a slip: it counts no more. --at names another.")
@at_option
@json_option
@pass_app
def note(
    app: App,
    name: str,
    text: str,
    *,
    cover: Cover | None,
    photos: tuple[str, ...],
    take_back: bool,
    at: str | None,
    as_json: bool,
    **looks: Any,
) -> None:
    """Write a note about a jar: what was seen, smelled, thought or put right; and hear what follows from it.

    \b
    Example: jarside jar note comfrey-1 "juice up to the stone"
             jarside jar note comfrey-1 --juice covering --smell sweet --bubbles many --surface clear
             jarside jar note comfrey-1 --cover cloth
             jarside jar note comfrey-1 --take-back
    """
    from station.cli.packing import whole_paths

    words, seen = text.strip(), Seen(**looks)
    empty = not words and seen == NOT_LOOKED and not photos and cover is None
    if take_back:
        if not empty:
            raise JarsideError("--take-back stands beside a new note", "Take back first, then note anew.")
        _take_back(app, name, at, as_json=as_json)
        return
    if empty:
        raise JarsideError("the note is empty", 'Example: jarside jar note comfrey-1 "smells sweet".')
    with app.notebook() as notebook:
        entry = Noted(notebook.jar(name).id, said_at(app, at), words, seen, whole_paths(photos), cover)
        noted = notebook.record(entry, now_at=now())
    _tell_noted(app, noted, entry, as_json=as_json)


def _tell_noted(app: App, noted: Jar, entry: Noted, *, as_json: bool) -> None:
    """Say what follows from a note: what to mind, what to do, and how to take it back if it was a slip."""
    from station.cli.packing import missing_photos

    said = advice_after(noted, entry)
    if as_json:
        found = jar_json(noted, app.shelf().outlook(noted.id), now())
        print_json({**found, "advice": [{"act": str(one.act), "text": one.text} for one in said]})
        return
    warned = cover_warning(noted.packing) if entry.cover is not None else ""
    warnings = [f"! {text}" for text in (*missing_photos(entry.photos), warned) if text]
    after = _to_discard(app, noted) if said and said[0].act is Act.DISCARD else []
    click.echo("\n".join([f"Noted with {noted.id}.", *warnings, *(one.text for one in said), *after]))


def _take_back(app: App, name: str, at: str | None, *, as_json: bool) -> None:
    """Take back the last note of a jar, or the first within a minute from a time that was said; say which."""
    with app.notebook() as notebook:
        found = notebook.jar(name)
        gone = _note_of(found, None if at is None else said_at(app, at))
        left = notebook.record(NoteTakenBack(found.id, now(), gone.at), now_at=now())
    text = f"Took back the note of {note_text(gone, app.zone)}"
    tell_jar(app, left, "\n".join([text, *grave_lines(left)]), as_json=as_json)


def _note_of(jar: Jar, at: datetime | None) -> Noted:
    if not jar.notes:
        raise JarsideError(f"jar {jar.id} has no note", f"Write one: jarside jar note {jar.id} TEXT")
    if at is None:
        return jar.notes[-1]
    for one in jar.notes:
        if at <= one.at < at + timedelta(minutes=1):
            return one
    raise JarsideError((f"jar {jar.id} has no note of ", at), f"See its notes: jarside jar show {jar.id}")


def _to_discard(app: App, jar: Jar) -> list[str]:
    """Say how to record a discard, and how to take back the note that calls for it."""
    slip = grave_notes(jar)[-1].at.astimezone(app.zone).replace(tzinfo=None).isoformat(timespec="seconds")
    return [
        f"Then record it: jarside jar discard {jar.id}",
        f"Was that note a slip? jarside jar note {jar.id} --take-back --at {slip}",
    ]
