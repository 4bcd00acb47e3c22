"""Cautions, in the words in which they are shown where they matter."""

import enum
from collections.abc import Iterable

from station.domain.plants import EVERY_PLANT, Plant
from station.domain.preparations import Preparation

NOT_FOR_DRINKING = "Not for drinking, for people or animals."
_GAS = "Never close a working jar or a fresh bottle tightly: gas builds pressure, and glass bursts."
_MOULD = "Fuzzy or coloured mould or a foul smell: discard the whole jar, do not taste."
_FOOD = "Wash what you harvest; keep sprays off parts that are eaten soon."
_LOCAL = "Local rules on home-made plant treatments come first."
_NO_PROMISE = "What it does for plants differs: no yield and no nutrient is promised. Try it on a few first."
_STRENGTH = "Start weak and try it on a few plants first: a strong mix can scorch leaves and roots."
_STORE = "Keep it labelled, out of light and out of the reach of children and animals."
_WATER = "Keep mains adaptors away from the sink, and the electronics above the jars' liquid and away from splashes."
_STEEP = "A water steep stinks and breeds germs: keep it covered, wear gloves, use it on soil only, not on salads."
_VINEGAR = "Vinegar stings eyes and eats lime: no marble under it. Never mix it with bleach, which sets chlorine free."


class Step(enum.StrEnum):
    """A step of the job, for which cautions are asked."""

    PICK = "pick"
    PACK = "pack"
    WAIT = "wait"
    STRAIN = "strain"
    BOTTLE = "bottle"
    DILUTE = "dilute"
    FEED = "feed"
    SHELF = "shelf"
    STEEP = "steep"
    VINEGAR = "vinegar"


_OF_STEP = {
    Step.PICK: EVERY_PLANT,
    Step.PACK: (NOT_FOR_DRINKING, _GAS),
    Step.WAIT: (_GAS, _MOULD),
    Step.STRAIN: (_MOULD, NOT_FOR_DRINKING),
    Step.BOTTLE: (_GAS, NOT_FOR_DRINKING, _STORE),
    Step.DILUTE: (_STRENGTH, NOT_FOR_DRINKING),
    Step.FEED: (_FOOD, _LOCAL, _NO_PROMISE),
    Step.SHELF: (_WATER,),
    Step.STEEP: (NOT_FOR_DRINKING, _STEEP),
    Step.VINEGAR: (NOT_FOR_DRINKING, _VINEGAR),
}


def cautions_for(step: Step, plants: Iterable[Plant] = ()) -> tuple[str, ...]:
    """Return the cautions of a step, those of the plants in hand first."""
    of_plants = (text for plant in plants for text in plant.cautions)
    return tuple(dict.fromkeys((*of_plants, *_OF_STEP[step])))


def packing_cautions(preparation: Preparation, plants: Iterable[Plant]) -> tuple[str, ...]:
    """Return the cautions of packing a kind of jar, those of its plants first."""
    return cautions_for(_PACKING_STEP.get(preparation, Step.PACK), plants)


_PACKING_STEP = {Preparation.STEEP: Step.STEEP, Preparation.VINEGAR: Step.VINEGAR}
