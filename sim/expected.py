"""The alerts that a scenario ought to bring, and how what came differs from them."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field

from sim.bounds import KEYS, NotNegative

DAY_S = 86400.0


@dataclass(frozen=True, slots=True)
class Expected:
    """Alerts of one kind, raised between two days.

    Args:
        kind: `cold`, `hot`, `sun`, `bright`, `damp`, `silent`, `strain` or `past-ready`.
        jar: the jar it is about; empty for the shelf.
        from_day, until_day: days since the start between which they are raised.
        at_least, at_most: how many of them.
    """

    __pydantic_config__ = KEYS
    kind: Literal["cold", "hot", "sun", "bright", "damp", "silent", "strain", "past-ready"]
    jar: str = ""
    from_day: NotNegative = 0.0
    until_day: NotNegative = 1e9
    at_least: Annotated[int, Field(strict=True, ge=0)] = 1
    at_most: Annotated[int, Field(strict=True, ge=0)] = 1

    def covers(self, raised: "Raised") -> bool:
        """Whether an alert is one of these."""
        day = raised.after_s / DAY_S
        return (self.kind, self.jar) == (raised.kind, raised.jar) and self.from_day <= day <= self.until_day


@dataclass(frozen=True, slots=True)
class Raised:
    """An alert as it came: its kind, its jar (empty for the shelf), and when, in true seconds since the start."""

    kind: str
    jar: str
    after_s: float


def differences(expected: Iterable[Expected], raised: Iterable[Raised]) -> tuple[str, ...]:
    """Return how the alerts that came differ from those expected, a sentence each; none when all is as it should be."""
    came = tuple(raised)
    wanted = tuple(expected)
    counts = [(one, sum(one.covers(alert) for alert in came)) for one in wanted]
    wrong = [_miscount(one, count) for one, count in counts if not one.at_least <= count <= one.at_most]
    strays = [alert for alert in came if not any(one.covers(alert) for one in wanted)]
    return (*wrong, *(_stray(alert) for alert in strays))


def _miscount(one: Expected, count: int) -> str:
    about = f" for jar {one.jar}" if one.jar else ""
    wanted = f"{one.at_least}" if one.at_least == one.at_most else f"{one.at_least} to {one.at_most}"
    return f"{one.kind}{about}: {count} came between day {one.from_day:g} and {one.until_day:g}, expected {wanted}."


def _stray(alert: Raised) -> str:
    about = f" for jar {alert.jar}" if alert.jar else ""
    return f"{alert.kind}{about} on day {alert.after_s / DAY_S:.2f} was not expected."
