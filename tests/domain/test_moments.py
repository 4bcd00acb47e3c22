"""Days and times as people read them."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from station.domain.moments import age_text, date_text, day_text, moment_text, range_text, read_by, seen_from
from tests.builders import START

LISBON = ZoneInfo("Europe/Lisbon")  # an hour ahead of UTC in May


def since(hours: float) -> datetime:
    return START + timedelta(hours=hours)


@pytest.mark.parametrize(
    ("age", "text"),
    [
        (timedelta(seconds=-30), "just now"),  # a clock that stepped back is no reason to speak of the future
        (timedelta(seconds=80), "just now"),
        (timedelta(minutes=2), "2 minutes ago"),
        (timedelta(minutes=89), "89 minutes ago"),
        (timedelta(minutes=90), "2 hours ago"),
        (timedelta(hours=35), "35 hours ago"),
        (timedelta(hours=37), "2 days ago"),
        (timedelta(days=1500), "1,500 days ago"),
    ],
)
def test_an_age_reads_as_people_say_it(age: timedelta, text: str) -> None:
    assert age_text(age) == text


def test_moments_are_local_and_brief() -> None:
    at = datetime(2026, 5, 14, 18, 0, tzinfo=UTC)

    assert moment_text(at, LISBON) == "Thu 14 May 19:00"
    assert seen_from(at, at + timedelta(hours=3), LISBON) == "19:00"
    assert seen_from(at, at + timedelta(hours=6), LISBON) == "Thu 14 May 19:00"  # past the local midnight


def test_a_range_names_its_days() -> None:
    early, likely, late = since(24), since(48), since(72)

    assert range_text(early, likely, late, LISBON) == "Tue 5 May to Thu 7 May, most likely Wed 6 May"
    assert range_text(early, early, since(30), LISBON) == "Tue 5 May, 07:00 to 13:00"
    assert range_text(early, early, early, LISBON) == "Tue 5 May, 07:00"  # as of a jar that goes by days
    assert range_text(early, likely, None, LISBON) == "not before Tue 5 May, most likely Wed 6 May"
    assert range_text(early, None, None, LISBON) == "not before Tue 5 May"
    assert range_text(None, None, None, LISBON) == "later than can be foreseen"


def test_a_day_of_another_year_than_the_present_one_tells_its_year() -> None:
    old, new = datetime(2020, 12, 18, 21, 55, tzinfo=UTC), datetime(2026, 5, 14, 18, 0, tzinfo=UTC)
    with read_by(lambda: datetime(2026, 12, 1, tzinfo=UTC)):
        assert moment_text(old, LISBON) == "Fri 18 Dec 2020 21:55"
        assert moment_text(new, LISBON) == "Thu 14 May 19:00"
        assert range_text(old, None, new, LISBON) == "Fri 18 Dec 2020 to Thu 14 May"
        assert date_text(old, LISBON) == "Fri 18 Dec 2020"
    assert day_text(old, LISBON) == "Fri 18 Dec"  # nobody said when it is read


def test_the_year_is_that_of_the_readers_zone() -> None:
    """At 23:30 UTC on the last of December it is the new year in Helsinki."""
    eve = datetime(2025, 12, 31, 23, 30, tzinfo=UTC)
    with read_by(lambda: eve + timedelta(hours=2)):
        assert day_text(eve, ZoneInfo("Europe/Helsinki")) == "Thu 1 Jan"
        assert day_text(eve, UTC) == "Wed 31 Dec 2025"
