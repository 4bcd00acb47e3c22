"""Days and times as people type them."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from station.domain.dates import day_from, moment_from
from station.errors import JarsideError

LISBON = ZoneInfo("Europe/Lisbon")


@pytest.mark.parametrize("text", ["", "yesterday", "2026-13-01", "0001-01-01", "9999-12-31", "2026-05-01T10:00", "<b>"])
def test_what_is_no_day_is_refused(text: str) -> None:
    with pytest.raises(JarsideError, match="is not a day"):
        day_from(text)


def test_a_day_is_read() -> None:
    assert day_from(" 2026-05-01 ") == date(2026, 5, 1)


@pytest.mark.parametrize(
    "text", ["", "soon", "2026-05-01T25:00", "0001-01-01T00:00+14:00", "9999-12-31T23:59-12:00", "0001-01-01T00:00"]
)
def test_what_is_no_time_or_lies_at_an_end_of_the_calendar_is_refused(text: str) -> None:
    with pytest.raises(JarsideError, match="is not a time"):
        moment_from(text, LISBON)


@pytest.mark.parametrize("text", ["2026-05-14T19:00", "2026-05-14 18:00Z", "2026-05-14T20:00+02:00"])
def test_a_time_without_an_offset_is_local(text: str) -> None:
    """Lisbon is an hour ahead of UTC from the last Sunday in March to that in October (EU directive 2000/84/EC)."""
    assert moment_from(text, LISBON) == datetime(2026, 5, 14, 18, tzinfo=UTC)
