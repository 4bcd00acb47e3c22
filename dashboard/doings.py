"""What the first page asks of files beside the jars themselves: what may be due, and the sun that is to come."""

from dashboard.desk import Desk
from dashboard.views.shelf import Doings, ShelfView, shelf_view, still_shown
from station.domain.coming_sun import ComingSun
from station.store.sun_seen import sun_seen


def shelf_shown(desk: Desk) -> ShelfView:
    """Return the first page as it is now.

    Raises:
        StoreError: a file cannot be read.
    """
    now_at, books, records = desk.now(), desk.books, desk.records
    jars = tuple([jar for jar in books.jars() if still_shown(jar, now_at)])
    sun, answers = coming_sun(desk), records.answers()
    doings = Doings(records.rounds(), records.trials(), sun, answers, records.feedings())
    return shelf_view(books.present(jars), jars, now_at, desk.manner, doings)


def coming_sun(desk: Desk) -> ComingSun | None:
    """Return what the log tells of the sun; None where the place is not known.

    Raises:
        StoreError: a file cannot be read.
    """
    manner = desk.manner
    if manner.place is None:
        return None
    moved_at = desk.records.shelf_moved_at()
    return sun_seen(desk.books.shelf, manner.place, manner.limits.sun_lx, desk.now(), manner.zone, moved_at)
