"""What must happen once for each mark, and is remembered nowhere else: the latest of its kind."""

from collections.abc import Callable
from typing import Generic, TypeVar

from dashboard.turns import Turns

Made = TypeVar("Made")


class Latest(Generic[Made]):
    """What was made last, so that a form sent twice, or a program asking again, makes one. For several threads."""

    def __init__(self) -> None:
        self._turns = Turns()
        self._made: tuple[str, Made] | None = None

    @property
    def made(self) -> Made | None:
        """What was made last, or None."""
        return None if self._made is None else self._made[1]

    def of(self, token: str, make: Callable[[], Made]) -> Made:
        """Return what was made last if it has this token, else make it anew; what fails is not remembered.

        Args:
            token: unique for one form or one asking; with "" it is always made anew.
            make: does it.

        Raises:
            BusyError: too many wait for theirs already.
        """
        with self._turns.turn():
            if self._made is None or not token or self._made[0] != token:
                self._made = token, make()
            return self._made[1]
