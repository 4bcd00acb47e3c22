"""Parts of the day, as people speak of them: a night is that of the day before (common practice)."""

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest

from station.domain.day_parts import part_seen_from

LISBON = ZoneInfo("Europe/Lisbon")
NOON = datetime(2026, 5, 14, 12, 30, tzinfo=LISBON)


@pytest.mark.parametrize(
    ("day", "hour", "said"),
    [
        (14, 6, "this morning"),
        (14, 12, "this afternoon"),
        (14, 18, "this evening"),
        (14, 22, "tonight"),
        (15, 0, "tonight"),
        (15, 5, "tomorrow morning"),
        (16, 4, "tomorrow night"),
        (14, 4, "last night"),
        (13, 23, "last night"),
        (13, 21, "yesterday evening"),
        (16, 9, "Sat 16 May"),
        (12, 9, "Tue 12 May"),
    ],
)
def test_a_time_is_said_as_a_part_of_its_day(day: int, hour: int, said: str) -> None:
    assert part_seen_from(datetime(2026, 5, day, hour, 58, tzinfo=LISBON), NOON, LISBON) == said


def test_after_midnight_it_is_still_the_same_night() -> None:
    late = datetime(2026, 5, 15, 0, 10, tzinfo=LISBON)
    assert part_seen_from(datetime(2026, 5, 15, 0, 58, tzinfo=LISBON), late, LISBON) == "tonight"


def test_the_local_day_counts() -> None:
    tokyo = ZoneInfo("Asia/Tokyo")
    assert part_seen_from(NOON, NOON, tokyo) == "this evening"
