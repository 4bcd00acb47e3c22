"""Corrections in the notebook: one holds at a time, and what held when is never forgotten."""

from datetime import timedelta
from pathlib import Path

import pytest

from station.domain.corrections import Correction, Point, humidity_correction, light_correction, raw_value, true_value
from station.errors import NotebookError
from station.store.corrections import Corrections
from station.store.notebook import Notebook
from tests.builders import START

LATER = START + timedelta(days=30)


def a_correction(said_pct: float = 81.5, sensor: str = "shelf-air") -> Correction:
    return humidity_correction(sensor, [Point(said_pct, 75.5, "sodium-chloride at 20.0 °C", START)], START)


@pytest.fixture
def corrections(tmp_path: Path):
    with Notebook.open(tmp_path / "notebook.db") as notebook:
        yield Corrections(notebook)


def test_a_correction_comes_back_as_it_was(corrections: Corrections):
    light = light_correction("lux", [Point(100.0, 200.0, "lux meter", START)], START)
    assert corrections.make(a_correction(), now_at=START) == "shelf-air-humidity"
    assert corrections.make(light, now_at=START) == "lux-light"
    assert corrections.holding() == (a_correction(), light)


def test_a_new_one_takes_the_place_of_the_old(corrections: Corrections):
    corrections.make(a_correction(81.5), now_at=START)
    corrections.make(a_correction(80.0), now_at=LATER)
    assert corrections.holding() == (a_correction(80.0),)


def test_a_removed_one_holds_no_longer(corrections: Corrections):
    corrections.make(a_correction(), now_at=START)
    assert corrections.remove("shelf-air", now_at=LATER) == a_correction()
    assert corrections.holding() == ()
    with pytest.raises(NotebookError, match="does not hold"):
        corrections.remove("shelf-air-humidity", now_at=LATER)


def test_removing_what_is_not_there_is_said(corrections: Corrections):
    with pytest.raises(NotebookError, match="there is no correction attic"):
        corrections.remove("attic", now_at=LATER)


def test_the_raw_value_of_any_time_can_be_worked_out_again(corrections: Corrections):
    corrections.make(a_correction(81.5), now_at=START)
    corrections.remove("shelf-air-humidity", now_at=START + timedelta(days=10))
    corrections.make(a_correction(80.0), now_at=LATER)
    first, second = corrections.history()
    assert (first.since_at, first.until_at) == (START, START + timedelta(days=10))
    assert (second.since_at, second.until_at) == (LATER, None)
    stored = true_value(first.correction, 66.6)
    assert raw_value(first.correction, stored) == pytest.approx(66.6)


def test_another_program_follows_what_is_written(corrections: Corrections, tmp_path: Path):
    with Notebook.open(tmp_path / "notebook.db") as other:
        following = Corrections(other).following()
        assert following() == ()
        corrections.make(a_correction(), now_at=START)
        assert following() == (a_correction(),)
        assert following() is following(), "not read again while nothing was written"
