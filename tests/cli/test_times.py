"""Times as people type them."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from station.cli.times import moment, now
from station.errors import JarsideError

ZONE = ZoneInfo("America/Denver")


@pytest.mark.parametrize("text", ["2026-05-14T07:00", "2026-05-14 07:00", "2026-05-14T13:00Z", " 2026-05-14T07:00 "])
def test_a_time_without_an_offset_is_local(text):
    assert moment(text, ZONE) == datetime(2026, 5, 14, 13, 0, tzinfo=UTC)


@pytest.mark.parametrize(("text", "days_ago"), [("07:05", 0), ("7:05", 0), ("today 07:05", 0), ("yesterday 07:05", 1)])
def test_a_time_of_day_alone_is_of_today(text, days_ago):
    local = moment(text, ZONE).astimezone(ZONE)
    today = now().astimezone(ZONE).date()
    assert (local.hour, local.minute) == (7, 5)
    assert today - local.date() in {timedelta(days_ago), timedelta(days_ago + 1)}  # midnight may pass meanwhile


@pytest.mark.parametrize("text", ["", "25:00", "yesterday", "tomorrow 07:00", "7", "07:00 pm"])
def test_what_is_no_time_is_refused_with_the_ways_to_write_one(text):
    with pytest.raises(JarsideError, match=r"is not a time.*yesterday 19:00"):
        moment(text, ZONE)
