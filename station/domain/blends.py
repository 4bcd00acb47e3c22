"""Several plants in one jar, by weight: `nettle:200g + clover:60g`."""

from collections.abc import Iterable

from station.domain.packing import Share
from station.domain.plants import RATIO_OF, Plant, find_plant, plant_named
from station.domain.quantities import weight_g
from station.errors import NotebookError

_JOINT = " + "


def blend_from(text: str, own: Iterable[Plant] = ()) -> tuple[Share, ...]:
    """Return the shares of a typed blend, or () when the text names a single plant without a weight.

    Args:
        text: such as `nettle:200g+clover:60g`.
        own: the grower's own plants.

    Raises:
        NotebookError: an unknown plant, a missing weight, or a plant named twice.
        QuantityError: a weight cannot be read.
    """
    mine = tuple(own)
    if "+" not in text and ":" not in text:
        return ()
    shares = tuple(_share(piece, text, mine) for piece in text.split("+"))
    names = [share.plant for share in shares]
    double = next((name for name in names if names.count(name) > 1), None)
    if double is not None:
        raise NotebookError(f"blend {text!r} names {double} twice", "Add its weights up.")
    return shares


def _share(piece: str, text: str, own: tuple[Plant, ...]) -> Share:
    name, colon, weight = piece.partition(":")
    if not colon:
        raise NotebookError(
            f"blend {text!r}: {name.strip() or 'a plant'} has no weight", "Write it as nettle:200g+clover:60g."
        )
    return Share(plant_named(name, own).name, weight_g(weight))


def blend_name(shares: Iterable[Share]) -> str:
    """Return what a blend is called: its plants in alphabetical order, so that the same blend has the same name."""
    return _JOINT.join(sorted(share.plant for share in shares))


def plants_in(name: str, own: Iterable[Plant] = ()) -> tuple[Plant, ...]:
    """Return the known plants that a jar's plant name stands for; a blend has several, a strange name none."""
    mine = tuple(own)
    found = (find_plant(one, mine) for one in name.split(_JOINT))
    return tuple(plant for plant in found if plant is not None)


def blend_g(shares: Iterable[Share]) -> float:
    """Return the weight of all plants of a blend, grams."""
    return sum(share.plant_g for share in shares)


def blend_ratio(shares: Iterable[Share], own: Iterable[Plant] = ()) -> float:
    """Return plant to sugar for a blend, by weight: each plant asks for its own sugar, and the sugars add up.

    Args:
        shares: at least one plant, weights above 0.
        own: the grower's own plants.
    """
    all_shares, mine = tuple(shares), tuple(own)
    sugar_g = sum(share.plant_g / RATIO_OF[plant_named(share.plant, mine).moisture] for share in all_shares)
    return blend_g(all_shares) / sugar_g
