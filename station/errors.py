"""The errors that Jarside raises on purpose. A leaf: it imports nothing of the project."""

from collections.abc import Callable
from datetime import UTC, datetime, tzinfo


class JarsideError(Exception):
    """Something expected went wrong, and a person can put it right.

    Args:
        what: what happened, with the file, line, key or id and the offending value; in pieces where times are part of
            it, because only the one who shows it knows the reader's zone.
        remedy: what to do about it, as a sentence; may be empty.
        page_remedy: the same for one who stands before the pages, where `remedy` names a command; else left out.
    """

    def __init__(self, what: str | tuple[str | datetime, ...], remedy: str = "", page_remedy: str = "") -> None:
        super().__init__(what, remedy, page_remedy)
        self.pieces = (what,) if isinstance(what, str) else what
        self.remedy = remedy
        self.page_remedy = page_remedy or remedy

    @property
    def what(self) -> str:
        """What happened, with times in UTC."""
        return self.what_in(UTC)

    def what_in(self, zone: tzinfo) -> str:
        """Return what happened, with times in `zone` as commands take them."""
        return self._told(lambda at: _time_text(at, zone))

    def page_what_in(self, zone: tzinfo) -> str:
        """Return what happened, with times in `zone` as the pages write them."""
        return self._told(lambda at: _day_text(at, zone))

    def _told(self, text_of: Callable[[datetime], str]) -> str:
        return "".join(piece if isinstance(piece, str) else text_of(piece) for piece in self.pieces)

    def text_in(self, zone: tzinfo) -> str:
        """Return what happened and what to do, with times in `zone` as commands take them."""
        return _sentences(self.what_in(zone), self.remedy)

    def page_text_in(self, zone: tzinfo) -> str:
        """Return the same for one who stands before the pages."""
        return _sentences(self.page_what_in(zone), self.page_remedy)

    def __str__(self) -> str:
        return self.text_in(UTC)


def _sentences(what: str, remedy: str) -> str:
    return f"{what}. {remedy}" if remedy else what


def _time_text(at: datetime, zone: tzinfo) -> str:
    """Return "2026-05-14 19:00", said to be UTC where it is."""
    return f"{at.astimezone(zone):%Y-%m-%d %H:%M}{' UTC' if zone is UTC else ''}"


def _day_text(at: datetime, zone: tzinfo) -> str:
    """Return "Thu 14 May 2026 19:00"."""
    local = at.astimezone(zone)
    return f"{local:%a} {local.day} {local:%b %Y %H:%M}"


class SettingsError(JarsideError):
    """The settings file is missing, unreadable or holds a value that is not allowed."""


class LogFileError(JarsideError):
    """A log file (CSV) has a row or a header that cannot be used."""


class StoreError(JarsideError):
    """A database file cannot be opened, is not ours, is newer than this program, or cannot be written."""


class QuantityError(JarsideError):
    """A typed weight, volume or ratio cannot be read, or is outside what makes sense."""


class NotebookError(JarsideError):
    """What was asked of the notebook does not fit what is written there."""


class UnknownNameError(NotebookError):
    """What was named is not in the notebook, or could be several things."""


class SensorError(JarsideError):
    """A part cannot be opened: no driver, no pins, no permission."""


class PackError(JarsideError):
    """A SenML pack breaks RFC 8428, or asks for something this program does not understand."""
