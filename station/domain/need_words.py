"""What is believed of a plant, in words: where the number comes from, and which jars it rests on."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import tzinfo

from station.domain.figures import counted
from station.domain.forecast import Caveat
from station.domain.jars import Jar
from station.domain.moments import day_text
from station.domain.needs import REACH, Needs, PlantNeed, knows, out_of_reach, plant_key, warmth_at_straining
from station.domain.warmth import BASE_C, JarHeat

NO_READINGS = str(Caveat.NO_READINGS)
OUT_OF_REACH = f"too far from what any plant needs, {REACH[0]:g} to {REACH[1]:g} warm-days"
NOT_COUNTED_YET = "the station has not counted its warmth yet"


@dataclass(frozen=True, slots=True)
class JudgedLine:
    """One judged jar of a plant.

    Args:
        jar: the jar.
        warm_days: the warmth it had when it was strained; None if unknown.
        left_out: why it does not count, or "".
    """

    jar: Jar
    warm_days: float | None
    left_out: str


def need_text(need: PlantNeed, zone: tzinfo) -> str:
    """Say what is believed of a plant and why: "from 6 of your comfrey jars: 5.1 warm-days, give or take 0.4".

    Args:
        need: what `plant_need` made of the notebook.
        zone: of local days.
    """
    told = need.explained
    return f"{_source(need, zone)}: {told.need_warm_days:.1f} warm-days, give or take {told.give_or_take:.1f}"


def _source(need: PlantNeed, zone: tzinfo) -> str:
    told, by_hand = need.explained, need.by_hand
    if by_hand is not None:
        since = f", and from {counted(told.own_jars, 'jar')} judged since" if told.own_jars else ""
        return f"set by you to {by_hand.warm_days:g} on {day_text(by_hand.at, zone)}{since}"
    if told.own_jars:
        beside = f" and {told.other_jars} of other plants" if told.other_jars else ""
        return f"from {told.own_jars} of your {told.plant} jars{beside}"
    if told.other_jars:
        return f"no {told.plant} jar judged yet; from {counted(told.other_jars, 'jar')} of other plants"
    return "no jar judged yet; as is usual"


def judged_lines(
    plant: str, needs: Needs, heats: Mapping[str, JarHeat], base_c: float = BASE_C
) -> tuple[JudgedLine, ...]:
    """Return the judged jars of a plant, with their warmth and why those that do not count are left out.

    Args:
        plant: the plant.
        needs: what the notebook says.
        heats: what the station kept of each jar, by id.
        base_c: the base temperature from which warmth is told, °C.
    """
    return tuple(_lines(plant_key(plant), needs, heats, base_c))


def _lines(key: str, needs: Needs, heats: Mapping[str, JarHeat], base_c: float) -> Iterator[JudgedLine]:
    for jar in needs.jars:
        if plant_key(jar.plant) == key and jar.strained_at is not None:
            heat = heats.get(jar.id)
            warmth = warmth_at_straining(heat, jar.strained_at) if heat is not None and knows(heat, jar) else None
            measured = warmth is not None and warmth.observed_h > 0.0
            unknown = "" if measured else NOT_COUNTED_YET if warmth is None else NO_READINGS
            far = OUT_OF_REACH if heat is not None and out_of_reach(jar, heat) else ""
            warm_days = warmth.warm_days(base_c) if warmth is not None and measured else None
            yield JudgedLine(jar, warm_days, _outdated(jar, needs) or unknown or far)


def _outdated(jar: Jar, needs: Needs) -> str:
    by_hand = needs.set_by_hand(jar.plant)
    if not needs.counts(jar):
        return "judged before the reset"
    early = by_hand is not None and (jar.judged_at is None or jar.judged_at <= by_hand.at)
    return "judged before you set the need" if early else ""
