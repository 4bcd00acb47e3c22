"""What the pages of every area have at hand."""

from datetime import date, datetime

from dashboard.forms import Form
from dashboard.frame import Frame
from station.domain.bottling import Bottle


class Area:
    """Pages that belong together.

    Args:
        frame: around every page.
    """

    def __init__(self, frame: Frame) -> None:
        self._frame = frame
        self._desk = frame.desk
        self._records = frame.desk.records

    def _when(self, form: Form, name: str = "at") -> datetime:
        """Return the time in a field; now where it is empty or wrong."""
        return form.moment(name, self._desk.manner.zone, self._desk.now())

    def _lacks(self, bottle: Bottle, amount_ml: float, form: Form, token: str) -> bool:
        """Whether a bottle has too little left, and that is not meant; a form sent twice has taken its part already."""
        return not (bottle.has(amount_ml) or form.ticked("anyway") or self._desk.books.recorded(token))

    def _today(self) -> date:
        """Return the local day."""
        return self._desk.now().astimezone(self._desk.manner.zone).date()
