"""Packing a jar from the shell: what was said, put together; and what follows from it."""

from datetime import datetime
from pathlib import Path

from station.cli.frame import App
from station.cli.mixing import own_plants
from station.cli.times import now
from station.cli.words import volume, weight
from station.domain.batch import contents_from
from station.domain.blends import plants_in
from station.domain.cautions import packing_cautions
from station.domain.jars import Corrected, Jar
from station.domain.packing import Cover, Packing, Vessel, checklist, packing_warnings
from station.domain.plants import Plant, near_names, plant_named
from station.domain.preparations import Preparation
from station.domain.quantities import volume_ml, weight_g
from station.errors import JarsideError, NotebookError

USUAL_JAR_ML = 1000.0


def packed_jar(
    app: App,
    plant: str,
    at: datetime,
    *,
    weight: str | None,
    sugar: str | None,
    cap: str | None,
    size: str | None,
    kind: Preparation,
    days: float | None,
    where: str,
    vessel: Vessel,
    cover: Cover,
    stone: bool | None,
    photos: tuple[str, ...],
    probe: str,
) -> Jar:
    """Record a packing and return the jar.

    Raises:
        JarsideError: the blend or an amount cannot be read, or the cap is more than the sugar.
    """
    if not plant.strip():
        raise NotebookError("the plant is empty", "Name it: jarside jar pack comfrey.")
    contents = contents_from(plant, own_plants(app))
    if contents.shares and weight:
        raise JarsideError(f"{plant!r} has weights, and --weight gives another", "Leave one of them out.")
    plant_g = weight_g(weight) if weight else contents.plant_g
    sugar_g, cap_g = weight_g(sugar) if sugar else None, weight_g(cap) if cap else None
    if cap_g is not None and cap_g > (sugar_g or 0.0):
        raise JarsideError(
            f"a sugar cap of {cap_g:g} g of {sugar_g or 0:g} g of sugar", "The cap is part of the sugar."
        )
    packing = Packing(kind, days, contents.shares, cap_g, where, vessel, cover, stone, whole_paths(photos))
    with app.notebook() as notebook:
        return notebook.pack(
            contents.name,
            at,
            volume_ml(size) if size else USUAL_JAR_ML,
            now_at=now(),
            plant_g=plant_g,
            sugar_g=sugar_g,
            probe=probe,
            packing=packing,
        )


def corrected_jar(
    app: App, name: str, *, plant: str | None, weight: str | None, sugar: str | None, size: str | None
) -> Jar:
    """Record what was wrong of a packing and return the jar.

    Raises:
        JarsideError: nothing is said, an amount cannot be read or cannot be, or a blend is to be another plant.
    """
    if not any((plant, weight, sugar, size)):
        raise JarsideError(
            "nothing to correct is said", "Say it: --plant nettle, --weight 250g, --sugar 170g, --jar 2L."
        )
    with app.notebook() as notebook:
        entry = Corrected(
            notebook.jar(name).id,
            now(),
            None if plant is None else contents_from(plant, own_plants(app)).name,
            volume_ml(size) if size else None,
            weight_g(weight) if weight else None,
            weight_g(sugar) if sugar else None,
        )
        return notebook.record(entry, now_at=now())


def warnings_of(app: App, jar: Jar, size: str | None) -> tuple[str, ...]:
    """Return what should be put right about a packing and its record; `size` is the jar's volume if it was said."""
    unsaid = () if size else (f"The jar's size was not said: {volume(app, jar.jar_ml)} is written down; say --jar.",)
    warnings = (*unsaid, *packing_warnings(jar.packing, jar.jar_ml, jar.plant_g, jar.sugar_g))
    found = (*warnings, *missing_photos(jar.packing.photos))
    if jar.packing.preparation is not Preparation.FERMENT:
        return found
    weights = (("the plant", jar.plant_g), ("the sugar", jar.sugar_g))
    if unweighed := [name for name, weight_g in weights if weight_g is None]:
        found = (
            *found,
            f"No weight of {' and '.join(unweighed)}: later nobody can tell the ratio, or the juice from a kilogram.",
        )
    if plants_in(jar.plant, own := own_plants(app)):
        return found
    if near := near_names(jar.plant, own):
        meant = " or ".join(near)
        return (
            *found,
            f"{jar.plant} is not among the plants known here. Did you mean {meant}? Its sugar, its cautions and "
            f"what is learned go by the name: jarside jar correct {jar.id} --plant {near[0]!r}",
        )
    return (*found, f"{jar.plant} is not among the plants known here; to keep its cautions: jarside plants add.")


def missing_photos(photos: tuple[str, ...]) -> tuple[str, ...]:
    """Say which photos are not where they were said to be; their paths are kept all the same."""
    return tuple(f"There is no photo {photo} now; the path is kept." for photo in photos if not Path(photo).is_file())


def whole_paths(photos: tuple[str, ...]) -> tuple[str, ...]:
    """Return the paths of photos so that they are found from any folder."""
    return tuple(str(Path(photo).expanduser().absolute()) for photo in photos)


def packing_text(app: App, jar: Jar, size: str | None) -> str:
    """Return what to say about a jar just packed: warnings first, then the checklist and the cautions."""
    return "\n".join(
        [
            f"Packed {jar.id}: {contents_text(app, jar)}.",
            *(f"! {text}" for text in warnings_of(app, jar, size)),
            "",
            *(f"[ ] {text}" for text in checklist(jar.packing.preparation)),
            f"Print its label with: jarside label {jar.id} --out {jar.id}.svg",
            "",
            *packing_cautions(jar.packing.preparation, _maybe_in(jar.plant, own_plants(app))),
        ]
    )


def _maybe_in(name: str, own: tuple[Plant, ...]) -> tuple[Plant, ...]:
    """Return the plants in a jar; where its name is strange, those that may be meant: one too many is no harm."""
    return plants_in(name, own) or tuple(plant_named(near, own) for near in near_names(name, own))


def contents_text(app: App, jar: Jar) -> str:
    """Return what a jar was packed with, as this user reads it: "260 g (9.2 oz) comfrey, 2 L (2.11 qt) jar"."""
    found = [jar.plant if jar.plant_g is None else f"{weight(app, jar.plant_g)} {jar.plant}"]
    found += [] if jar.sugar_g is None else [f"{weight(app, jar.sugar_g)} sugar"]
    return ", ".join([*found, f"{volume(app, jar.jar_ml)} jar"])
