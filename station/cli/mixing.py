"""What was asked of `jarside mix`, worked out."""

from station.cli.frame import App
from station.domain.batch import Batch, Contents, batch_of, known_plants, ratio_of
from station.domain.blends import blend_from, blend_name, plants_in
from station.domain.mix import ratio_from
from station.domain.plants import Moisture, Plant
from station.domain.quantities import volume_ml, weight_g
from station.errors import JarsideError


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
) -> Batch:
    """Work out a mix from what was said.

    Raises:
        JarsideError: the plant is unknown, too little or too much was said, or an amount cannot be read.
    """
    own = own_plants(app)
    shares = blend_from(plant, own)
    contents = Contents(blend_name(shares) if shares else plant, shares)
    _check_amounts(contents, plant_text, sugar_text)
    needs_name = plant and not (ratio_text or moisture)
    plants = known_plants(contents, own) if shares or needs_name else plants_in(contents.name, own)
    ratio = ratio_of(contents, own, ratio=ratio_from(ratio_text) if ratio_text else None, moisture=moisture)
    if ratio is None:
        raise JarsideError("no plant, no ratio", "Name a plant, or say --moisture dry or --ratio 3:2.")
    return batch_of(
        plants,
        ratio,
        plant_g=weight_g(plant_text) if plant_text else contents.plant_g,
        sugar_g=weight_g(sugar_text) if sugar_text else None,
        jar_ml=volume_ml(jar_text) if jar_text else None,
        times=times,
    )


def _check_amounts(contents: Contents, plant_text: str | None, sugar_text: str | None) -> None:
    if contents.shares and plant_text:
        raise JarsideError(f"{contents.name!r} has weights, and --weight gives another", "Leave one of them out.")
    if (contents.shares or plant_text) and sugar_text:
        raise JarsideError("both a weight of plant and --sugar", "Give one of them: each follows from the other.")


def own_plants(app: App) -> tuple[Plant, ...]:
    """Return the grower's own plants; none when there is no notebook yet."""
    from station.store.own_plants import OwnPlants

    if not app.notebook_file.is_file():
        return ()
    with app.notebook() as notebook:
        return OwnPlants(notebook).plants()
