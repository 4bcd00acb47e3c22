"""`jarside season`: what came of it all."""

from collections.abc import Iterator
from dataclasses import asdict
from datetime import datetime
from typing import TYPE_CHECKING, Any

import click

from station.cli.frame import App, json_option, pass_app, print_json
from station.cli.times import moment
from station.cli.words import measures_of, rounded, volume, weight
from station.domain.jars import Jar
from station.domain.quantities import LB_G, Measures
from station.domain.season import JarWarmth, PlantSeason, Season
from station.errors import JarsideError

if TYPE_CHECKING:
    from station.domain.warmth import JarHeat


@click.command()
@click.argument("year", type=int, required=False)
@click.option("--since", metavar="TIME", help="From this time on.")
@click.option("--until", metavar="TIME", help="Up to this time.")
@json_option
@pass_app
def season(app: App, year: int | None, since: str | None, until: str | None, *, as_json: bool) -> None:
    """Sum up a season per plant: jars, juice per kilogram, days, warm-days, judgements, bottles, feedings.

    Example: jarside season 2026
    """
    found = _season(app, *_span(app, year, since, until))
    if as_json:
        print_json(_season_json(found))
    elif not found.plants:
        click.echo("Nothing was recorded in that time.")
    else:
        click.echo("\n".join(_lines(app, found)))


def _span(app: App, year: int | None, since: str | None, until: str | None) -> tuple[datetime | None, datetime | None]:
    if year is None:
        return moment(since, app.zone) if since else None, moment(until, app.zone) if until else None
    if since or until:
        raise JarsideError("both a year and --since or --until", "Leave one of them out.")
    if not 1970 <= year <= 9998:
        raise JarsideError(f"the year {year}", "Write it with four digits, such as 2026.")
    return datetime(year, 1, 1, tzinfo=app.zone), datetime(year + 1, 1, 1, tzinfo=app.zone)


def _season(app: App, since_at: datetime | None, until_at: datetime | None) -> Season:
    from station.domain.season import season as season_of
    from station.store.bottles import Bottles
    from station.store.feedings import Feedings

    with app.notebook() as notebook:
        jars, bottles = notebook.jars(), Bottles(notebook).bottles()
        feedings = Feedings(notebook).feedings()
    return season_of(jars, bottles, feedings, _warmths(app, jars), since_at, until_at)


def _warmths(app: App, jars: tuple[Jar, ...]) -> list[JarWarmth]:
    """Return the warm-days of the strained jars of which anything was measured."""
    kept = {one.jar_id: one.heat for one in app.shelf().outlooks()}
    found = ((jar.id, _warm_days(app, jar, kept.get(jar.id))) for jar in jars)
    return [JarWarmth(jar_id, warm_days) for jar_id, warm_days in found if warm_days is not None]


def _warm_days(app: App, jar: Jar, kept: "JarHeat | None") -> float | None:
    """Return what a jar had when it was strained: as the station kept it, else counted from its log."""
    from station.domain.needs import knows, warmth_at_straining

    if jar.strained_at is None:
        return None
    heat = kept if kept is not None and knows(kept, jar) else _counted(app, jar)
    warmth = warmth_at_straining(heat, jar.strained_at)
    return warmth.warm_days(app.settings.strain.base_c) if warmth.observed_h else None


def _counted(app: App, jar: Jar) -> "JarHeat":
    from station.domain.warmth import followed_all, fresh, time_constant_s

    readings = app.shelf().readings(jar.packed_at, jar.strained_at)
    return followed_all(fresh(jar.packed_at), readings, time_constant_s(jar.jar_ml), jar.probe)


def _season_json(found: Season) -> dict[str, Any]:
    rows = [
        {name: rounded(value) if isinstance(value, float) else value for name, value in asdict(plant).items()}
        for plant in found.plants
    ]
    fed = [{"method": method, "times": times, "juice_ml": rounded(juice_ml)} for method, times, juice_ml in found.fed]
    return {"plants": rows, "fed": fed}


def _lines(app: App, found: Season) -> Iterator[str]:
    for plant in found.plants:
        yield from _plant_lines(app, plant)
    for method, times, juice_ml in found.fed:
        yield f"{method}: {times} time{'' if times == 1 else 's'}, {volume(app, juice_ml)} of juice"


def _plant_lines(app: App, plant: PlantSeason) -> Iterator[str]:
    facts = (
        ("jars", _counts((plant.jars, "packed"), (plant.strained, "strained"), (plant.discarded, "discarded"))),
        ("weighed", _weighed(app, plant)),
        ("juice", f"{volume(app, plant.juice_ml)}{_yield(app, plant.juice_ml_per_kg)}" if plant.juice_ml else ""),
        ("stood", _stood(plant)),
        ("judged", _counts((plant.right, "right"), (plant.too_early, "too early"), (plant.too_late, "too late"))),
        ("bottles", _bottles(app, plant)),
        ("fed", volume(app, plant.fed_ml) if plant.fed_ml else ""),
    )
    yield plant.plant
    yield from (f"  {name:<9} {text}" for name, text in facts if text)


def _counts(*counted: tuple[int, str]) -> str:
    """Return "3 packed, 2 strained": what there was none of is left out."""
    return ", ".join(f"{number} {what}" for number, what in counted if number)


def _weighed(app: App, plant: PlantSeason) -> str:
    weights = ((plant.plant_g, "plant"), (plant.sugar_g, "sugar"))
    return ", ".join(f"{weight(app, grams)} {what}" for grams, what in weights if grams)


def _yield(app: App, juice_ml_per_kg: float | None) -> str:
    if juice_ml_per_kg is None:
        return ""
    if measures_of(app) is Measures.US:
        return f", {volume(app, juice_ml_per_kg * LB_G / 1000.0)} from a pound of plant"
    return f", {volume(app, juice_ml_per_kg)} from a kilogram of plant"


def _stood(plant: PlantSeason) -> str:
    if plant.mean_days is None:
        return ""
    warm = "" if plant.mean_warm_days is None else f", {plant.mean_warm_days:.1f} warm-days"
    return f"{plant.mean_days:.1f} days on average{warm}"


def _bottles(app: App, plant: PlantSeason) -> str:
    if not plant.bottles:
        return ""
    left = f"{volume(app, plant.left_ml)} left" if plant.left_ml else "nothing left"
    return f"{plant.bottles} with {volume(app, plant.filled_ml)}; {left}"
