"""A season in figures: what became of the jars of each plant, and where the juice went."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime

from station.domain.bottling import Bottle
from station.domain.feeding import Fed
from station.domain.jars import Jar, Judgement
from station.domain.preparations import Preparation, recipe

DAY_S = 86400.0


@dataclass(frozen=True, slots=True)
class JarWarmth:
    """The warm-days a jar had when it was strained."""

    jar_id: str
    warm_days: float


@dataclass(frozen=True, slots=True)
class PlantSeason:
    """One plant's season.

    Args:
        plant: the plant or blend.
        jars, strained, discarded: how many were packed, strained and thrown away.
        plant_g, sugar_g: weights that went in, as far as they were written down.
        juice_ml: juice that came out.
        juice_ml_per_kg: juice from a kilogram of plant, over jars of which both are known; None if none.
        mean_days: from packing to straining; None if none was strained.
        mean_warm_days: warm-days at straining, where the station knows them; None if of none.
        right, too_early, too_late: judgements.
        bottles: bottles filled.
        filled_ml: juice that was filled into them.
        left_ml: juice still in store.
        fed_ml: juice that was fed.
    """

    plant: str
    jars: int
    strained: int
    discarded: int
    plant_g: float
    sugar_g: float
    juice_ml: float
    juice_ml_per_kg: float | None
    mean_days: float | None
    mean_warm_days: float | None
    right: int
    too_early: int
    too_late: int
    bottles: int
    filled_ml: float
    left_ml: float
    fed_ml: float


@dataclass(frozen=True, slots=True)
class Season:
    """The whole season: per plant in alphabetical order, and what was fed by method as (method, times, juice in mL)."""

    plants: tuple[PlantSeason, ...]
    fed: tuple[tuple[str, int, float], ...]


def season(
    jars: Iterable[Jar],
    bottles: Iterable[Bottle] = (),
    feedings: Iterable[Fed] = (),
    warmths: Iterable[JarWarmth] = (),
    since_at: datetime | None = None,
    until_at: datetime | None = None,
) -> Season:
    """Return the figures of a season.

    Args:
        jars: all jars; those packed within the times count.
        bottles: all bottles; those filled within the times count.
        feedings: all feedings within the times count.
        warmths: warm-days at straining, where they are known.
        since_at, until_at: begin (included) and end (excluded), aware; None for open.
    """

    def within(at: datetime) -> bool:
        return (since_at is None or at >= since_at) and (until_at is None or at < until_at)

    jars, bottles = list(jars), list(bottles)
    of_jar = {jar.id: _name(jar) for jar in jars}
    of_bottle = {bottle.id: of_jar.get(bottle.jar_id, bottle.plant) for bottle in bottles}
    packed = [jar for jar in jars if within(jar.packed_at)]
    filled = [bottle for bottle in bottles if within(bottle.filled_at)]
    fed = [one for one in feedings if within(one.at)]
    names = {of_jar[jar.id] for jar in packed} | {of_bottle[bottle.id] for bottle in filled}
    names |= {of_bottle[one.bottle_id] for one in fed if one.bottle_id in of_bottle}
    warm_of = {one.jar_id: one.warm_days for one in warmths}
    plants = tuple(
        _plant_season(
            name,
            [jar for jar in packed if of_jar[jar.id] == name],
            [bottle for bottle in filled if of_bottle[bottle.id] == name],
            sum(one.juice_ml for one in fed if of_bottle.get(one.bottle_id) == name),
            warm_of,
        )
        for name in sorted(names)
    )
    return Season(plants, _by_method(fed))


def _name(jar: Jar) -> str:
    """The plant; with its preparation if that is no ferment, since their days and juices do not compare."""
    preparation = jar.packing.preparation
    return jar.plant if preparation is Preparation.FERMENT else f"{jar.plant} ({recipe(preparation).name})"


def _plant_season(
    name: str, jars: list[Jar], bottles: list[Bottle], fed_ml: float, warm_of: dict[str, float]
) -> PlantSeason:
    strained = [jar for jar in jars if jar.strained_at is not None]
    judged = [jar.judgement for jar in jars]
    return PlantSeason(
        plant=name,
        jars=len(jars),
        strained=len(strained),
        discarded=sum(jar.discarded_at is not None for jar in jars),
        plant_g=_total(jars, lambda jar: jar.plant_g),
        sugar_g=_total(jars, lambda jar: jar.sugar_g),
        juice_ml=_total(jars, lambda jar: jar.juice_ml),
        juice_ml_per_kg=_juice_per_kg(jars),
        mean_days=_mean([_days(jar) for jar in strained]),
        mean_warm_days=_mean([warm_of[jar.id] for jar in strained if jar.id in warm_of]),
        right=judged.count(Judgement.RIGHT),
        too_early=judged.count(Judgement.TOO_EARLY),
        too_late=judged.count(Judgement.TOO_LATE),
        bottles=len(bottles),
        filled_ml=sum(bottle.volume_ml for bottle in bottles),
        left_ml=sum(bottle.left_ml for bottle in bottles),
        fed_ml=fed_ml,
    )


def _total(jars: list[Jar], part: Callable[[Jar], float | None]) -> float:
    return sum(part(jar) or 0.0 for jar in jars)


def _juice_per_kg(jars: list[Jar]) -> float | None:
    known = [jar for jar in jars if jar.plant_g and jar.juice_ml is not None]
    plant_g = _total(known, lambda jar: jar.plant_g)
    return _total(known, lambda jar: jar.juice_ml) / plant_g * 1000.0 if plant_g else None


def _days(jar: Jar) -> float:
    return (jar.strained_at - jar.packed_at).total_seconds() / DAY_S if jar.strained_at else 0.0


def _mean(values: list[float]) -> float | None:
    return sum(values) / len(values) if values else None


def _by_method(feedings: list[Fed]) -> tuple[tuple[str, int, float], ...]:
    methods = sorted({fed.method for fed in feedings})
    rows = []
    for method in methods:
        amounts = [fed.juice_ml for fed in feedings if fed.method == method]
        rows.append((method.value, len(amounts), sum(amounts)))
    return tuple(rows)
