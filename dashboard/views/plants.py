"""Plants as the pages list them, and a mix looked up without packing it."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from dashboard.views.manner import Manner
from station.domain.batch import Batch, batch_lines
from station.domain.cautions import Step, cautions_for
from station.domain.mix import RATIOS_DIFFER, ratio_text
from station.domain.packing import ratio_warning
from station.domain.plants import Moisture, Plant, all_plants

NO_NEEDS: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class PlantCard:
    """A plant.

    Args:
        name: what it is called.
        line: how juicy it is and how much sugar it asks for.
        facts: names and values, in order.
        cautions: what to mind.
        own: whether the grower added it.
        mind: the cautions in short, for its line.
    """

    name: str
    line: str
    facts: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...]
    own: bool
    mind: str


@dataclass(frozen=True, slots=True)
class MixAnswer:
    """A mix: amounts, what else to know, and a warning where it is out of the ordinary."""

    lines: tuple[tuple[str, str], ...]
    note: str
    warning: str
    cautions: tuple[str, ...]


def plant_cards(own: Iterable[Plant], needs: Mapping[str, str] = NO_NEEDS) -> tuple[PlantCard, ...]:
    """Return the plants in alphabetical order; the grower's own in place of known ones of the same name.

    Args:
        own: the grower's own plants.
        needs: what is believed of the need of those of which the grower's jars tell, in words, by name.
    """
    return tuple(_card(plant, needs.get(plant.name, "")) for plant in all_plants(own))


def _card(plant: Plant, need: str) -> PlantCard:
    facts = (("Also", ", ".join(plant.also)), ("Parts", plant.parts), ("Picking", plant.picking), ("Need", need))
    return PlantCard(
        plant.name,
        f"{plant.moisture}, plant to sugar {ratio_text(plant.ratio)}",
        tuple((name, text) for name, text in facts if text),
        plant.cautions,
        plant.own,
        "; ".join(_short(caution) for caution in plant.cautions),
    )


def _short(caution: str) -> str:
    """Return what a caution is about; why, and what to do about it, comes after it."""
    text = re.split(r"[.:(]", caution, maxsplit=1)[0].strip() or caution
    return text[:1].lower() + text[1:]


def mix_answer(batch: Batch, moisture: Moisture | None, manner: Manner) -> MixAnswer:
    """Return a mix as the page shows it.

    Args:
        batch: the mix and its jars.
        moisture: how juicy the plant was said to be, if it was.
        manner: measures.
    """
    return MixAnswer(
        batch_lines(batch, moisture, manner.measures),
        RATIOS_DIFFER,
        ratio_warning(batch.mix.ratio),
        cautions_for(Step.PACK, batch.plants),
    )


def plant_fields(plant: Plant) -> dict[str, list[str]]:
    """Return a plant of the grower's own as a form holds it."""
    return {
        "name": [plant.name],
        "moisture": [str(plant.moisture)],
        "parts": [plant.parts],
        "picking": [plant.picking],
        "cautions": ["\n".join(plant.cautions)],
        "also": [", ".join(plant.also)],
    }
