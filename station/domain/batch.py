"""A batch: what a typed plant or blend is, and what goes into so many jars of it."""

from collections.abc import Iterable
from dataclasses import dataclass

from station.domain.blends import blend_from, blend_g, blend_name, blend_ratio, plants_in
from station.domain.mix import (
    Mix,
    expected_juice_ml,
    fill_share,
    jars_needed,
    mixed,
    mixed_for_jar,
    mixed_for_sugar,
    ratio_text,
    scaled,
)
from station.domain.packing import Share
from station.domain.plants import RATIO_OF, Moisture, Plant, find_plant, plant_named
from station.domain.quantities import Measures, both_volumes, both_weights
from station.errors import JarsideError


@dataclass(frozen=True, slots=True)
class Contents:
    """What a typed plant is.

    Args:
        name: what the jar is called after it.
        shares: the plants of a blend, by weight; empty for a single plant.
    """

    name: str
    shares: tuple[Share, ...] = ()

    @property
    def plant_g(self) -> float | None:
        """The weight that a blend names; None for a single plant."""
        return blend_g(self.shares) if self.shares else None


def contents_from(text: str, own: Iterable[Plant] = ()) -> Contents:
    """Return what a typed plant or blend is: a known plant by its own name, a strange one as it was typed.

    Args:
        text: such as `comfrey` or `nettle:200g+clover:60g`. A name with a + or : of its own but no weights is no blend.
        own: the grower's own plants.

    Raises:
        NotebookError: a blend names an unknown plant, no weight, or a plant twice.
        QuantityError: a weight cannot be read.
    """
    mine = tuple(own)
    reads_as_blend = "+" in text or any(sign.isdigit() for sign in text.partition(":")[2])
    if shares := blend_from(text, mine) if reads_as_blend else ():
        return Contents(blend_name(shares), shares)
    found = find_plant(text, mine)
    return Contents(found.name if found else " ".join(text.split()))


@dataclass(frozen=True, slots=True)
class Batch:
    """A mix, the jars it takes if their size was said, and the known plants in it."""

    mix: Mix
    jars: int | None
    jar_ml: float | None
    plants: tuple[Plant, ...]


def usual_ratio(shares: Iterable[Share], plants: Iterable[Plant], own: Iterable[Plant] = ()) -> float | None:
    """Return plant to sugar as a blend or a known plant asks for it; None when nothing is known."""
    blend, known = tuple(shares), tuple(plants)
    if blend:
        return blend_ratio(blend, own)
    return known[0].ratio if known else None


def batch_of(
    plants: Iterable[Plant],
    ratio: float,
    *,
    plant_g: float | None = None,
    sugar_g: float | None = None,
    jar_ml: float | None = None,
    times: float = 1.0,
) -> Batch:
    """Return the batch that a weight of plant, else of sugar, else a jar to fill makes.

    Args:
        plants: the known plants in it.
        ratio: parts of plant to one part of sugar, above 0.
        plant_g, sugar_g: weights, grams, above 0.
        jar_ml: the size of the jars, mL, above 0.
        times: so many times the batch, above 0.

    Raises:
        JarsideError: no amount is given, or one is outside its range.
    """
    mix = scaled(_mix(ratio, plant_g, sugar_g, jar_ml), times)
    return Batch(mix, None if jar_ml is None else jars_needed(mix, jar_ml), jar_ml, tuple(plants))


def _mix(ratio: float, plant_g: float | None, sugar_g: float | None, jar_ml: float | None) -> Mix:
    if plant_g is not None:
        return mixed(plant_g, ratio)
    if sugar_g is not None:
        return mixed_for_sugar(sugar_g, ratio)
    if jar_ml is not None:
        return mixed_for_jar(jar_ml, ratio)
    raise JarsideError(
        "no amount", "Say --weight 260g, --jar 1L or --sugar 500g.", "Say the plant's weight, the jar or the sugar."
    )


def ratio_of(
    contents: Contents, own: Iterable[Plant] = (), *, ratio: float | None = None, moisture: Moisture | None = None
) -> float | None:
    """Return plant to sugar: as said, else by how juicy it was said to be, else as the plants ask for it, else None."""
    if ratio is not None:
        return ratio
    if moisture is not None:
        return RATIO_OF[moisture]
    mine = tuple(own)
    return usual_ratio(contents.shares, plants_in(contents.name, mine), mine)


def known_plants(contents: Contents, own: Iterable[Plant]) -> tuple[Plant, ...]:
    """Return the plants of a blend or a name.

    Raises:
        NotebookError: one is not known.
    """
    mine = tuple(own)
    names = [share.plant for share in contents.shares] or [contents.name]
    return tuple(plant_named(name, mine) for name in names)


def most_juice_ml(batch: Batch, moisture: Moisture | None = None) -> float:
    """Return the most juice that a batch can give, mL: by how juicy it was said to be, else as its plants are."""
    known = batch.plants[0].moisture if batch.plants else Moisture.MEDIUM
    return expected_juice_ml(batch.mix, moisture or known)


def batch_lines(
    batch: Batch, moisture: Moisture | None = None, measures: Measures = Measures.METRIC
) -> tuple[tuple[str, str], ...]:
    """Return a batch as people weigh it in: what, and how much of it.

    Args:
        batch: the mix and its jars.
        moisture: how juicy it was said to be, if it was.
        measures: in which amounts are read first.
    """
    mix = batch.mix
    return (
        ("plant", both_weights(mix.plant_g, measures)),
        ("sugar", f"{both_weights(mix.sugar_g, measures)}, plant to sugar {ratio_text(mix.ratio)}"),
        ("cap", f"{both_weights(mix.cap_g, measures)} of the sugar kept back to close the top"),
        _jar_line(batch, measures),
        ("juice", f"{both_volumes(most_juice_ml(batch, moisture), measures)} at the very most"),
    )


def _jar_line(batch: Batch, measures: Measures) -> tuple[str, str]:
    """Return the jar to look for; where the jars are known, how many and how full they are."""
    if batch.jars is None or batch.jar_ml is None:
        return "jar", f"{both_volumes(batch.mix.jar_ml, measures)}, a third of it left empty"
    share = fill_share(batch.mix, batch.jars, batch.jar_ml)
    return "jars", f"{batch.jars} of {both_volumes(batch.jar_ml, measures)}, {share * 100:.0f} % full"
