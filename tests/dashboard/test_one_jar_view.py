"""A jar's own page: facts, first signs, what may be done at each stage, and its warmth against its need."""

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from dashboard.charts import chart_steps, chart_svg
from dashboard.views.jar import JarView, Told, jar_view
from dashboard.views.todo import todos
from dashboard.views.warmth import course_of, day_rows, warmth_chart
from station.domain.bottling import Bottle
from station.domain.jars import Jar, Judgement, Noted
from station.domain.need_words import OUT_OF_REACH
from station.domain.observations import Bubbles, Juice, Seen, Smell, Surface
from station.domain.outlook import Outlook
from station.domain.packing import Cover, Packing
from station.domain.preparations import Preparation
from station.domain.signs import Sign
from station.domain.storage import Storage
from station.domain.warmth import JarHeat
from station.store.summaries import Bucket, Spread
from tests.dashboard.world import MANNER, a_jar, an_outlook, at, warmth_of


def seen_as(jar: Jar, outlook: Outlook | None, days: float, **more: Any) -> JarView:
    return jar_view(Told(jar, outlook, **more), at(days), MANNER)


def hourly(temp_c: float, days: float) -> tuple[Bucket, ...]:
    spread = Spread(temp_c - 1.0, temp_c, temp_c + 1.0)
    return tuple(Bucket(at(hours=hour), 3600.0, spread, None, None, 60) for hour in range(round(days * 24)))


def looked(days: float = 1.0, **seen: Any) -> Noted:
    return Noted("comfrey-1", at(days), "", Seen(**seen))


def labels(view: JarView) -> list[str]:
    return [act.label for act in view.acts]


def test_a_jars_page_tells_what_was_written_and_measured() -> None:
    jar = a_jar(notes=(looked(1, smell=Smell.SWEET), Noted("comfrey-1", at(2), "more", photos=("/photos/1.jpg",))))

    view = seen_as(jar, an_outlook(caveats=("Less than a day of log.",)), 2.75)

    facts = dict(view.facts)
    assert facts["Packed"] == "Mon 4 May 07:00"
    assert facts["Plant"] == "130 g (4.6 oz)"
    assert facts["Plant to sugar"] == "1 : 1"
    assert facts["Likely to need"] == "4.5 to 6.7 warm-days, about 5.5"
    assert facts["Jar's own temperature"] == "20.0 °C"
    assert [note.text for note in view.notes] == ["more", ""]
    assert view.notes[1].seen == "smell sweet"
    assert view.notes[0].photos == ("/photos/1.jpg",)
    assert view.caveats == ("Less than a day of log.",)
    assert view.chart is None
    assert view.warmth is None


def test_a_jar_that_nobody_measured_says_why_it_is_to_be_looked_at_by_the_calendar() -> None:
    """The same sentence as in what is to be done next."""
    jar = a_jar()
    (due,) = todos([(jar, None)], at(6), MANNER)

    assert seen_as(jar, None, 6).expecting == due.text
    assert due.text.startswith("Look at comfrey-1 yourself: its warmth was not counted; by the calendar it is about")
    assert [seen_as(jar, outlook, days).expecting for outlook, days in ((None, 4.5), (an_outlook(6.0), 6))] == ["", ""]
    assert seen_as(replace(jar, notes=(looked(3, surface=Surface.FUZZY),)), None, 6).expecting == ""


def test_a_jar_with_mould_warns_and_offers_discarding_first() -> None:
    view = seen_as(a_jar(notes=(looked(3, surface=Surface.FUZZY),)), an_outlook(), 3.5)

    assert len(view.warnings) == 1
    assert "do not taste" in view.warnings[0]
    assert (view.acts[0].label, view.acts[0].look) == ("Discard it", "grave")
    assert view.sign is None


def test_what_is_wrong_with_the_packing_is_said_as_long_as_it_stands() -> None:
    tight = a_jar(packing=Packing(cover=Cover.TIGHT_LID))

    assert "Tight lid" in seen_as(tight, None, 1).warnings[0]
    assert seen_as(replace(tight, strained_at=at(5)), None, 5.1).warnings == ()


def test_a_finished_jar_tells_how_it_ended_and_where_its_juice_is() -> None:
    done = a_jar(strained_at=at(5.5), bottled_at=at(6), juice_ml=210.0)
    bottle = Bottle("comfrey-1-a", "comfrey-1", "comfrey", at(6), 210.0, stays=((at(6), Storage.COOL),))

    view = seen_as(done, an_outlook(), 20, bottles=(bottle,))

    assert dict(view.facts)["Juice"].startswith("210 mL")
    assert view.bottles == (("comfrey-1-a", "210 mL (7.1 fl oz) left"),)
    assert view.card.day == "bottled"
    assert (view.acts[-1].label, view.acts[-1].href) == ("Its bottle", "/bottles/comfrey-1-a")
    assert view.caveats == ()


@pytest.mark.parametrize(
    ("changes", "days", "first", "never"),
    [
        ({}, 2.0, "Note what you see", "Collect the juice"),
        ({"strained_at": at(5.5)}, 5.6, "Collect the juice", "Strain it"),
        ({"strained_at": at(5.5), "bottled_at": at(6)}, 7.0, "Was it the right time?", "Discard it"),
        (
            {"strained_at": at(5.5), "bottled_at": at(6), "judgement": Judgement.RIGHT},
            7.0,
            "Note what you see",
            "Bottle",
        ),
        ({"discarded_at": at(3)}, 4.0, "Note what you see", "Label"),
    ],
)
def test_what_may_be_done_follows_the_stage(changes: dict[str, Any], days: float, first: str, never: str) -> None:
    view = seen_as(a_jar(**changes), an_outlook(2.0), days)

    assert view.acts[0].label == first
    assert never not in labels(view)


def test_a_ready_jar_is_to_be_strained_first() -> None:
    view = seen_as(a_jar(), replace(an_outlook(5.7), chance_ready=0.7), 5.6)

    assert (view.acts[0].label, view.acts[0].href) == ("Strain it", "/jars/comfrey-1/strain")


def test_first_juice_is_expected_then_asked_for_and_asked_no_more_once_seen() -> None:
    """At 20 °C within half a day: common practice."""
    fresh = seen_as(a_jar(), an_outlook(0.2), 0.2)
    later = seen_as(a_jar(), an_outlook(0.6), 0.6)
    seen = seen_as(a_jar(notes=(looked(0.55, juice=Juice.SOME),)), an_outlook(0.6), 0.6)

    assert (fresh.expecting, fresh.sign) == ("First juice expected by this evening.", None)
    assert later.expecting == ""
    assert later.sign is not None
    assert later.sign.sign is Sign.JUICE
    assert (seen.expecting, seen.sign) == ("", None)


def test_what_goes_by_days_is_asked_for_no_signs_and_draws_no_warmth() -> None:
    shells = a_jar(packing=Packing(Preparation.VINEGAR))

    view = seen_as(shells, an_outlook(0.6), 0.6, buckets=hourly(20.0, 0.6))

    assert (view.sign, view.expecting, view.warmth) == (None, "", None)
    assert view.chart is not None
    assert dict(view.facts)["Stands"] == "10 days, until Thu 14 May 07:00"


def test_a_note_comes_with_what_follows_from_it() -> None:
    view = seen_as(a_jar(notes=(looked(2, surface=Surface.FILM),)), an_outlook(), 2.5)

    assert view.notes[0].advice[0].startswith("Smooth film")


def test_advice_ends_with_the_jar_and_all_is_well_ends_with_its_working() -> None:
    fine = a_jar(notes=(looked(2, bubbles=Bubbles.FEW),))
    ready = replace(an_outlook(5.7), chance_ready=0.7)

    assert seen_as(fine, an_outlook(), 2.5).notes[0].advice == ("Nothing to do: looks as it should.",)
    assert seen_as(fine, ready, 5.6).notes[0].advice == ()
    assert seen_as(replace(fine, strained_at=at(5)), None, 5.6).notes[0].advice == ()


def test_the_checklist_stands_open_for_a_day() -> None:
    assert seen_as(a_jar(), None, 0.9).fresh
    assert not seen_as(a_jar(), None, 1.1).fresh


def test_the_warmth_curve_ends_at_what_the_station_counted_and_goes_on_to_the_likely_need() -> None:
    jar, outlook = a_jar(), an_outlook(2.75)
    points = course_of(jar, outlook, hourly(20.0, 2.75), at(2.75))

    chart = warmth_chart(jar, outlook, points, 3600.0, at(2.75), MANNER)

    assert chart.course.mean[-1] == pytest.approx(2.75)
    assert chart.good == (4.5, 6.7)
    assert chart.expected is not None
    # ready likely at day 5.5 with 5.5 warm-days (builder): a warm-day a day, drawn to the late end, day 6.7
    assert chart.expected.at_s[-1] == pytest.approx(at(6.7).timestamp())
    assert chart.expected.mean[-1] == pytest.approx(6.7)
    assert [spell.name for spell in chart.spells] == ["likely ready"]
    assert "2.8 warm-days" in chart.description


def test_the_warmth_curve_of_a_strained_jar_ends_there() -> None:
    jar, outlook = a_jar(strained_at=at(2)), an_outlook(2.0)
    points = course_of(jar, outlook, hourly(20.0, 2.75), at(9))

    chart = warmth_chart(jar, outlook, points, 3600.0, at(9), MANNER)

    assert chart.expected is None
    assert chart.until_at == at(2)


@pytest.mark.parametrize("outlook", [an_outlook(2.75), an_outlook(2.75, ready_likely_at=None, ready_late_at=None)])
def test_the_warmth_curve_is_drawn_whatever_is_known_of_the_days_to_come(outlook: Outlook) -> None:
    points = course_of(a_jar(), outlook, hourly(12.0, 2.75), at(2.75))

    drawn = chart_svg(warmth_chart(a_jar(), outlook, points, 3600.0, at(2.75), MANNER))

    assert 'class="course expected"' in drawn
    assert "not known" not in drawn


def test_a_jar_without_a_temperature_yet_is_drawn_without_a_forecast() -> None:
    outlook = an_outlook(2.75, ready_likely_at=None)
    cold = replace(outlook, heat=replace(outlook.heat, temp_c=None))

    points = course_of(a_jar(), cold, hourly(20.0, 2), at(2))

    assert warmth_chart(a_jar(), cold, points, 3600.0, at(2), MANNER).expected is None


def test_the_warmth_curve_has_a_gap_where_nothing_was_measured() -> None:
    buckets = hourly(20.0, 2.75)
    torn = (*buckets[:20], *buckets[30:])
    points = course_of(a_jar(), an_outlook(2.75), torn, at(2.75))

    drawn = chart_svg(warmth_chart(a_jar(), an_outlook(2.75), points, 3600.0, at(2.75), MANNER))

    assert 'fill="url(#warmth-gap)"' in drawn


def test_the_warmth_curve_can_be_read_step_by_step() -> None:
    points = course_of(a_jar(), an_outlook(2.75), hourly(20.0, 2.75), at(2.75))

    steps = chart_steps(warmth_chart(a_jar(), an_outlook(2.75), points, 3600.0, at(2.75), MANNER))

    assert steps[-1].text.endswith(": 2.75 warm-days")
    assert steps[0].text.startswith("Mon 4 May 07:00")


def test_the_days_of_a_jar_stand_in_a_table() -> None:
    buckets = hourly(20.0, 2.75)
    rows = day_rows(buckets, course_of(a_jar(), an_outlook(2.75), buckets, at(2.75)), MANNER)

    assert [row.day for row in rows] == ["Mon 4 May", "Tue 5 May", "Wed 6 May", "Thu 7 May"]
    assert rows[0].temp == "20.0 °C (19.0 °C to 21.0 °C)"
    assert rows[-1].warm_days == "2.8"


def test_the_chart_begins_with_the_packing() -> None:
    points = course_of(a_jar(packed_at=at(1)), None, hourly(20.0, 2), at(2))

    assert points[0].at == at(1)
    assert points[-1].warm_days == pytest.approx(1.0)
    assert points[-1].at - points[0].at == timedelta(days=1)


def test_a_judgement_at_a_warmth_of_no_plant_is_said_not_to_count() -> None:
    judged = a_jar(strained_at=at(0.04), judgement=Judgement.RIGHT, judged_at=at(0.05))
    heat = JarHeat(warmth_of(0.04), through_at=at(0.04), temp_c=20.0)
    facts = dict(seen_as(judged, an_outlook(heat=heat), 1).facts)
    assert facts["Judged"] == f"right; not counted: {OUT_OF_REACH}"
    usual = replace(judged, strained_at=at(5.5))
    heat = JarHeat(warmth_of(5.5), through_at=at(5.5), temp_c=20.0)
    assert dict(seen_as(usual, an_outlook(heat=heat), 6).facts)["Judged"] == "right"
