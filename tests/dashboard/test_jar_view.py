from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from dashboard.views.jars import jar_card, stage_of
from dashboard.views.manner import Manner
from dashboard.views.todo import Urgency, todos
from station.domain.feeding import Fed, Method
from station.domain.jars import Jar, Noted, Stage
from station.domain.observations import Bubbles, Seen, Surface
from station.domain.outlook import Outlook
from station.domain.packing import Packing
from station.domain.preparations import Preparation
from station.domain.rounds import Round, RoundSet
from station.domain.trials import Arm, Counted, Trial
from tests.dashboard.world import MANNER, a_jar, an_outlook, at

EVENING = at(5, hours=12)  # Saturday 9 May, 19:00 in Lisbon


def ready(**changes: object) -> Outlook:
    return replace(an_outlook(5.7), chance_ready=0.7, ready_at=at(5.5), **changes)  # type: ignore[arg-type]


def past() -> Outlook:
    return replace(ready(), chance_past=0.8, evening_at=None)


def mouldy(jar: Jar) -> Jar:
    return replace(jar, notes=(Noted(jar.id, at(3), "grey fur", Seen(surface=Surface.FUZZY)),))


def bubbling(jar: Jar) -> Jar:
    return replace(jar, notes=(Noted(jar.id, at(4), "", Seen(bubbles=Bubbles.FEW)),))


def test_a_working_jar_tells_its_day_its_warmth_and_its_evening() -> None:
    card = jar_card(a_jar(), an_outlook(), at(2.75), MANNER)

    assert card.day == "day 3, working"
    assert card.warmth == "2.8 of about 5.5 warm-days"
    assert card.evening == "Strain Sat 9 May 19:00"
    assert card.ready == "ready Fri 8 May to Sun 10 May, most likely Sat 9 May"
    assert card.pressing == "calm"


@pytest.mark.parametrize(
    ("hours_before", "evening", "pressing"),
    [
        (24, "Strain tomorrow, 19:00", "calm"),
        (6, "Strain this evening, 19:00", "today"),
        (-3, "Strain this evening, 19:00", "today"),
    ],
)
def test_the_evening_comes_nearer_in_words(hours_before: float, evening: str, pressing: str) -> None:
    card = jar_card(a_jar(), ready(), EVENING - timedelta(hours=hours_before), MANNER)

    assert (card.evening, card.pressing) == (evening, pressing)


def test_a_ready_jar_says_since_when() -> None:
    assert jar_card(a_jar(), ready(), at(5.6), MANNER).ready == "ready since this evening"


def test_a_jar_with_missing_hours_is_not_ready_only_since_its_measured_hours_alone_reached_its_need() -> None:
    """A day without the station: it was past ready, and "ready since this morning"."""
    heat = replace(past().heat, warmth=replace(past().heat.warmth, missing_h=24.0))
    outlook = replace(past(), heat=heat, ready_likely_at=at(5.5), ready_at=at(7.9))

    assert jar_card(a_jar(), outlook, at(8), MANNER).ready == "ready since Sat 9 May"


def test_a_jar_past_ready_wants_straining_today() -> None:
    card = jar_card(a_jar(), past(), at(8), MANNER)

    assert (card.stage, card.evening, card.pressing) == (Stage.PAST_READY, "Strain it today", "act")


def test_a_jar_that_the_station_has_not_seen_yet_says_so() -> None:
    card = jar_card(a_jar(), None, at(0.01), MANNER)

    assert (card.day, card.warmth, card.evening) == (
        "day 1, working",
        "its warmth is not counted yet",
        "No evening yet",
    )


def test_a_draining_jar_is_collected_in_the_morning() -> None:
    strained = a_jar(strained_at=EVENING)

    at_night = jar_card(strained, an_outlook(), EVENING + timedelta(hours=2), MANNER)
    in_the_morning = jar_card(strained, an_outlook(), EVENING + timedelta(hours=12), MANNER)

    assert (at_night.day, at_night.evening) == ("draining since 19:00", "Collect Sun 10 May 07:00")
    assert (in_the_morning.evening, in_the_morning.pressing) == ("Collect the juice now", "act")


def test_a_jar_strained_in_the_small_hours_drips_until_the_same_morning() -> None:
    assert MANNER.collect_at(at(5, hours=21)) == at(6)  # 04:00 local, until 07:00


def test_the_dripping_lasts_an_hour_longer_in_the_night_the_clocks_go_back() -> None:
    # Europe/Berlin goes from UTC+2 to UTC+1 on Sunday 25 October 2026 (IANA time zone database).
    strained_at = datetime(2026, 10, 24, 17, 0, tzinfo=UTC)
    assert Manner(ZoneInfo("Europe/Berlin")).collect_at(strained_at) == datetime(2026, 10, 25, 6, 0, tzinfo=UTC)


def test_mould_comes_before_everything_else() -> None:
    card = jar_card(mouldy(a_jar()), ready(), EVENING, MANNER)

    assert (card.evening, card.pressing) == ("Discard it", "act")


def test_a_vinegar_goes_by_days() -> None:
    shells = a_jar(packing=Packing(Preparation.VINEGAR))

    card = jar_card(shells, None, at(4), MANNER)

    assert (card.warmth, card.evening) == ("4.0 of 10 days", "Strain Thu 14 May 07:00")
    assert stage_of(shells, None, at(10)) is Stage.READY
    assert card.picture.level == pytest.approx(0.4)


def test_the_picture_is_rounded_so_that_it_serves_again() -> None:
    one = jar_card(a_jar(), an_outlook(2.7501), at(2.75), MANNER).picture
    other = jar_card(a_jar(), an_outlook(2.7509), at(2.751), MANNER).picture

    assert one == other
    assert one.level == pytest.approx(0.5)


def test_what_needs_doing_comes_in_order() -> None:
    jars = (
        (a_jar(id="young-1", plant="young", packed_at=at(4.9)), an_outlook(0.2, evening_at=None)),
        (a_jar(id="due-1", plant="due"), ready()),
        (a_jar(id="drip-1", plant="drip", strained_at=at(4, hours=12)), None),
        (a_jar(id="eve-1", plant="eve"), replace(an_outlook(4.0), evening_at=EVENING + timedelta(days=1))),
        (mouldy(a_jar(id="bad-1", plant="bad")), an_outlook()),
        (bubbling(a_jar(id="calm-1", plant="calm", packed_at=at(2))), an_outlook(2.0, evening_at=at(9))),
    )

    found = todos(jars, EVENING - timedelta(hours=6), MANNER)

    assert [(one.href, one.urgency) for one in found] == [
        ("/jars/drip-1/bottle", Urgency.NOW),
        ("/jars/bad-1/discard", Urgency.NOW),
        ("/jars/due-1/strain", Urgency.TODAY),
        ("/jars/eve-1", Urgency.TOMORROW),
        ("/jars/young-1/note", Urgency.LATER),
    ]
    assert found[1].text.startswith("Discard the whole jar of bad.")
    assert found[2].text == "Strain due this evening at 19:00; let it drip overnight."


def test_nobody_is_sent_to_look_at_a_jar_that_has_been_looked_at() -> None:
    looked = a_jar(notes=(Noted("comfrey-1", at(0.2), "juice is coming"),))

    assert todos(((looked, an_outlook(0.3, evening_at=None)),), at(0.4), MANNER) == ()
    assert len(todos(((a_jar(), an_outlook(0.3, evening_at=None)),), at(0.4), MANNER)) == 1


def test_a_dripping_jar_is_left_alone() -> None:
    found = todos(((a_jar(strained_at=EVENING), None),), EVENING + timedelta(hours=1), MANNER)

    assert [one.text for one in found] == ["Let comfrey drip until Sun 10 May 07:00. No squeezing."]


def test_once_a_first_sign_is_due_it_is_asked_for() -> None:
    (found,) = todos(((a_jar(), an_outlook(0.6, evening_at=None)),), at(0.6), MANNER)

    assert (found.text, found.href) == ("Comfrey: By now juice should be showing: is it?", "/jars/comfrey-1")


def a_round(first_on: date) -> Round:
    return Round("leaf-spray-1", RoundSet("leaf-spray-1", at(0), Method.LEAF_SPRAY, "beans", first_on=first_on))


@pytest.mark.parametrize(
    ("days", "urgency", "said"),
    [
        (0.0, None, ""),
        (2.0, Urgency.LATER, "due now"),
        (4.0, Urgency.LATER, "due now"),
        (5.0, Urgency.TODAY, "due now"),  # the last of its days: 7 to 10 days, common practice
        (20.0, Urgency.TODAY, "late"),
    ],
)
def test_a_round_is_named_once_it_is_due(days: float, urgency: Urgency | None, said: str) -> None:
    found = todos((), at(days), MANNER, [a_round(at(2).date())])

    assert [(one.urgency, one.href) for one in found] == (
        [] if urgency is None else [(urgency, "/feeding/give?round=leaf-spray-1")]
    )
    assert all(said in one.text for one in found)


@pytest.mark.parametrize(
    ("minutes", "said"),
    [
        (19, []),
        (20, [(Urgency.TODAY, "Take the peas out of the juice by 19:00.")]),
        (721, [(Urgency.NOW, "Take the peas out of the juice: they have been in for too long.")]),
        (1441, []),
    ],
)
def test_seeds_that_soak_are_to_be_taken_out(minutes: int, said: list[tuple[Urgency, str]]) -> None:
    """From 20 minutes, not longer than overnight (common practice); asked for until it is surely forgotten."""
    peas = Fed("feed-1", at(0), Method.SEED_SOAK, juice_ml=0.4, water_ml=200.0, place="peas")
    found = todos((), at(0, minutes=minutes), MANNER, feedings=[peas])

    assert [(one.urgency, one.text) for one in found] == said
    assert todos((), at(0, minutes=minutes), MANNER, feedings=[replace(peas, until_at=at(0, minutes=15))]) == ()


def a_trial(*counted: float, **changes: Any) -> Trial:
    arms = (Arm("soaked", (20,)), Arm("plain", (20,)))
    counts = tuple(Counted("beans-1", at(days), "soaked", 1) for days in counted)
    return replace(Trial("beans-1", at(0), "beans", arms, "plain", counts=counts), **changes)


@pytest.mark.parametrize(
    ("trial", "asked"),
    [
        (a_trial(), True),
        (a_trial(2.9), True),
        (a_trial(4.0), False),
        (a_trial(3.0, ended_at=at(3)), False),
        (a_trial(sown_at=at(-20)), False),
    ],
)
def test_seeds_are_to_be_counted_once_a_day_while_a_trial_runs(trial: Trial, asked: bool) -> None:
    found = todos((), at(4.1), MANNER, (), [trial])

    assert [one.href for one in found] == (["/trials/beans-1/count"] if asked else [])


def test_what_goes_by_days_is_strained_on_its_day_and_does_not_drip() -> None:
    shells = a_jar(packing=Packing(Preparation.VINEGAR))
    (due_today,) = todos(((shells, None),), at(10, hours=1), MANNER)
    (collect,) = todos(((replace(shells, strained_at=at(10.1)), None),), at(10.11), MANNER)

    assert due_today.text == "Strain comfrey today: it has stood 10 days."
    assert jar_card(shells, None, at(9.95), MANNER).evening == "Strain today, 07:00"
    assert (collect.urgency, collect.href) == (Urgency.NOW, "/jars/comfrey-1/bottle")


def unmeasured(**changes: object) -> Outlook:
    """A jar's outlook on a shelf whose only sensor is dead."""
    nothing: dict[str, object] = {"ready_early_at": None, "ready_likely_at": None, "ready_late_at": None}
    return replace(an_outlook(0.0, evening_at=None, chance_ready=0.0), **nothing, **changes)  # type: ignore[arg-type]


def hardly(measured_h: float) -> Outlook:
    """A jar of which only so many hours were measured, and that has no evening."""
    return replace(unmeasured(), heat=an_outlook(measured_h / 24.0).heat)


def test_a_jar_that_nobody_measured_has_no_warmth_no_date_and_no_level() -> None:
    card = jar_card(a_jar(), unmeasured(), at(2.5), MANNER)

    assert (card.warmth, card.evening, card.ready) == ("warmth not measured", "No evening can be told", "")
    assert card.picture.level is None


def test_from_the_fifth_day_on_it_is_to_be_looked_at_by_the_calendar() -> None:
    jar = a_jar()
    asked = [todos([(jar, unmeasured())], at(days), MANNER) for days in (4.9, 5.0, 9.5)]

    assert [[one.text for one in of_day if "yourself" in one.text] for of_day in asked] == [
        [],
        ["Look at comfrey-1 yourself: nothing was measured; by the calendar it is about ready (packed 5 days ago)."],
        ["Look at comfrey-1 yourself: nothing was measured; by the calendar it is about ready (packed 9 days ago)."],
    ]
    assert (asked[1][0].urgency, asked[1][0].href) == (Urgency.TODAY, "/jars/comfrey-1")
    assert jar_card(jar, unmeasured(), at(9.5), MANNER).evening == "Look at it yourself"


def test_a_jar_that_the_station_never_counted_is_not_forgotten_either() -> None:
    [asked] = todos([(a_jar(), None)], at(6), MANNER)

    assert asked.text == (
        "Look at comfrey-1 yourself: its warmth was not counted; by the calendar it is about ready (packed 6 days ago)."
    )


@pytest.mark.parametrize(("measured_h", "asks"), [(71.0, True), (73.0, False)])
def test_so_it_is_where_more_than_half_of_its_time_is_missing(measured_h: float, asks: bool) -> None:
    """Half of six days is 72 h; the gap still goes on, so the station itself has not counted it as missing yet."""
    card, asked = (
        jar_card(a_jar(), hardly(measured_h), at(6), MANNER),
        todos([(a_jar(), hardly(measured_h))], at(6), MANNER),
    )

    assert any("73 of its 144 h were not measured" in one.text for one in asked) is asks
    assert (card.warmth == "3.0 warm-days in the 71 of 144 h measured") is asks


def test_a_jar_that_goes_by_days_or_was_strained_needs_no_warmth() -> None:
    by_days = a_jar(packing=Packing(preparation=Preparation.VINEGAR))
    strained = a_jar(strained_at=at(5.5))

    for jar in (by_days, strained):
        assert not any("yourself" in one.text for one in todos([(jar, unmeasured())], at(6), MANNER))
