"""Stretches of the climate page: whole local days, also where a day has 23 or 25 hours, and the way back to now."""

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from dashboard.views.spans import Span, Window, window

BERLIN = ZoneInfo("Europe/Berlin")
NOW = datetime(2026, 5, 14, 9, 30, tzinfo=UTC)


def a_window(span: Span = Span.WEEK, until: date | None = None, now_at: datetime = NOW) -> Window:
    return window(span, until, now_at, BERLIN)


def test_a_span_ends_now_unless_a_day_is_named() -> None:
    shown = a_window()

    assert (shown.since_at, shown.until_at) == (NOW - timedelta(days=7), NOW)
    assert shown.live
    assert shown.name(BERLIN) == "The last week"
    assert a_window(until=date(2026, 5, 14)) == a_window(until=date(2030, 1, 1)) == shown


def test_within_a_minute_the_stretch_stays_the_same() -> None:
    later = [a_window(now_at=NOW + timedelta(seconds=second)) for second in (1, 30, 59.999)]

    assert len(set(later)) == 1
    assert later[0].until_at == NOW + timedelta(minutes=1)


def test_a_named_day_is_the_last_of_whole_local_days() -> None:
    shown = a_window(until=date(2026, 5, 3))

    assert shown.since_at == datetime(2026, 4, 26, 22, 0, tzinfo=UTC)  # midnight in Berlin, two hours ahead
    assert shown.until_at == datetime(2026, 5, 3, 22, 0, tzinfo=UTC)
    assert shown.name(BERLIN) == "Mon 27 Apr to Sun 3 May 2026"
    assert (shown.earlier, shown.later) == (date(2026, 4, 26), date(2026, 5, 10))
    assert a_window(Span.DAY, date(2026, 5, 3)).name(BERLIN) == "Sun 3 May 2026"


def test_days_of_23_and_25_hours_are_whole_days() -> None:
    spring, autumn = a_window(Span.DAY, date(2026, 3, 29)), a_window(Span.DAY, date(2025, 10, 26))

    assert [shown.until_at - shown.since_at for shown in (spring, autumn)] == [timedelta(hours=23), timedelta(hours=25)]


@given(st.sampled_from(Span), st.integers(0, 40 * 365 * 24 * 60))
def test_stepping_back_and_forward_leaves_nothing_out(span: Span, minutes: int) -> None:
    now_at = datetime(2000, 1, 1, tzinfo=UTC) + timedelta(minutes=minutes)
    shown = window(span, None, now_at, BERLIN)
    earlier = window(span, shown.earlier, now_at, BERLIN)

    assert earlier.until_at >= shown.since_at  # the day that was shown in part is shown whole
    assert earlier.until_at - shown.since_at <= timedelta(days=1, hours=1)
    # Only over the night on which clocks go forward are the last 24 h more than the day before.
    assert earlier.later is None or window(span, earlier.later, now_at, BERLIN).until_at < now_at
    before = window(span, earlier.earlier, now_at, BERLIN)
    assert before.until_at == earlier.since_at
    assert before.later == earlier.until


@given(st.sampled_from(Span), st.dates(date(2000, 1, 1), date(2026, 5, 20)))
def test_the_table_covers_the_stretch_without_a_break(span: Span, until: date) -> None:
    shown = a_window(span, until)
    edges = shown.edges(BERLIN)

    assert (edges[0], edges[-1]) == (shown.since_at, shown.until_at)
    assert all(one < other for one, other in pairwise(edges))
    most = {"hour": timedelta(hours=1), "day": timedelta(hours=25), "week": timedelta(days=7, hours=1)}[span.row]
    assert all(other - one <= most for one, other in pairwise(edges))


@given(st.sampled_from(Span), st.integers(0, 40 * 365 * 24 * 60))
def test_as_time_goes_on_the_steps_of_curves_stay_where_they_are(span: Span, minutes: int) -> None:
    shown = a_window(span, now_at=datetime(2000, 1, 1, tzinfo=UTC) + timedelta(minutes=minutes))

    assert shown.steps_since_at.timestamp() % span.step_s == 0.0
    assert timedelta(0) <= shown.since_at - shown.steps_since_at < timedelta(seconds=span.step_s)


def test_curves_of_whole_days_begin_with_the_day() -> None:
    shown = a_window(Span.DAY, date(2026, 5, 3))

    assert shown.steps_since_at == shown.since_at
