"""Plants that people ferment: how juicy they are, what to pick of them, and what to mind."""

import enum
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass, replace

from station.errors import NotebookError


class Moisture(enum.StrEnum):
    """How much water a plant gives up to the sugar."""

    DRY = "dry"
    MEDIUM = "medium"
    JUICY = "juicy"


RATIO_OF = {Moisture.DRY: 3.0 / 2.0, Moisture.MEDIUM: 5.0 / 4.0, Moisture.JUICY: 1.0}
"""Plant to sugar by weight: 3 : 2 for dry leaves, 1 : 1 for juicy ones (common practice); medium lies between."""
WATER_SHARE_OF = {Moisture.DRY: 0.78, Moisture.MEDIUM: 0.84, Moisture.JUICY: 0.89}
"""Share of water by weight, rough: stinging nettle 75 to 89 %, dandelion 85.6 % (food composition tables)."""


@dataclass(frozen=True, slots=True)
class Plant:
    """A plant as the grower knows it.

    Args:
        name: what it is called here, in small letters.
        moisture: how juicy it is.
        parts: what is used of it.
        picking: when and how to pick it.
        cautions: what to mind, as sentences.
        also: other names by which it is found.
        own: whether the grower added it.
    """

    name: str
    moisture: Moisture
    parts: str = ""
    picking: str = ""
    cautions: tuple[str, ...] = ()
    also: tuple[str, ...] = ()
    own: bool = False

    @property
    def ratio(self) -> float:
        """Parts of plant to one part of sugar, by weight."""
        return RATIO_OF[self.moisture]


_ALKALOIDS = "Holds pyrrolizidine alkaloids, which harm the liver (US FDA, July 2001): never drink the juice."
_SPREADS = "Grows again from pieces of root: keep roots out of the compost."
_D, _M, _J = Moisture.DRY, Moisture.MEDIUM, Moisture.JUICY

KNOWN: tuple[Plant, ...] = (
    Plant("borage", _J, "leaves, flowers, soft stems", "Before it sets seed.", (_ALKALOIDS, "Bristly: wear gloves.")),
    Plant(
        "chickweed",
        _J,
        "whole tops",
        "Cool months; cut with scissors, leave the roots.",
        ("Looks like scarlet pimpernel and young spurges, which are poisonous: look for one line of hairs.",),
    ),
    Plant("cleavers", _M, "young tops", "Before it flowers.", ("Clings and can redden skin.",), ("goosegrass",)),
    Plant(
        "clover",
        _D,
        "leaves and flower heads",
        "In flower, dew on; leave some for the bees.",
        ("From a meadow or park only with leave.",),
    ),
    Plant(
        "comfrey",
        _J,
        "leaves",
        "Before it flowers, leaving the crown; again every six weeks.",
        (
            _ALKALOIDS,
            "Leaves look like foxglove's, which is deadly: be sure of the plant.",
            "Bristly: wear gloves. " + _SPREADS,
        ),
    ),
    Plant(
        "dandelion",
        _M,
        "leaves and flowers",
        "Young leaves in spring, flowers when open.",
        ("White sap stains and can redden skin.",),
    ),
    Plant("dock", _M, "young leaves", "Spring, before the stalk rises.", ("Holds oxalates. " + _SPREADS,)),
    Plant(
        "ground elder",
        _M,
        "young leaves",
        "Spring, before it flowers.",
        ("Of the carrot family, like deadly hemlock: be sure of the plant. " + _SPREADS,),
    ),
    Plant(
        "horsetail",
        _D,
        "green summer shoots",
        "Early summer, while the branches point up.",
        ("Poisonous to grazing animals, marsh horsetail above all. " + _SPREADS,),
    ),
    Plant("lamb's quarters", _M, "tops", "Before it flowers.", ("Holds oxalates.",), ("fat hen", "goosefoot")),
    Plant(
        "mugwort",
        _D,
        "growing tips",
        "Spring to early summer, tips a hand long.",
        ("Pollen and leaves can set off allergies. " + _SPREADS,),
    ),
    Plant(
        "nettle",
        _D,
        "top four to six leaves",
        "Before it flowers; regrowth later in the year.",
        ("Stings: wear gloves and long sleeves.",),
        ("stinging nettle",),
    ),
    Plant("plantain", _M, "leaves", "Any time before seed; not from trodden paths.", (), ("ribwort",)),
    Plant(
        "purslane",
        _J,
        "tops",
        "Summer mornings.",
        ("Spurges look alike and bleed white, burning sap: break a stem and look.",),
    ),
    Plant(
        "yarrow",
        _D,
        "leaves, flowering tops",
        "In flower, on a dry day after the dew.",
        ("Young leaves look like those of hemlock, which is deadly: be sure of the plant.", "Can redden skin."),
    ),
)

EVERY_PLANT = (
    "Know the plant, and have the owner's leave.",
    "Keep off sprayed verges and protected sites; whether a plant is protected or invasive differs by place.",
    "In the United Kingdom foliage growing wild may be picked for oneself, not for sale (Theft Act 1968, s. 4(3)); "
    "other countries differ.",
)


def find_plant(name: str, own: Iterable[Plant] = ()) -> Plant | None:
    """Return the plant of that name, the grower's own first, or None. Case and a plural s do not matter.

    A plant that the grower describes anew keeps the cautions it has here: how juicy it is is theirs to say, poison not.
    """
    mine, known = _among(name, own), _among(name, KNOWN)
    if mine is None or known is None:
        return mine or known
    return replace(
        mine,
        parts=mine.parts or known.parts,
        picking=mine.picking or known.picking,
        cautions=tuple(dict.fromkeys((*known.cautions, *mine.cautions))),
    )


def _among(name: str, plants: Iterable[Plant]) -> Plant | None:
    choice = tuple(plants)
    for wanted in _spellings(name):
        for plant in choice:
            if wanted in (plant.name.casefold(), *(other.casefold() for other in plant.also)):
                return plant
    return None


def all_plants(own: Iterable[Plant] = ()) -> tuple[Plant, ...]:
    """Return the plants by name, the grower's own in place of those known here, whose cautions they keep."""
    mine = tuple(own)
    described = (find_plant(plant.name, mine) or plant for plant in mine)
    hidden = {plant.name.casefold() for plant in mine}
    listed = (*described, *(plant for plant in KNOWN if plant.name.casefold() not in hidden))
    return tuple(sorted(listed, key=lambda plant: plant.name.casefold()))


def plant_named(name: str, own: Iterable[Plant] = ()) -> Plant:
    """Return the plant of that name.

    Raises:
        NotebookError: there is none; the remedy names those that are spelled nearly so.
    """
    mine = tuple(own)
    plant = find_plant(name, mine)
    if plant is None:
        near = near_names(name, mine, 0.6)
        meant = f"Did you mean {' or '.join(near)}? " if near else ""
        raise NotebookError(
            f"{name!r} is not a plant known here",
            f"{meant}See jarside plants; add your own with jarside plants add.",
            f"{meant}See those known under Plants, and add your own there.",
        )
    return plant


SLIP = 0.75
"""Names so alike, of 1, are probably one with a slip in it: "netle" and "nettle" are 0.91; "holly" and "sea holly" 0.71
are two plants."""


def near_names(name: str, own: Iterable[Plant] = (), alike: float = SLIP) -> tuple[str, ...]:
    """Return up to three plants that a strange name may mean, the likeliest first; none where it is known here.

    Args:
        name: as it was typed.
        own: the grower's own plants.
        alike: how alike the names are to be, 0 to 1.
    """
    import difflib  # here, because the station never needs it and would carry 0.8 MB for it

    mine = tuple(own)
    if find_plant(name, mine) is not None:
        return ()
    known = {other: plant.name for plant in (*mine, *KNOWN) for other in (plant.name, *plant.also)}
    near = difflib.get_close_matches(_spellings(name)[0], known, n=3, cutoff=alike)
    return tuple(dict.fromkeys(known[one] for one in near))


def _spellings(name: str) -> tuple[str, ...]:
    plain = " ".join(name.split()).casefold()
    return plain, plain.removesuffix("s"), plain.removesuffix("es")


NAME_MOST = 60


def own_plant(
    name: str,
    moisture: Moisture,
    parts: str = "",
    picking: str = "",
    cautions: tuple[str, ...] = (),
    also: tuple[str, ...] = (),
) -> Plant:
    """Return a plant of the grower's own.

    Raises:
        NotebookError: the name is empty, too long, or would read as a blend.
    """
    plain = " ".join(name.split())
    if not plain or len(plain) > NAME_MOST:
        raise NotebookError(f"plant name {name!r} has {len(plain)} characters", f"Use 1 to {NAME_MOST}.")
    if "+" in plain or ":" in plain or any(unicodedata.category(sign) == "Cc" for sign in plain):
        raise NotebookError(f"plant name {name!r} holds a sign that names may not", "Leave out + and : .")
    return Plant(plain, moisture, parts, picking, cautions, also, own=True)
