"""Packing a jar: what a form says, and the mix that follows from it."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from dashboard.views.manner import Manner
from station.domain.batch import Contents, batch_of, ratio_of
from station.domain.blends import plants_in
from station.domain.figures import counted
from station.domain.mix import CAP_SHARE, RATIOS_DIFFER, Mix, fill_share, jars_needed, mixed, ratio_text
from station.domain.moments import moment_text
from station.domain.packing import PLAINLY, Packing, packing_warnings
from station.domain.plants import KNOWN, Moisture, Plant, near_names
from station.domain.preparations import Preparation, recipe
from station.domain.quantities import Measures, volume_ml

SIZES = {
    Measures.METRIC: (("500mL", "0.5 L"), ("1L", "1 L"), ("1.5L", "1.5 L"), ("2L", "2 L")),
    Measures.US: (("1pt", "1 pt"), ("1qt", "1 qt"), ("2qt", "2 qt"), ("1gal", "1 gal")),
}
USUAL_SIZE = {Measures.METRIC: "1L", Measures.US: "1qt"}
ALIKE = (1, 2, 3, 4, 5, 6)
"""So many jars alike are chosen with one tap."""
SAFE_RATIO = 1.0
"""Equal weights are the safe choice for a plant that is not known here (CTAHR SA-7; see `RATIOS_DIFFER`)."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What a packing form says, as far as it can be read.

    Args:
        contents: the plant or blend; an empty name while none is typed.
        jar_ml: the size of each jar, mL.
        jars: into how many jars alike, 1 or more.
        plant_g, sugar_g, cap_g: weights of the whole batch, grams, as typed; None where nothing is.
        ratio, moisture: said instead of the plant's own.
        packing: how it is packed, without blend and cap.
    """

    contents: Contents
    jar_ml: float
    jars: int = 1
    plant_g: float | None = None
    sugar_g: float | None = None
    cap_g: float | None = None
    ratio: float | None = None
    moisture: Moisture | None = None
    packing: Packing = PLAINLY

    @property
    def sugared(self) -> bool:
        """Whether sugar is weighed in."""
        return recipe(self.packing.preparation).sugared


@dataclass(frozen=True, slots=True)
class Filled:
    """What goes into each jar: weights in grams, None where nothing was weighed."""

    plant_g: float | None
    sugar_g: float | None
    packing: Packing


@dataclass(frozen=True, slots=True)
class MixView:
    """The mix as the form shows it.

    Args:
        title: what it is for, in a few words.
        lines: names and amounts, in order.
        hints: what was assumed, and what else may be done.
        warnings: what should be put right before it is packed.
        fits: where the jar is too small, the smallest on offer that is not, as the form names it; else "".
    """

    title: str
    lines: tuple[tuple[str, str], ...]
    hints: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    fits: str = ""


def filled(asked: Asked, own: tuple[Plant, ...] = ()) -> Filled:
    """Return what goes into each jar: sugar and cap as typed, else as worked out for the weight of plant."""
    plant_g = asked.plant_g if asked.plant_g is not None else asked.contents.plant_g
    mix = mixed(plant_g, _ratio(asked, own)) if plant_g is not None and asked.sugared else None
    sugar_g = asked.sugar_g if asked.sugar_g is not None else mix.sugar_g if mix else None
    cap_g = asked.cap_g if asked.cap_g is not None else sugar_g * CAP_SHARE if mix and sugar_g is not None else None
    blend = tuple(replace(share, plant_g=share.plant_g / asked.jars) for share in asked.contents.shares)
    packing = replace(asked.packing, blend=blend, cap_g=_each(cap_g, asked.jars))
    return Filled(_each(plant_g, asked.jars), _each(sugar_g, asked.jars), packing)


def _each(amount_g: float | None, jars: int) -> float | None:
    return None if amount_g is None else amount_g / jars


def _ratio(asked: Asked, own: tuple[Plant, ...]) -> float:
    return ratio_of(asked.contents, own, ratio=asked.ratio, moisture=asked.moisture) or SAFE_RATIO


def mix_view(asked: Asked, own: tuple[Plant, ...], packed_at: datetime, manner: Manner) -> MixView | None:
    """Return the mix that the form shows; None while no plant is named.

    Args:
        asked: what the form says.
        own: the grower's own plants.
        packed_at: when it is packed.
        manner: zone and measures.
    """
    if not asked.contents.name:
        return None
    each = filled(asked, own)
    warnings = packing_warnings(each.packing, asked.jar_ml, each.plant_g, each.sugar_g, asked.jars)
    if not asked.sugared:
        return MixView(*_stands(asked, packed_at, manner), (), warnings)
    weighed = each.plant_g is not None
    mix = _mix(asked, each, own)
    title = "Weigh in" if weighed else f"For {manner.volume(asked.jar_ml)}, a third left empty"
    small = weighed and jars_needed(mix, asked.jar_ml) > asked.jars
    fits, size = _fitting(mix, asked.jars, manner.measures) if small else ("", "")
    hints = tuple(_hints(asked, mix, each, own, size))
    return MixView(title, tuple(_lines(asked, mix, each, manner)), hints, warnings, fits)


def _fitting(mix: Mix, jars: int, measures: Measures) -> tuple[str, str]:
    """Return the smallest jar on offer that holds each share, as the form and as people name it."""
    fitting = (one for one in SIZES[measures] if jars_needed(mix, volume_ml(one[0])) <= jars)
    return next(fitting, ("", ""))


def _mix(asked: Asked, each: Filled, own: tuple[Plant, ...]) -> Mix:
    """Return the mix of the whole batch: as typed where something is, else as it is worked out."""
    ratio = _ratio(asked, own)
    if each.plant_g is None:
        return batch_of((), ratio, sugar_g=asked.sugar_g, jar_ml=asked.jar_ml).mix
    mix = mixed(each.plant_g * asked.jars, ratio)
    if each.sugar_g is None or each.packing.cap_g is None:
        return mix
    return replace(mix, sugar_g=each.sugar_g * asked.jars, cap_g=each.packing.cap_g * asked.jars)


def _lines(asked: Asked, mix: Mix, each: Filled, manner: Manner) -> Iterator[tuple[str, str]]:
    yield "Plant", manner.weight(mix.plant_g)
    yield "Sugar", manner.weight(mix.sugar_g)
    yield "of it for the cap", manner.weight(mix.cap_g)
    yield "Plant to sugar", ratio_text(mix.ratio)
    if each.plant_g is None:
        return
    share = fill_share(mix, asked.jars, asked.jar_ml)
    yield "Fills", f"about {share * 100:.0f} % of {'each' if asked.jars > 1 else 'the'} jar"
    needed = jars_needed(mix, asked.jar_ml)
    if needed > asked.jars:
        yield "Jars needed", f"{needed} of {manner.volume(asked.jar_ml)}"


def _hints(asked: Asked, mix: Mix, each: Filled, own: tuple[Plant, ...], size: str) -> Iterator[str]:
    if each.plant_g is not None and (needed := jars_needed(mix, asked.jar_ml)) > asked.jars:
        larger = f"A jar of {size} holds it. " if size else ""
        where = "above" if needed <= ALIKE[-1] else "under More"
        yield f"{larger}For {needed} jars alike, say so {where}: each is written down with its share."
    if not plants_in(asked.contents.name, own) and (near := near_names(asked.contents.name, own)):
        yield f"{asked.contents.name} is not among the plants known here. Did you mean {' or '.join(near)}?"
    elif asked.ratio is None and asked.moisture is None and not plants_in(asked.contents.name, own):
        yield f"{asked.contents.name} is not among the plants known here, so this counts equal weights. {RATIOS_DIFFER}"


def _stands(asked: Asked, packed_at: datetime, manner: Manner) -> tuple[str, tuple[tuple[str, str], ...]]:
    """Return what is said of a jar that goes by days."""
    kind = recipe(asked.packing.preparation)
    days = asked.packing.stand_days or 0.0
    until = moment_text(packed_at + timedelta(days=days), manner.zone)
    return kind.name.capitalize(), (
        ("Stands", f"{counted(days, 'day')}, until {until}"),
        ("Fill", "leave a third empty"),
    )


def known_names(own: tuple[Plant, ...], used: tuple[str, ...] = ()) -> tuple[str, ...]:
    """Return the names that a grower may mean: what was packed before, then plants known here, each once."""
    names = (*used, *(plant.name for plant in own), *(plant.name for plant in KNOWN))
    return tuple(dict.fromkeys(names))


def kinds() -> tuple[tuple[str, str], ...]:
    """Return the kinds of preparation with what people call them."""
    return tuple((kind.value, recipe(kind).name) for kind in Preparation)
