"""The survey page over real files: this shelf, other days of it, and a log from elsewhere."""

from pathlib import Path

import pytest

from station.store.log_files import write_log
from tests.dashboard.reading import read
from tests.dashboard.world import Shelf, a_day_of, a_kitchen

OTHER = "since=2026-05-04&until=2026-05-05"


@pytest.fixture(scope="module")
def moved(tmp_path_factory: pytest.TempPathFactory) -> Shelf:
    """The kitchen, with a log of a cold scullery beside it."""
    shelf = a_kitchen(tmp_path_factory.mktemp("moved"))
    folder = shelf.folder / "logs"
    folder.mkdir()
    write_log(folder / "scullery.csv", a_day_of(temp_c=12.0, swing_c=0.5, days=2.0))
    whole = (folder / "scullery.csv").read_text()
    (folder / "torn.csv").write_text(whole.replace(",12.", ",warm.", 1))
    (folder / "broken.csv").write_text("time,temperature\n")
    (folder / "notes.txt").write_text("not a log")
    return shelf


def test_this_shelf_is_judged_in_a_sentence_and_in_figures(moved: Shelf) -> None:
    page = read(moved, "/survey?since=2026-05-04&until=2026-05-06").text

    assert "A good spot: in the good range for 100 % of the time." in page
    assert "Warmest 21.5 °C" in page  # the world's day: 20 °C and 1.5 more in the afternoon
    assert "Mon 4 May to Wed 6 May 2026" in page


def test_without_days_it_is_the_last_week(moved: Shelf) -> None:
    assert "Tue 5 May to Mon 11 May 2026" in read(moved, "/survey").text
    assert "Sun 10 May to Sun 10 May 2026" in read(moved, "/survey?span=day&until=2026-05-10").text


def test_a_log_from_elsewhere_stands_beside_it(moved: Shelf) -> None:
    page = read(moved, f"/survey?{OTHER}&file=scullery.csv").text

    assert "A good spot" in page
    assert "Scullery Not a good spot: it is too cold" in page
    assert "Coldest 11.5 °C" in page


def test_rows_that_cannot_be_used_are_counted(moved: Shelf) -> None:
    assert "Torn, 1 bad rows left out" in read(moved, f"/survey?{OTHER}&file=torn.csv").text


def test_other_days_stand_beside_it(moved: Shelf) -> None:
    page = read(moved, f"/survey?{OTHER}&from=2026-05-09&to=2026-05-09").text

    assert "Mon 4 May to Tue 5 May 2026" in page
    assert "Sat 9 May to Sat 9 May 2026" in page
    assert "it is too cold" in page


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("since=soon", "is not a day"),
        ("since=2026-05-05&until=2026-05-04", "Survey up to 31 days."),
        ("since=2026-01-05&until=2026-05-04", "Survey up to 31 days."),
        (f"{OTHER}&from=2026-05-09", "Both ends are needed"),
        (f"{OTHER}&file=nowhere.csv", "There is no such log file"),
        (f"{OTHER}&file=../shelf.db", "There is no such log file"),
        (f"{OTHER}&file=broken.csv", "has no temp_c"),
    ],
)
def test_what_cannot_be_surveyed_is_said_in_place(moved: Shelf, query: str, said: str) -> None:
    page = read(moved, f"/survey?{query}").text

    assert said in page
    assert "A good spot" not in page


def test_only_log_files_are_offered(moved: Shelf) -> None:
    page = read(moved, "/survey")
    offered = [one["value"] for tag, one in page.tags if tag == "option"]
    assert offered == ["", "broken.csv", "scullery.csv", "torn.csv"]


def test_an_empty_shelf_says_that_it_is_too_early(shelf: Shelf, tmp_path: Path) -> None:
    page = read(shelf, "/survey").text

    assert "Not enough to judge by" in page
    assert "make that folder if it is not there" in page
