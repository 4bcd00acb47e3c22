"""`jarside pick`: when to pick on the next mornings."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING, Any

import click

from station.cli.frame import App, json_option, pass_app, print_json
from station.cli.times import now
from station.domain.dates import day_from
from station.errors import JarsideError

if TYPE_CHECKING:
    from station.domain.sun import Place, SunCourse


@dataclass(frozen=True, slots=True)
class Morning:
    """A morning's times; None when the sun does not rise, because it is always or never up."""

    day: date
    course: "SunCourse"
    begins_at: datetime | None
    rise_at: datetime | None
    ends_at: datetime | None


@click.command()
@click.option("--days", type=click.IntRange(1, 366), default=3, show_default=True, help="How many mornings.")
@click.option("--from", "first", metavar="DATE", help="The first day, such as 2026-05-14; else the next morning.")
@click.option(
    "--place", "--at", "place_text", metavar="LAT,LON", help="Another place than the settings', such as 52.1,-4.0."
)
@json_option
@pass_app
def pick(app: App, days: int, first: str | None, place_text: str | None, *, as_json: bool) -> None:
    """Say when to pick on the next mornings: from first light to about two hours after sunrise, while dew is on.

    Example: jarside pick --days 7
    """
    place = _place(app, place_text)
    begin = day_from(first) if first else _next_day(app, place)
    mornings = [_morning(app, place, begin + timedelta(days=number)) for number in range(days)]
    if as_json:
        print_json([_morning_json(morning) for morning in mornings])
    else:
        click.echo("\n".join(_lines(app, mornings)))


_PLACE_REMEDY = (
    "Say --place 52.1,-4.0, or set lat_deg and lon_deg under [place] in the settings (jarside init writes a file)."
)


def _place(app: App, text: str | None) -> "Place":
    from station.domain.sun import Place

    if text:
        try:
            lat_deg, lon_deg = (float(part) for part in text.split(","))
        except ValueError:
            raise JarsideError(f"{text!r} is not a place", "Write latitude and longitude: 52.1,-4.0.") from None
        return Place(lat_deg, lon_deg)
    place = app.settings.place.known
    if place is None:
        raise JarsideError("the place is not known", _PLACE_REMEDY)
    return place


def _next_day(app: App, place: "Place") -> date:
    """Return today while its window is open, else tomorrow."""
    today = now().astimezone(app.zone).date()
    ends_at = _morning(app, place, today).ends_at
    return today if ends_at is not None and now() < ends_at else today + timedelta(days=1)


def _morning(app: App, place: "Place", day: date) -> Morning:
    from station.domain.sun import picking_window, sun_day

    window, sun = picking_window(place, day, app.zone), sun_day(place, day, app.zone)
    if window is None:
        return Morning(day, sun.course, None, None, None)
    return Morning(day, sun.course, window.begins_at, sun.rise_at, window.ends_at)


def _morning_json(morning: Morning) -> dict[str, Any]:
    return {
        "date": morning.day.isoformat(),
        "sun": str(morning.course),
        "begins_at": morning.begins_at,
        "rise_at": morning.rise_at,
        "ends_at": morning.ends_at,
    }


def _lines(app: App, mornings: list[Morning]) -> list[str]:
    from station.domain.cautions import Step, cautions_for

    notes = ("Not after rain: it washes off what makes the ferment start. Do not rinse the leaves.",)
    return [*(_line(app, morning) for morning in mornings), "", *notes, *cautions_for(Step.PICK)]


_UNRISEN = {"rises": "has been up all night", "always up": "is always up", "never up": "is never up"}
"""What the sun does on a day without a sunrise, by its course: on the last of a polar day it only sets."""


def _line(app: App, morning: Morning) -> str:
    from station.domain.moments import clock_text, day_text

    day = day_text(datetime.combine(morning.day, time(12), app.zone), app.zone)
    if morning.begins_at is None or morning.rise_at is None or morning.ends_at is None:
        return f"{day}: the sun {_UNRISEN[str(morning.course)]}; pick while it is cool and damp"
    times = [clock_text(at, app.zone) for at in (morning.begins_at, morning.rise_at, morning.ends_at)]
    return f"{day}: pick from {times[0]} to {times[2]}, sunrise {times[1]}"
