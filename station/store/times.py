"""Times as whole numbers since 1970, and back; exact, without a detour over floats."""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from typing import overload

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
HOUR_MS = 3_600_000
DAY_MS = 24 * HOUR_MS
CLOCK_SLACK = timedelta(minutes=2)
"""How far ahead of the clock an entry of the notebook may be: people round up."""
_MS = timedelta(milliseconds=1)
_US = timedelta(microseconds=1)
_SECOND = timedelta(seconds=1)
_HALF_MS = timedelta(microseconds=500)


def ms_of(at: datetime) -> int:
    """Return milliseconds since 1970, rounded."""
    return (at - EPOCH + _HALF_MS) // _MS


def at_ms(ms: int) -> datetime:
    """Return the moment `ms` milliseconds after 1970."""
    return EPOCH + timedelta(milliseconds=ms)


def after_all(at: datetime, others: Iterable[datetime]) -> datetime:
    """Return `at`, moved behind what lies in the same second: of two changes typed in one, the second counts."""
    beside = [other for other in others if at <= other < at + _SECOND]
    return max(beside) + _US if beside else at


@overload
def us_of(at: datetime) -> int: ...
@overload
def us_of(at: datetime | None) -> int | None: ...
def us_of(at: datetime | None) -> int | None:
    """Return microseconds since 1970; None stays None."""
    return None if at is None else (at - EPOCH) // _US


@overload
def at_us(us: int) -> datetime: ...
@overload
def at_us(us: int | None) -> datetime | None: ...
def at_us(us: int | None) -> datetime | None:
    """Return the moment `us` microseconds after 1970; None stays None."""
    return None if us is None else EPOCH + timedelta(microseconds=us)
