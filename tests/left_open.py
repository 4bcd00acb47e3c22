"""What a test opens is closed after it even where it fails, or the next test would fail for the open file."""

from contextlib import ExitStack
from typing import Protocol, TypeVar


class Closes(Protocol):
    """Something that may be closed, and closed again."""

    def close(self) -> None: ...


Opened = TypeVar("Opened", bound=Closes)
_opened = ExitStack()


def closed_after(opened: Opened) -> Opened:
    """Return something unchanged, which is closed when the test that opened it is over."""
    _opened.callback(opened.close)
    return opened


def close_all() -> None:
    """Close what was opened, the latest first."""
    _opened.close()
