"""Needs in the notebook: what judged jars and the grower say, and what a backup brings back."""

from datetime import timedelta
from pathlib import Path

import pytest

from station.domain.jars import Judged, Judgement
from station.domain.needs import EVERY
from station.errors import JarsideError, NotebookError
from station.store.backup import back_up, restore
from station.store.needs import HandSetNeeds
from station.store.notebook import Notebook
from tests.store.garden import NOW, a_notebook, a_strained_jar, day


@pytest.fixture
def notebook(tmp_path: Path):
    with a_notebook(tmp_path) as made:
        yield made


def test_only_judged_jars_are_told_and_a_withdrawn_judgement_is_none(notebook: Notebook) -> None:
    judged, _ = a_strained_jar(notebook), a_strained_jar(notebook)
    notebook.record(Judged(judged, day(7), Judgement.TOO_EARLY), now_at=NOW)
    (jar,) = notebook.needs().jars
    assert (jar.id, jar.judgement, jar.judged_at) == (judged, Judgement.TOO_EARLY, day(7))
    notebook.record(Judged(judged, day(8), None), now_at=NOW)
    assert notebook.needs().jars == ()
    assert notebook.jar(judged).judged_at is None


def test_what_is_set_is_told_under_the_plant_s_plain_name(notebook: Notebook) -> None:
    HandSetNeeds(notebook).set_to(" Lemon  Balm ", 4.5, now_at=NOW)
    found = notebook.needs().set_by_hand("lemon balm")
    assert found is not None
    assert found.warm_days == 4.5
    assert notebook.needs().plants() == ("lemon balm",)


def test_of_two_changes_in_one_second_the_second_counts(notebook: Notebook) -> None:
    needs = HandSetNeeds(notebook)
    needs.set_to("comfrey", 4.5, now_at=NOW)
    needs.reset(EVERY, now_at=NOW)
    assert notebook.needs().set_by_hand("comfrey") is None
    needs.set_to("comfrey", 6.5, now_at=NOW)
    found = notebook.needs().set_by_hand("comfrey")
    assert found is not None
    assert found.warm_days == 6.5


def test_a_reset_is_taken_back_and_the_set_need_counts_again(notebook: Notebook) -> None:
    needs = HandSetNeeds(notebook)
    needs.set_to("comfrey", 4.5, now_at=NOW)
    for name in ("comfrey", EVERY):
        needs.reset(name, now_at=NOW)
        assert notebook.needs().set_by_hand("comfrey") is None
        needs.take_back_reset(name, now_at=NOW)
        found = notebook.needs().set_by_hand("comfrey")
        assert found is not None
        assert found.warm_days == 4.5
        with pytest.raises(NotebookError, match="there is no reset of"):
            needs.take_back_reset(name, now_at=NOW)


def test_a_form_that_is_sent_twice_counts_once(notebook: Notebook) -> None:
    for _ in range(2):
        HandSetNeeds(notebook).set_to("comfrey", 4.5, now_at=NOW, token="t1")  # noqa: S106
    assert len(notebook.needs().entries) == 1


def test_a_need_out_of_bounds_leaves_no_trace(notebook: Notebook) -> None:
    with pytest.raises(JarsideError, match="2 to 15 warm-days"):
        HandSetNeeds(notebook).set_to("comfrey", 40.0, now_at=NOW)
    assert notebook.needs().entries == ()


def test_a_backup_brings_the_needs_back(tmp_path: Path) -> None:
    (tmp_path / "new").mkdir()
    with a_notebook(tmp_path) as notebook:
        jar_id = a_strained_jar(notebook)
        notebook.record(Judged(jar_id, day(7), Judgement.RIGHT), now_at=NOW)
        HandSetNeeds(notebook).set_to("comfrey", 4.5, now_at=NOW - timedelta(days=1))
        needs = notebook.needs()
    back_up(tmp_path, tmp_path / "kept.zip")
    restore(tmp_path / "kept.zip", tmp_path / "new")
    with a_notebook(tmp_path / "new") as again:
        assert again.needs() == needs
