"""Dates are written as they are read: in another year with the year."""

from pathlib import Path

from tests.dashboard.reading import read
from tests.dashboard.world import Shelf, at


def test_a_page_read_in_another_year_tells_the_year(tmp_path: Path) -> None:
    """The year is that of the pages' own clock: of a simulated shelf it is the simulated one."""
    shelf = Shelf(tmp_path)
    shelf.pack("comfrey")
    same = read(shelf, "/jars/comfrey-1").text
    shelf.now_at = at(365)
    later = read(shelf, "/jars/comfrey-1").text

    assert "Mon 4 May 07:00" in same
    assert "Mon 4 May 2026 07:00" in later
