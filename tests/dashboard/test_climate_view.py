from dataclasses import replace

import pytest

from dashboard.views.climate import climate_view, conditions_text
from dashboard.views.manner import Manner
from dashboard.views.spans import Span, window
from station.domain.alert import Alert, AlertKind
from station.domain.conditions import Kind
from station.store.summaries import Bucket, HourSummary, Spread
from tests.dashboard.world import MANNER, a_jar, at

NOW = at(7)
FAHRENHEIT = Manner(MANNER.zone, "F")
DAY, WEEK = (window(span, None, NOW, MANNER.zone) for span in (Span.DAY, Span.WEEK))


def a_bucket(hour: float, temp_c: float = 20.0, **changes: object) -> Bucket:
    bucket = Bucket(at(hours=hour), 3600.0, Spread(temp_c - 1, temp_c, temp_c + 1), None, Spread(0.0, 40.0, 90.0), 60)
    return replace(bucket, **changes)  # type: ignore[arg-type]


def an_hour(hour: int, temp_c: float = 20.0, **changes: object) -> HourSummary:
    summary = HourSummary(
        at(hours=hour),
        Spread(temp_c - 1, temp_c, temp_c + 1),
        Spread(50.0, 55.0, 60.0),
        Spread(0.0, 40.0, 90.0),
        1.0,
        count=60,
        temp_h=1.0,
    )
    return replace(summary, **changes)  # type: ignore[arg-type]


def test_a_week_is_summed_up_in_a_sentence() -> None:
    parts = (
        an_hour(0, 20.0, good_h=1.0),
        an_hour(1, 16.0),
        an_hour(2, 15.0),
        an_hour(3, 21.0, temp_h=0.5, good_h=0.5),
    )

    view = climate_view(WEEK, (a_bucket(0),), parts, (), (), MANNER)

    # By hand: (20 + 16 + 15 + 21 × 0.5) / 3.5 = 17.57; in the good range (1 + 0.5) / 3.5 = 43 %.
    assert view.summary == (
        "The last week: 14.0 °C to 22.0 °C, 17.6 °C on average; in the good range, 18.3 to 23.9 °C, for 43 % of "
        "the hours whose temperature is known (direct sun is left out)."
    )


def test_nothing_measured_is_said_and_not_drawn() -> None:
    view = climate_view(DAY, (), (), (), (), MANNER)

    assert view.summary == "The last day: nothing was measured."
    assert view.charts == ()


def test_the_lines_of_the_table_are_named_by_hour_day_or_week() -> None:
    parts = (an_hour(16), an_hour(17))  # Monday 23:00 and Tuesday 00:00 in Lisbon

    def names(span: Span) -> list[str]:
        shown = window(span, None, NOW, MANNER.zone)
        return [row.when for row in climate_view(shown, (a_bucket(0),), parts, (), (), MANNER).rows]

    assert names(Span.DAY) == ["23:00", "00:00"]
    assert names(Span.WEEK) == names(Span.MONTH) == ["Mon 4 May", "Tue 5 May"]
    assert names(Span.SEASON) == ["from Mon 4 May", "from Tue 5 May"]


def test_a_row_tells_its_conditions_and_what_was_not_measured() -> None:
    cold = an_hour(0, 14.0, raised_h=((Kind.COLD, 1.75), (Kind.DAMP, 0.25)), rh_pct=None)

    (row,) = climate_view(WEEK, (a_bucket(0),), (cold,), (), (), MANNER).rows

    assert row.conditions == "cold 1.8 h, damp 15 min"
    assert (row.temp, row.rh) == ("14.0 (13.0 to 15.0)", "–")


@pytest.mark.parametrize(
    ("held_h", "text"),
    [(0.25, "15 min"), (59.4 / 60, "59 min"), (59.6 / 60, "1.0 h"), (1.0, "1.0 h"), (1234.0, "1,234.0 h")],
)
def test_an_hour_is_an_hour_and_not_60_minutes(held_h: float, text: str) -> None:
    assert conditions_text([(Kind.COLD, held_h)]) == f"cold {text}"


def test_temperatures_and_their_good_range_follow_the_unit() -> None:
    chart = climate_view(DAY, (a_bucket(150, 20.0),), (), (), (), FAHRENHEIT).charts[0]

    assert chart.course.mean == (68.0,)
    assert chart.good == pytest.approx((64.94, 75.02))  # 65 and 75 °F (NDSU Extension), kept in °C to one decimal
    assert chart.unit == "°F"


def test_a_step_without_a_value_is_left_out() -> None:
    buckets = (a_bucket(144), a_bucket(145, temp_c=20.0, light_lx=None), replace(a_bucket(146), temp_c=None))

    temperature, humidity, light = climate_view(DAY, buckets, (), (), (), MANNER).charts

    assert len(temperature.course.at_s) == 2
    assert humidity.description == "Nothing was measured."
    assert len(light.course.at_s) == 2
    assert temperature.course.at_s[0] == at(hours=144.5).timestamp()


def test_jars_are_drawn_if_they_stood_there_then() -> None:
    jars = (
        a_jar(plant="gone", strained_at=at(5)),
        a_jar(plant="there", packed_at=at(5), strained_at=at(6.5)),
        a_jar(plant="still", packed_at=at(6.8)),
    )

    chart = climate_view(DAY, (a_bucket(150),), (), (), jars, MANNER).charts[0]

    assert [span.name for span in chart.jars] == ["there", "still"]


def test_conditions_are_drawn_where_they_belong() -> None:
    alerts = (
        Alert("cold-1", AlertKind.COLD, at(6.5), at(6.4), cleared_at=at(6.6)),
        Alert("sun-1", AlertKind.SUN, at(6.8), at(6.7)),
        Alert("strain-1", AlertKind.STRAIN, at(6.8), at(6.7), jar_id="comfrey-1"),
    )

    temperature, humidity, light = climate_view(DAY, (a_bucket(150),), (), alerts, (), MANNER).charts

    assert [spell.name for spell in temperature.spells] == ["cold", "direct sun"]
    assert humidity.spells == ()
    assert [(spell.name, spell.until_at) for spell in light.spells] == [("direct sun", NOW)]
