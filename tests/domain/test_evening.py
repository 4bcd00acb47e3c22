from dataclasses import replace
from datetime import UTC, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest

from station.domain.evening import (
    LEAST_READY,
    EveningRule,
    Reason,
    StrainEvening,
    evenings,
    next_chance,
    strain_evening,
)
from station.domain.forecast import prospect_of
from station.domain.paths import HourMean, ShelfPaths, shelf_paths
from station.domain.readiness import default_belief
from station.domain.warmth import JarHeat, Warmth, approach, fresh
from tests.builders import START

BELIEF = default_belief()
RULE = EveningRule()
BERLIN = EveningRule(zone="Europe/Berlin")


def a_shelf(temp_c: float = 20.0, now_at: datetime = START) -> ShelfPaths:
    hours = [HourMean(now_at - timedelta(hours=hour), temp_c) for hour in range(24 * 14, 0, -1)]
    return shelf_paths(hours, now_at, temp_c)


def a_jar(days: float, temp_c: float = 20.0, now_at: datetime = START) -> JarHeat:
    """A jar that has stood for so many days until now."""
    return JarHeat(Warmth().after(approach(temp_c, temp_c, days * 86400.0, 0.0)), now_at, temp_c)


def proposed(
    heat: JarHeat, rule: EveningRule = RULE, previous: StrainEvening | None = None, temp_c: float = 20.0
) -> StrainEvening:
    found = strain_evening(BELIEF, heat, a_shelf(temp_c, heat.through_at), rule, previous)
    assert found is not None
    return found


def test_at_20_degrees_the_evening_is_five_or_six_days_after_packing() -> None:
    evening = proposed(fresh(START))  # common practice
    assert 5.0 < (evening.at - START) / timedelta(days=1) < 6.6
    assert evening.at.time() == time(19, 0)
    assert evening.reason is Reason.BEST


def test_no_other_evening_is_likelier_to_find_it_ready_and_not_past() -> None:
    heat = a_jar(1.0)
    prospect = prospect_of(BELIEF, heat, a_shelf())
    assert prospect is not None
    chosen = proposed(heat)
    assert chosen.chance == max(prospect.chances(at).good for at in evenings(RULE, START))


def test_a_day_away_is_left_out_and_said() -> None:
    best = proposed(fresh(START))
    away = replace(RULE, days_away=frozenset({best.at.weekday()}))
    other = proposed(fresh(START), away)
    assert other.at.weekday() != best.at.weekday()
    assert other.reason is Reason.AWAY
    assert other.chance < best.chance


def test_days_away_that_change_nothing_are_not_spoken_of() -> None:
    best = proposed(fresh(START))
    away = replace(RULE, days_away=frozenset({(best.at.weekday() + 3) % 7}))
    assert proposed(fresh(START), away) == best


@pytest.mark.parametrize("temp_c", [18.0, 20.0, 24.0, 28.0])
@pytest.mark.parametrize("weekday", range(7))
def test_who_is_at_home_one_evening_a_week_is_told_one_on_which_the_jar_may_well_be_ready(
    weekday: int, temp_c: float
) -> None:
    """For a jar that is ready just after one and past its best before the next there was none at all."""
    rule = replace(RULE, days_away=frozenset(range(7)) - {weekday})
    evening = proposed(fresh(START), rule, temp_c=temp_c)
    prospect = prospect_of(BELIEF, fresh(START), a_shelf(temp_c))
    assert prospect is not None
    assert evening.at.weekday() == weekday
    assert prospect.chances(evening.at).ready >= LEAST_READY
    assert evening.at <= START + timedelta(days=15)


def test_an_overdue_jar_is_to_be_strained_at_the_next_chance() -> None:
    evening = proposed(a_jar(9.0))
    assert evening.at == START.replace(hour=19)
    assert evening.reason is Reason.OVERDUE


def test_an_overdue_jar_waits_for_someone_to_be_at_home() -> None:
    evening = proposed(a_jar(9.0), replace(RULE, days_away=frozenset({START.weekday()})))
    assert evening.at == START.replace(hour=19) + timedelta(days=1)
    assert evening.reason is Reason.AWAY


def test_a_proposal_stays_while_no_other_evening_is_clearly_better() -> None:
    heat = a_jar(2.0)
    best = proposed(heat)
    chances = (
        {at: prospect.chances(at).good for at in evenings(RULE, START)}
        if (prospect := prospect_of(BELIEF, heat, a_shelf()))
        else {}
    )
    for at, chance in chances.items():
        kept = proposed(heat, RULE, StrainEvening(at, 0.0, Reason.BEST))
        assert kept.at == (at if chance + 0.05 >= best.chance else best.at)


def test_an_evening_that_has_gone_by_is_not_kept() -> None:
    gone = StrainEvening(START - timedelta(hours=11), 0.9, Reason.BEST)
    assert proposed(a_jar(6.0), RULE, gone).at > START


def test_a_previous_evening_that_became_a_day_away_is_not_kept() -> None:
    best = proposed(fresh(START))
    away = replace(RULE, days_away=frozenset({best.at.weekday()}))
    assert proposed(fresh(START), away, best).at != best.at


def test_nothing_is_proposed_when_nothing_is_known() -> None:
    assert strain_evening(BELIEF, fresh(START - timedelta(days=1)), a_shelf(), RULE) is None
    assert strain_evening(BELIEF, fresh(START), shelf_paths([], START, None), RULE) is None


def test_nothing_is_proposed_for_a_shelf_that_never_gets_there() -> None:
    assert strain_evening(BELIEF, fresh(START), a_shelf(5.0), RULE) is None


def test_the_evening_keeps_its_wall_time_when_the_clocks_change() -> None:
    # Europe/Berlin goes from UTC+2 to UTC+1 on Sunday 25 October 2026 (IANA time zone database).
    before = datetime(2026, 10, 23, 12, 0, tzinfo=UTC)
    found = [at for at in evenings(BERLIN, before) if at < before + timedelta(days=5)]
    assert [at.hour for at in found] == [17, 17, 18, 18, 18]
    assert {at.astimezone(ZoneInfo("Europe/Berlin")).hour for at in found} == {19}


@pytest.mark.parametrize("zone", ["Pacific/Auckland", "America/Los_Angeles", "Asia/Kolkata"])
def test_days_away_are_the_growers_own_days(zone: str) -> None:
    rule = EveningRule(zone=zone, days_away=frozenset({1}))
    days = [at.astimezone(ZoneInfo(zone)) for at in evenings(rule, START)]
    assert {day.weekday() for day in days} == {0, 2, 3, 4, 5, 6}
    assert {(day.hour, day.minute) for day in days} == {(19, 0)}


def test_an_evening_is_never_in_the_past_and_hardly_moves() -> None:
    """A jar minded hour by hour on a shelf that swings by 2 K a day."""
    evening: StrainEvening | None = None
    seen: list[tuple[datetime, datetime]] = []
    heat = fresh(START)
    temps_c = [20.0 + (1.0 if hour % 24 < 12 else -1.0) for hour in range(24 * 20)]
    for hour in range(24 * 14, 24 * 20):
        now_at = START + timedelta(hours=hour - 24 * 14)
        log = [HourMean(now_at - timedelta(hours=back), temps_c[hour - back]) for back in range(24 * 14, 0, -1)]
        evening = strain_evening(BELIEF, heat, shelf_paths(log, now_at, temps_c[hour]), RULE, evening)
        assert evening is not None
        assert evening.at > now_at
        seen.append((now_at, evening.at))
        stretch = approach(heat.temp_c or temps_c[hour], temps_c[hour], 3600.0, 3.3 * 3600.0)
        heat = JarHeat(heat.warmth.after(stretch), now_at + timedelta(hours=1), stretch.end_c)
    moved_at = [now for (_, was), (now, at) in pairwise(seen) if at != was and was > now]
    assert len(moved_at) <= 1


def test_an_evening_that_has_begun_stays_until_midnight_in_the_zone_of_the_shelf() -> None:
    tonight = proposed(a_jar(5.5), BERLIN)
    assert tonight.at == START.replace(hour=17)  # 19:00 in Berlin, in summer
    for hour, minute, stays in ((17, 0, True), (21, 59, True), (22, 0, False)):
        now_at = START.replace(hour=hour, minute=minute)
        late = proposed(a_jar(5.5 + (now_at - START) / timedelta(days=1), now_at=now_at), BERLIN, tonight)
        assert (late.at == tonight.at) is stays
        assert stays or late.at > now_at


def test_what_can_wait_no_longer_keeps_its_evening_until_that_is_over_and_then_gets_the_next() -> None:
    evening_at = START.replace(hour=19)
    for now_at, expected_at in (
        (START, evening_at),
        (evening_at + timedelta(hours=4), evening_at),
        (evening_at + timedelta(hours=5), evening_at + timedelta(days=1)),
        (evening_at + timedelta(days=9), evening_at + timedelta(days=10)),
    ):
        assert next_chance(RULE, evening_at, now_at) == expected_at
    assert next_chance(RULE, None, START) == evening_at
    away = replace(RULE, days_away=frozenset({START.weekday()}))
    assert next_chance(away, None, START) == evening_at + timedelta(days=1)


def test_an_evening_that_was_moved_today_is_not_moved_again_before_midnight() -> None:
    best = proposed(a_jar(1.0))
    worse = replace(best, at=best.at + timedelta(days=3))
    moved = proposed(a_jar(1.0), previous=worse)
    assert (moved.at, moved.moved_at) == (best.at, START)
    assert best.moved_at is None
    held = proposed(a_jar(1.0), previous=replace(worse, moved_at=START - timedelta(hours=5)))
    assert held.at == worse.at
    assert held.moved_at == START - timedelta(hours=5)
    free = proposed(a_jar(1.0), previous=replace(worse, moved_at=START - timedelta(hours=7)))  # before midnight
    assert free.at == best.at
