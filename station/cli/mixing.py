"""What was asked of `jarside mix`, worked out."""

from dataclasses import dataclass

from station.cli.frame import App
from station.domain.blends import blend_from, blend_g, blend_ratio
from station.domain.mix import Mix, jars_needed, mixed, mixed_for_jar, mixed_for_sugar, ratio_from, scaled
from station.domain.packing import Share
from station.domain.plants import RATIO_OF, Moisture, Plant, plant_named
from station.domain.quantities import volume_ml, weight_g
from station.errors import JarsideError


@dataclass(frozen=True, slots=True)
class Answer:
    """A mix, the jars it takes if their size was said, and the plants in it."""

    mix: Mix
    jars: int | None
    jar_ml: float | None
    plants: tuple[Plant, ...]


def asked(
    app: App,
    plant: str,
    *,
    plant_text: str | None,
    jar_text: str | None,
    sugar_text: str | None,
    ratio_text: str | None,
    moisture: Moisture | None,
    times: float,
) -> Answer:
    """Work out a mix from what was said.

    Raises:
        JarsideError: the plant is unknown, too little or too much was said, or an amount cannot be read.
    """
    own = own_plants(app)
    shares = blend_from(plant, own)
    plants = tuple(plant_named(share.plant, own) for share in shares)
    if not shares and plant and not (ratio_text or moisture):
        plants = (plant_named(plant, own),)
    ratio = _ratio(plants, shares, own, ratio_text, moisture)
    plant_g = blend_g(shares) if shares else weight_g(plant_text) if plant_text else None
    if shares and plant_text:
        raise JarsideError(f"{plant!r} has weights, and --weight gives another", "Leave one of them out.")
    jar_ml = volume_ml(jar_text) if jar_text else None
    mix = scaled(_mix(plant_g, jar_ml, weight_g(sugar_text) if sugar_text else None, ratio), times)
    return Answer(mix, None if jar_ml is None else jars_needed(mix, jar_ml), jar_ml, plants)


def own_plants(app: App) -> tuple[Plant, ...]:
    """Return the grower's own plants; none when there is no notebook yet."""
    from station.store.own_plants import OwnPlants

    if not app.notebook_file.is_file():
        return ()
    with app.notebook() as notebook:
        return OwnPlants(notebook).plants()


def _ratio(
    plants: tuple[Plant, ...],
    shares: tuple[Share, ...],
    own: tuple[Plant, ...],
    ratio_text: str | None,
    moisture: Moisture | None,
) -> float:
    if ratio_text:
        return ratio_from(ratio_text)
    if moisture:
        return RATIO_OF[moisture]
    if shares:
        return blend_ratio(shares, own)
    if plants:
        return plants[0].ratio
    raise JarsideError("no plant, no ratio", "Name a plant, or say --moisture dry or --ratio 3:2.")


def _mix(plant_g: float | None, jar_ml: float | None, sugar_g: float | None, ratio: float) -> Mix:
    if plant_g is not None and sugar_g is not None:
        raise JarsideError("both --weight and --sugar", "Give one of them: each follows from the other.")
    if plant_g is not None:
        return mixed(plant_g, ratio)
    if sugar_g is not None:
        return mixed_for_sugar(sugar_g, ratio)
    if jar_ml is not None:
        return mixed_for_jar(jar_ml, ratio)
    raise JarsideError("no amount", "Say --weight 260g, --jar 1L or --sugar 500g.")
