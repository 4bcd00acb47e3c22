"""Charts are read back as XML: what is drawn, where, and what it says to those who do not see it."""

import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from xml.etree import ElementTree
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard.charts import Chart, chart_svg
from dashboard.course import Course
from dashboard.plot import LEFT, LETTER, PLOT_HEIGHT, RIGHT, TOP, WIDTH
from dashboard.scales import Scale, log_ticks, time_ticks, value_ticks
from dashboard.spells import Spell
from tests.dashboard.world import at

BERLIN = ZoneInfo("Europe/Berlin")


def a_course(*parts: range, mean: float = 20.0) -> Course:
    """Hourly steps around `mean`; several ranges of hours leave gaps between them."""
    hours = [hour for part in parts or (range(24),) for hour in part]
    at_s = tuple(at(hours=hour).timestamp() for hour in hours)
    return Course(at_s, (mean - 1.0,) * len(hours), (mean,) * len(hours), (mean + 1.0,) * len(hours), 3600.0)


def a_chart(course: Course | None = None, **changes: object) -> Chart:
    chart = Chart(
        key="temperature",
        title="Temperature",
        description="Between 19 °C and 21 °C.",
        unit="°C",
        since_at=at(0),
        until_at=at(hours=23),
        zone=BERLIN,
        course=course or a_course(),
        good=(18.3, 23.9),
        good_name="good range",
    )
    return replace(chart, **changes)  # type: ignore[arg-type]


def drawn(chart: Chart) -> ElementTree.Element:
    return ElementTree.fromstring(chart_svg(chart))  # noqa: S314 - our own drawing


def of_class(svg: ElementTree.Element, name: str) -> list[ElementTree.Element]:
    return [one for one in svg.iter() if name in one.get("class", "").split()]


def texts(svg: ElementTree.Element) -> list[str]:
    return [one.text or "" for one in svg.iter() if one.tag == "text"]


def test_a_chart_has_a_title_and_a_description() -> None:
    svg = drawn(a_chart())

    title, desc = svg.find("title"), svg.find("desc")
    assert title is not None
    assert desc is not None
    assert (title.text, desc.text) == ("Temperature", "Between 19 °C and 21 °C.")
    assert svg.get("aria-labelledby") == f"{title.get('id')} {desc.get('id')}"
    assert svg.get("role") == "img"


def test_the_good_range_is_drawn_and_named() -> None:
    svg = drawn(a_chart())

    assert len(of_class(svg, "good")) == 1
    assert "good range" in texts(svg)
    assert not of_class(drawn(a_chart(good=None)), "good")


def test_a_gap_is_hatched_and_never_bridged() -> None:
    svg = drawn(a_chart(a_course(range(8), range(16, 24))))

    assert len(of_class(svg, "course")) == 2
    hatched = [one for one in svg.iter("rect") if one.get("fill") == "url(#temperature-gap)"]
    assert len(hatched) == 1
    assert "not known" in texts(svg)


def test_a_whole_course_is_one_line_from_edge_to_edge() -> None:
    (line,) = of_class(drawn(a_chart()), "course")

    xs = [float(x) for x in re.findall(r"[ML]([\d.]+) ", line.get("d", ""))]
    assert len(xs) == 24
    assert xs[0] == pytest.approx(LEFT)
    assert xs[-1] == pytest.approx(WIDTH - RIGHT, abs=0.1)
    assert xs == sorted(xs)


def test_a_single_step_is_a_dot() -> None:
    svg = drawn(a_chart(a_course(range(1))))

    assert len(of_class(svg, "dot")) == 1


def test_no_step_at_all_is_one_gap() -> None:
    svg = drawn(a_chart(Course((), (), (), (), 3600.0)))

    assert not of_class(svg, "course")
    assert "not known" in texts(svg)


def boxes(shape: ElementTree.Element) -> list[tuple[float, float]]:
    """The left and right edges of the boxes that a shape has."""
    return [(float(left), float(right)) for left, right in re.findall(r"M(\S+) \S+?H([^V]+)V", shape.get("d", ""))]


def test_a_condition_lies_over_its_time_and_says_its_name() -> None:
    svg = drawn(a_chart(spells=(Spell(at(hours=6), at(hours=12), "cold", "cold"),)))

    (strip,), (veil,) = of_class(svg, "strip"), of_class(svg, "veil")
    ((left, right),) = boxes(strip)
    assert (right - left) / (WIDTH - LEFT - RIGHT) == pytest.approx(6 / 23, abs=0.01)
    assert "cold" in texts(svg)
    assert boxes(veil) == [(left, right)]


def test_every_time_of_a_condition_shows_and_says_what_it_is() -> None:
    cold, sunny = (Spell(at(hours=one), at(hours=one + 2), "cold", "cold") for one in (2, 12)), at(hours=8)
    svg = drawn(a_chart(spells=(*cold, Spell(sunny, at(hours=9), "direct sun", "sun"))))

    strips = of_class(svg, "strip")
    assert [len(boxes(strip)) for strip in strips] == [2, 1]
    assert [strip.findtext("title") for strip in strips] == ["cold", "direct sun"]
    assert [len(boxes(veil)) for veil in of_class(svg, "veil")] == [2, 1]


def test_a_condition_that_still_holds_reaches_the_edge() -> None:
    (strip,) = of_class(drawn(a_chart(spells=(Spell(at(hours=20), None, "cold", "cold"),))), "strip")

    ((_, right),) = boxes(strip)
    assert right == pytest.approx(WIDTH - RIGHT, abs=0.2)


def test_jars_share_a_lane_when_they_do_not_overlap() -> None:
    jars = (
        Spell(at(hours=-50), at(hours=8), "yarrow"),
        Spell(at(hours=6), None, "comfrey"),
        Spell(at(hours=10), at(hours=20), "borage"),
    )

    spans = of_class(drawn(a_chart(jars=jars)), "jar-span")

    assert len({span.get("y") for span in spans}) == 2


def test_a_name_that_neither_the_bar_nor_the_room_before_it_holds_is_cut() -> None:
    name = "a very long name for a plant that nobody has ever heard of"
    svg = drawn(a_chart(jars=(Spell(at(hours=18), None, name),)))

    assert any(text.endswith("…") for text in texts(svg))
    assert any(title.text == name for title in svg.iter("title"))


def test_a_name_too_long_for_its_bar_stands_before_it_where_there_is_room() -> None:
    early, late = Spell(at(0), at(hours=19), "yarrow"), Spell(at(hours=20), None, "a long name")

    alone, behind = drawn(a_chart(jars=(late,))), drawn(a_chart(jars=(early, late)))

    (name,) = of_class(alone, "beside")
    assert name.text == "a long name"
    assert float(name.get("x", "0")) < float(of_class(alone, "jar-span")[0].get("x", "0"))
    assert not of_class(behind, "beside")


def test_the_name_of_the_good_range_stands_clear_of_the_curve() -> None:
    late = tuple(at(hours=hour).timestamp() for hour in range(24))
    rising = tuple(18.0 + hour * 0.25 for hour in range(24))  # at the right it is as high as the range goes

    clear, crossed = drawn(a_chart()), drawn(a_chart(Course(late, rising, rising, rising, 3600.0)))

    assert of_class(clear, "good-name")[0].get("text-anchor") == "end"
    assert of_class(crossed, "good-name")[0].get("text-anchor") is None


def test_markup_in_a_name_stays_text() -> None:
    evil = '<script>alert(1)</script> & "more"'
    svg = drawn(a_chart(title=evil, description=evil, jars=(Spell(at(0), None, evil),)))

    assert svg.find("title").text == evil  # type: ignore[union-attr]
    assert not list(svg.iter("script"))


@given(
    st.lists(st.floats(-40, 60), min_size=1, max_size=50),
    st.booleans(),
)
def test_whatever_is_measured_stays_inside_the_plot(values: list[float], log: bool) -> None:
    shown = tuple(abs(value) * 1000.0 for value in values) if log else tuple(values)
    course = Course(tuple(at(hours=n).timestamp() for n in range(len(shown))), shown, shown, shown, 3600.0)
    svg = drawn(a_chart(course, until_at=at(hours=len(shown)), good=None, log=log))

    for line in of_class(svg, "course"):
        for x, y in re.findall(r"[ML](-?[\d.]+) (-?[\d.]+)", line.get("d", "")):
            assert LEFT - 0.1 <= float(x) <= WIDTH
            assert TOP - 0.1 <= float(y) <= TOP + PLOT_HEIGHT + 0.1


@given(st.floats(-50, 1000), st.floats(0.1, 1000))
def test_round_ticks_cover_the_values(low: float, width: float) -> None:
    ticks = value_ticks(low, low + width)

    assert ticks[0].value <= low + 1e-6
    assert ticks[-1].value >= low + width - 1e-6
    assert 2 <= len(ticks) <= 8


def test_ticks_read_as_people_write_numbers() -> None:
    assert [tick.label for tick in value_ticks(18.3, 23.9)] == ["18", "20", "22", "24"]
    assert value_ticks(20.1, 20.4)[0].label == "20.1"
    assert [tick.label for tick in log_ticks(1.0, 18_400.0)] == ["1", "10", "100", "1,000", "10,000", "100,000"]


def test_a_day_has_ticks_every_six_local_hours_and_a_week_at_midnight() -> None:
    day = time_ticks(at(0), at(1), BERLIN)
    week = time_ticks(at(0), at(7), BERLIN)

    assert [tick.label for tick in day] == ["12:00", "18:00", "00:00", "06:00"]
    assert [tick.label for tick in week] == ["Tue 5", "Wed 6", "Thu 7", "Fri 8", "Sat 9", "Sun 10", "Mon 11"]


def test_weeks_are_told_by_the_dates_of_mondays() -> None:
    month, season = (time_ticks(at(0), at(days), BERLIN) for days in (30, 91))

    assert [tick.label for tick in month] == ["11 May", "18 May", "25 May", "1 Jun"]
    assert [tick.label for tick in season] == ["11 May", "1 Jun", "22 Jun", "13 Jul", "3 Aug"]


def test_midnights_stay_midnights_when_the_clocks_change() -> None:
    # In 2026 summer time begins in the European Union on 29 March (Directive 2000/84/EC: the last Sunday of March).
    ticks = time_ticks(datetime(2026, 3, 27, 12, tzinfo=UTC), datetime(2026, 4, 1, tzinfo=UTC), BERLIN)

    steps = [other.value - one.value for one, other in pairwise(ticks)]
    assert steps == [24 * 3600.0, 23 * 3600.0, 24 * 3600.0, 24 * 3600.0]


def test_a_scale_puts_what_lies_beyond_on_its_end() -> None:
    scale = Scale(10.0, 20.0, 100.0, 200.0)

    assert (scale(5.0), scale(15.0), scale(25.0)) == (100.0, 150.0, 200.0)
    assert Scale(1.0, 100.0, 0.0, 2.0, log=True)(10.0) == pytest.approx(1.0)


def test_a_gap_is_longer_than_a_step_and_a_half() -> None:
    hours = (0.0, 1.0, 2.5, 4.2)
    course = replace(a_course(range(4)), at_s=tuple((at(0) + timedelta(hours=hour)).timestamp() for hour in hours))

    assert course.parts() == [slice(0, 3), slice(3, 4)]


def test_no_time_runs_into_the_next_and_a_long_unit_stays_in_the_picture() -> None:
    begin_at = datetime(2026, 5, 4, 6, 0, tzinfo=UTC)
    for hours in range(49, 24 * 21, 5):
        chart = replace(
            a_chart(), unit="warm-days", since_at=begin_at, until_at=begin_at + timedelta(hours=hours), spells=()
        )
        picture = chart_svg(chart)
        labels = re.findall(r'<text x="([\d.]+)"[^>]*class="time">([^<]+)<', picture)
        places = [(float(x) - LETTER * len(text) / 2, float(x) + LETTER * len(text) / 2) for x, text in labels]
        assert all(left[1] <= right[0] + 0.11 for left, right in pairwise(places))
        assert '<text x="0"' in picture
