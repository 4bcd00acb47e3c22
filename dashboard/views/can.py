"""The dilution helper: what goes into a can, how far juice goes, how strong a can is."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from dashboard.amounts import can_in, volume_in
from dashboard.forms import Form
from dashboard.views.feeding import typed_volume
from dashboard.views.manner import Manner
from station.domain.bottling import Bottle, oldest_first
from station.domain.dilution import (
    RATIOS_DIFFER,
    USUAL,
    Cans,
    Dilution,
    Measured,
    Ratio,
    diluted,
    dilution_from,
    juice_text,
    strength_note,
    thinned_to,
)
from station.domain.figures import number_text
from station.domain.quantities import Measures

WHOLE = "in"
COUNTS = (("to", "the water: 1 to 500"), (WHOLE, "the whole mix: 1 in 500"))
"""Which of the two a bare number means."""
CAN_SIZES = {
    Measures.METRIC: ("1 L", "5 L", "9 L", "10 L"),
    Measures.US: ("1 qt", "1 gal", "2 gal", "2.5 gal"),
}


@dataclass(frozen=True, slots=True)
class CanView:
    """What was worked out.

    Args:
        title: what it answers.
        lines: names and amounts, in order.
        source: the bottle to take it from, or "".
        notes: what else to know.
        warning: that it is strong, or "".
        feeding: what a feeding form is to be filled with: names of fields and texts; empty on that form itself.
    """

    title: str
    lines: tuple[tuple[str, str], ...]
    source: str
    notes: tuple[str, ...]
    warning: str
    feeding: tuple[tuple[str, str], ...]


def ratio_in(form: Form) -> Ratio:
    """Return the dilution that a form says; the usual one where it says none, or nothing that can be read."""
    counted = "1 in " if form.text("counts") == WHOLE else ""

    def read(text: str) -> Ratio:
        bare = text.replace(".", "", 1).isdigit()
        return dilution_from(f"{counted}{text}" if bare else text)

    return form.read("ratio", read) or USUAL


def measured_in(form: Form, measures: Measures) -> Measured:
    """Return what a form says of water, juice and can; bare numbers are in the units of their labels."""
    large, small = can_in(measures), volume_in(measures)
    return Measured(form.read("water", large), form.read("juice", small), form.read("can", large))


def can_view(
    known: Measured, ratio: Ratio, bottles: Iterable[Bottle], manner: Manner, *, linked: bool = True
) -> CanView | None:
    """Return what follows from what is known of a can; None while no amount is.

    Args:
        known: the amounts.
        ratio: how thin it is to be.
        bottles: all of them.
        manner: measures and keeping times.
        linked: whether a feeding form may be filled in with it.
    """
    found = diluted(known, ratio)
    if found is None:
        return None
    mix, cans = found
    lines = _strength(mix, ratio, manner) if known.mixed_already else _amounts(mix, ratio, manner)
    return CanView(
        f"This can is {Ratio(mix.ratio)}" if known.mixed_already else _asked(known, manner),
        (*lines, *_cans(cans, manner)),
        "" if known.mixed_already else _source(mix, bottles, manner),
        (RATIOS_DIFFER,) if linked else (),
        strength_note(mix.ratio),
        _fields(known, ratio, manner) if linked else (),
    )


def _fields(known: Measured, ratio: Ratio, manner: Manner) -> tuple[tuple[str, str], ...]:
    """Return what was said, for the form of a feeding: the rest follows there as it did here."""
    said = {"can": known.can_ml, "water": known.water_ml, "juice": known.juice_ml}
    amounts = ((name, typed_volume(amount_ml, manner)) for name, amount_ml in said.items() if amount_ml is not None)
    return ("ratio", str(ratio)), *amounts


def _asked(known: Measured, manner: Manner) -> str:
    if known.water_ml is not None:
        return f"For {manner.volume(known.water_ml)} of water"
    if known.juice_ml is not None:
        return f"From {manner.volume(known.juice_ml)} of juice"
    return f"For a can of {manner.volume(known.can_ml or 0.0)}"


def _amounts(mix: Dilution, ratio: Ratio, manner: Manner) -> Iterator[tuple[str, str]]:
    yield "Juice", juice_text(mix.juice_ml, manner.measures)
    yield "Water", manner.volume(mix.water_ml)
    yield str(ratio), meaning(ratio)


def meaning(ratio: Ratio) -> str:
    """Return what a dilution counts, in words."""
    if ratio.in_whole:
        return f"one part in {_parts(ratio.parts)} of the whole, so {_parts(ratio.water_parts)} of water"
    return f"one part and {_parts(ratio.parts)} parts of water"


def _parts(parts: float) -> str:
    return number_text(parts) if parts == round(parts) else number_text(parts, 1)


def _strength(mix: Dilution, ratio: Ratio, manner: Manner) -> Iterator[tuple[str, str]]:
    yield "Juice", juice_text(mix.juice_ml, manner.measures)
    yield "Water", manner.volume(mix.water_ml)
    more_ml = thinned_to(mix, ratio)
    yield f"For {ratio}", f"add {manner.volume(more_ml)} of water" if more_ml else "it is as thin already"


def _cans(cans: Cans | None, manner: Manner) -> Iterator[tuple[str, str]]:
    if cans is None:
        return
    if cans.full:
        each = juice_text(cans.each.juice_ml, manner.measures)
        yield f"{cans.full} can{'' if cans.full == 1 else 's'} of {manner.volume(cans.each.can_ml)}", f"{each} in each"
    if cans.last is not None:
        last = juice_text(cans.last.juice_ml, manner.measures)
        yield f"{'And the last' if cans.full else 'One can'}, {manner.volume(cans.last.can_ml)}", last


def _source(mix: Dilution, bottles: Iterable[Bottle], manner: Manner) -> str:
    """Return the first bottle to be used that has enough in it, or ""."""
    stored = oldest_first(bottles, manner.keeping)
    enough = (one for one in stored if one.has(mix.juice_ml))
    return next((f"{one.id}, which has {manner.volume(one.left_ml)}" for one in enough), "")
