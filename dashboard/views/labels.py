"""What may be labelled, and labels as parts of a page."""

from dataclasses import dataclass
from datetime import datetime

from markupsafe import Markup

from dashboard.views.manner import Manner
from station.domain.bottling import Bottle
from station.domain.jars import Jar
from station.domain.moments import seen_from


@dataclass(frozen=True, slots=True)
class Choice:
    """A jar or a bottle that may be labelled."""

    id: str
    plant: str
    about: str


def jar_choice(jar: Jar, now_at: datetime, manner: Manner) -> Choice:
    """Return a jar as it may be chosen."""
    return Choice(jar.id, jar.plant, f"jar, packed {seen_from(jar.packed_at, now_at, manner.zone)}")


def bottle_choice(bottle: Bottle, manner: Manner) -> Choice:
    """Return a bottle as it may be chosen."""
    return Choice(bottle.id, bottle.plant, f"bottle, {manner.volume(bottle.left_ml)}")


def safe_svg(drawn: str) -> Markup:
    """Return a drawing of `station.labels`, which escapes every text itself, as a part of a page."""
    return Markup(drawn)  # noqa: S704 - our own drawing
