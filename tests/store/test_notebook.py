"""The notebook keeps what the grower recorded, once, in an order that makes sense, for several programs at a time."""

import threading
from dataclasses import replace
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from station.domain.jars import (
    Bottled,
    Corrected,
    Discarded,
    Entry,
    Jar,
    Judged,
    Judgement,
    Noted,
    NoteTakenBack,
    Packed,
    Strained,
)
from station.domain.observations import Juice, Seen
from station.domain.packing import Cover, Packing, Share, Vessel
from station.domain.preparations import Preparation
from station.errors import JarsideError, NotebookError
from station.ports import Answer, NotebookView
from station.store import backup
from station.store.ids import chosen, slug
from station.store.notebook import JARS, Notebook
from tests.builders import START
from tests.store.worlds import after

NOW = START + timedelta(days=30)
FORM, OTHER_FORM = "form 1", "form 2"


def a_notebook(folder: Path) -> Notebook:
    return Notebook.open(folder / "notebook.db")


def packed(notebook: Notebook, plant: str = "Comfrey", at: datetime = START, **changes: Any) -> Jar:
    return notebook.pack(plant, at, 1000.0, **{"now_at": NOW, **changes})


@pytest.fixture
def notebook(tmp_path: Path) -> Any:
    with a_notebook(tmp_path) as opened:
        yield opened


class TestPacking:
    def test_a_jar_comes_back_as_it_was_packed(self, notebook: Notebook) -> None:
        how = Packing(
            Preparation.VINEGAR,
            21.0,
            (Share("eggshell", 100.0),),
            12.5,
            "by the hedge",
            Vessel.CERAMIC,
            stone_boiled=True,
        )
        jar = packed(notebook, plant_g=260.5, sugar_g=173.25, probe="left", packing=how)
        assert jar == Jar("comfrey-1", "Comfrey", START, 1000.0, 260.5, 173.25, "left", how)
        assert notebook.jar("comfrey-1") == jar
        assert notebook.jars() == (jar,)

    def test_ids_are_readable_and_numbered_by_plant(self, notebook: Notebook) -> None:
        plants = ("comfrey", "Comfrey ", "lady's mantle", "Brennnessel", "Löwenzahn", "蓬", "蓬")
        ids = [packed(notebook, plant).id for plant in plants]
        assert ids == ["comfrey-1", "comfrey-2", "lady-s-mantle-1", "brennnessel-1", "lowenzahn-1", "jar-1", "jar-2"]

    def test_an_id_is_never_given_twice(self, notebook: Notebook) -> None:
        notebook.record(Packed("comfrey-1", START, "comfrey", 500.0), now_at=NOW)
        assert packed(notebook).id == "comfrey-2"
        notebook.record(Discarded("comfrey-2", after(60)), now_at=NOW)
        assert packed(notebook).id == "comfrey-3"

    def test_a_name_can_be_packed_once_only(self, notebook: Notebook) -> None:
        with pytest.raises(NotebookError, match="comfrey-1 was packed already"):
            notebook.record(Packed(packed(notebook).id, START, "comfrey", 500.0), now_at=NOW)

    @pytest.mark.parametrize(
        ("amounts", "named"),
        [
            ({"plant_g": 0.0}, "plant_g is 0"),
            ({"plant_g": -5.0}, "plant_g is -5"),
            ({"sugar_g": float("nan")}, "sugar_g is nan"),
            ({"sugar_g": float("inf")}, "sugar_g is inf"),
            ({"packing": Packing(cap_g=0.0)}, "cap_g is 0"),
            ({"packing": Packing(blend=(Share("mint", 0.0),))}, "blend is 0"),
        ],
    )
    def test_an_amount_of_nothing_is_refused(self, notebook: Notebook, amounts: dict[str, Any], named: str) -> None:
        with pytest.raises(NotebookError, match=named) as refused:
            packed(notebook, **amounts)
        assert refused.value.remedy
        assert notebook.jars() == ()

    def test_a_jar_without_volume_is_refused(self, notebook: Notebook) -> None:
        with pytest.raises(NotebookError, match="jar_ml is 0"):
            notebook.pack("comfrey", START, 0.0, now_at=NOW)
        assert packed(notebook).id == "comfrey-1", "a refused jar uses up no number"

    def test_a_jar_packed_in_the_future_is_refused(self, notebook: Notebook) -> None:
        with pytest.raises(NotebookError, match="cannot be packed in the future, at 2026-05-04 06:03 UTC") as refused:
            packed(notebook, at=after(3), now_at=START)
        assert refused.value.remedy == "Check the time."
        assert packed(notebook, at=after(2), now_at=START).packed_at == after(2)

    def test_a_time_that_does_not_know_its_offset_is_refused(self, notebook: Notebook) -> None:
        with pytest.raises(JarsideError, match="naive"):
            packed(notebook, at=START.replace(tzinfo=None))


class TestRecording:
    def test_a_whole_life_comes_back(self, notebook: Notebook) -> None:
        jar_id = packed(notebook).id
        note = Noted(jar_id, after(10), "smells of apples — süß", Seen(Juice.NONE), ("a.jpg",))
        life: tuple[Entry, ...] = (
            note,
            Strained(jar_id, after(20)),
            Judged(jar_id, after(21), Judgement.TOO_EARLY),
            Bottled(jar_id, after(30), 185.5),
        )
        for entry in life:
            jar = notebook.record(entry, now_at=NOW)
        assert (jar.notes, jar.strained_at, jar.judgement) == ((note,), after(20), Judgement.TOO_EARLY)
        assert (jar.bottled_at, jar.juice_ml) == (after(30), 185.5)
        assert notebook.entries(jar_id)[1:] == life

    def test_times_are_kept_in_utc_to_the_microsecond(self, notebook: Notebook) -> None:
        local = datetime(2026, 5, 4, 9, 0, 0, 123457, tzinfo=timezone(timedelta(hours=2)))
        jar = packed(notebook, at=local)
        assert jar.packed_at == local
        assert jar.packed_at.utcoffset() == timedelta(0)

    @pytest.mark.parametrize(
        ("entry", "reason"),
        [
            (Strained("comfrey-1", after(-1)), "it was packed at 2026-05-04 06:00 UTC"),
            (Noted("comfrey-1", after(-1), "early"), "it was packed at"),
            (Bottled("comfrey-1", after(1)), "is working and cannot be bottled"),
            (Judged("comfrey-1", after(1), Judgement.RIGHT), "is working and cannot be judged"),
            (Strained("comfrey-1", NOW + timedelta(hours=1)), "in the future"),
            (Noted("yarrow-7", after(1), "who?"), "there is no jar yarrow-7"),
        ],
    )
    def test_what_does_not_fit_is_refused_and_leaves_no_trace(
        self, notebook: Notebook, entry: Entry, reason: str
    ) -> None:
        jar = packed(notebook)
        with pytest.raises(NotebookError, match=reason) as refused:
            notebook.record(entry, now_at=NOW)
        assert refused.value.remedy
        assert notebook.jars() == (jar,)

    def test_no_juice_is_not_an_amount(self, notebook: Notebook) -> None:
        notebook.record(Strained(packed(notebook).id, after(5)), now_at=NOW)
        with pytest.raises(NotebookError, match="volume_ml is 0"):
            notebook.record(Bottled("comfrey-1", after(9), 0.0), now_at=NOW)
        assert notebook.record(Bottled("comfrey-1", after(9)), now_at=NOW).bottled_at == after(9)

    def test_a_jar_can_be_strained_once_only_even_from_two_programs(self, tmp_path: Path) -> None:
        with a_notebook(tmp_path) as notebook:
            packed(notebook)
        outcomes: list[str] = []
        together = threading.Barrier(4)

        def strain(minute: int) -> None:
            with a_notebook(tmp_path) as mine:
                together.wait()
                try:
                    mine.record(Strained("comfrey-1", after(minute)), now_at=NOW)
                    outcomes.append("strained")
                except NotebookError:
                    outcomes.append("refused")

        threads = [threading.Thread(target=strain, args=(minute,)) for minute in range(1, 5)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert sorted(outcomes) == ["refused", "refused", "refused", "strained"]


class TestFormsSentTwice:
    def test_one_packing_makes_one_jar(self, notebook: Notebook) -> None:
        assert packed(notebook, token=FORM) == packed(notebook, "Yarrow", token=FORM)
        assert packed(notebook, token=OTHER_FORM).id == "comfrey-2"

    def test_one_note_is_written_once(self, notebook: Notebook) -> None:
        note = Noted(packed(notebook).id, after(1), "bubbles")
        notebook.record(note, now_at=NOW, token=FORM)
        assert notebook.record(note, now_at=NOW, token=FORM).notes == (note,)
        again = notebook.record(note, now_at=NOW).notes
        assert [one.text for one in again] == ["bubbles", "bubbles"], "without a token a repeat is meant"

    def test_one_straining_is_not_refused_as_a_second(self, notebook: Notebook) -> None:
        strained = Strained(packed(notebook).id, after(1))
        first = notebook.record(strained, now_at=NOW, token=FORM)
        assert notebook.record(strained, now_at=NOW, token=FORM) == first

    def test_a_form_that_was_refused_may_be_sent_again_corrected(self, notebook: Notebook) -> None:
        with pytest.raises(NotebookError):
            packed(notebook, plant_g=0.0, token=FORM)
        assert packed(notebook, plant_g=10.0, token=FORM).plant_g == 10.0


class TestCorrecting:
    def test_what_was_wrong_is_put_right_and_the_rest_stays(self, notebook: Notebook) -> None:
        jar = packed(notebook, "netle", plant_g=2500.0, sugar_g=80.0)
        notebook.record(Corrected(jar.id, NOW, plant="nettle", plant_g=250.0), now_at=NOW)
        right = notebook.record(Corrected(jar.id, NOW, jar_ml=2000.0), now_at=NOW)
        assert right == replace(jar, plant="nettle", plant_g=250.0, jar_ml=2000.0)
        assert notebook.jar("netle-1") == right

    def test_of_two_in_one_second_the_second_counts(self, notebook: Notebook) -> None:
        jar = packed(notebook)
        for plant_g in (900.0, 250.0):
            right = notebook.record(Corrected(jar.id, NOW, plant_g=plant_g), now_at=NOW)
        assert right.plant_g == 250.0

    def test_what_cannot_be_is_refused(self, notebook: Notebook) -> None:
        jar = packed(notebook)
        blend = packed(notebook, packing=Packing(blend=(Share("nettle", 100.0), Share("clover", 30.0))))
        for wrong, reason in (
            (Corrected(jar.id, NOW, plant=" "), "the plant is empty"),
            (Corrected(jar.id, NOW, plant_g=-1.0), "plant_g is -1"),
            (Corrected(jar.id, NOW, jar_ml=0.0), "jar_ml is 0"),
            (Corrected(blend.id, NOW, plant_g=100.0), "holds a blend"),
        ):
            with pytest.raises(NotebookError, match=reason):
                notebook.record(wrong, now_at=NOW)
        assert notebook.jar(jar.id) == jar


class TestNotesTakenBack:
    def test_one_of_two_notes_of_the_same_second_goes_and_the_other_stays(self, notebook: Notebook) -> None:
        jar_id = packed(notebook).id
        for text in ("a slip", "what was meant"):
            jar = notebook.record(Noted(jar_id, after(1), text), now_at=NOW)
        left = notebook.record(NoteTakenBack(jar_id, NOW, jar.notes[0].at), now_at=NOW)
        assert [note.text for note in left.notes] == ["what was meant"]
        assert notebook.jar(jar_id) == left

    def test_the_cover_it_told_goes_with_it(self, notebook: Notebook) -> None:
        jar = packed(notebook)
        notebook.record(Noted(jar.id, after(1), "", cover=Cover.TIGHT_LID), now_at=NOW)
        assert notebook.record(NoteTakenBack(jar.id, NOW, after(1)), now_at=NOW) == jar

    def test_what_is_not_there_or_went_already_is_refused(self, notebook: Notebook) -> None:
        jar_id = packed(notebook).id
        notebook.record(Noted(jar_id, after(1), "a slip"), now_at=NOW)
        with pytest.raises(NotebookError, match="comfrey-1 has no note of"):
            notebook.record(NoteTakenBack(jar_id, NOW, after(2)), now_at=NOW)
        for _ in range(2):
            notebook.record(NoteTakenBack(jar_id, NOW, after(1)), now_at=NOW, token=FORM)
        with pytest.raises(NotebookError, match="comfrey-1 has no note of"):
            notebook.record(NoteTakenBack(jar_id, NOW, after(1)), now_at=NOW)

    def test_a_note_of_the_same_time_may_be_written_anew(self, notebook: Notebook) -> None:
        jar_id = packed(notebook).id
        notebook.record(Noted(jar_id, after(1), "a slip"), now_at=NOW)
        notebook.record(NoteTakenBack(jar_id, NOW, after(1)), now_at=NOW)
        jar = notebook.record(Noted(jar_id, after(1), "anew"), now_at=NOW)
        assert [note.text for note in jar.notes] == ["anew"]


class TestFinding:
    @pytest.fixture(autouse=True)
    def jars(self, notebook: Notebook) -> None:
        for plant in ("comfrey",) * 11 + ("yarrow", "chickweed"):
            packed(notebook, plant)

    @pytest.mark.parametrize(
        ("name", "jar_id"),
        [
            ("yarrow-1", "yarrow-1"),
            ("y", "yarrow-1"),
            (" YARROW ", "yarrow-1"),
            ("ch", "chickweed-1"),
            ("comfrey-1", "comfrey-1"),
        ],
    )
    def test_by_id_or_its_beginning(self, notebook: Notebook, name: str, jar_id: str) -> None:
        assert notebook.jar(name).id == jar_id

    @pytest.mark.parametrize(
        ("name", "reason"),
        [("c", "c could be chickweed-1, comfrey-1"), ("borage", "there is no jar borage"), ("", r"no jar \(empty\)")],
    )
    def test_none_or_several_is_an_error_that_says_so(self, notebook: Notebook, name: str, reason: str) -> None:
        with pytest.raises(NotebookError, match=reason) as refused:
            notebook.jar(name)
        assert refused.value.remedy

    def test_of_an_unknown_jar_nothing_was_recorded(self, notebook: Notebook) -> None:
        assert notebook.entries("borage-1") == ()


def test_the_latest_packed_comes_first(notebook: Notebook) -> None:
    packed(notebook, "yarrow", START - timedelta(days=3))
    packed(notebook, "borage", START)
    packed(notebook, "cleavers", START - timedelta(days=9))
    assert [jar.plant for jar in notebook.jars()] == ["borage", "yarrow", "cleavers"]


class TestOnTheShelf:
    def test_an_empty_notebook_has_none(self, notebook: Notebook) -> None:
        assert notebook.jars_on_shelf() == ()

    def test_strained_jars_stay_in_sight_for_two_days(self, notebook: Notebook) -> None:
        for plant in ("comfrey", "yarrow", "borage"):
            packed(notebook, plant, now_at=START)
        notebook.record(Strained("comfrey-1", START + timedelta(days=6)), now_at=START + timedelta(days=6))
        notebook.record(Discarded("yarrow-1", START + timedelta(days=7)), now_at=START + timedelta(days=7))
        assert {jar.plant for jar in notebook.jars_on_shelf()} >= {"borage", "yarrow", "comfrey"}

    def test_and_leave_it_once_something_is_recorded_later(self, tmp_path: Path) -> None:
        with a_notebook(tmp_path) as notebook:
            for plant, days in (("comfrey", 6.0), ("yarrow", 8.5), ("borage", 9.0)):
                jar_id = packed(notebook, plant, now_at=START).id
                if plant != "borage":
                    at = START + timedelta(days=days)
                    notebook.record(Strained(jar_id, at), now_at=at)
            notebook.record(Noted("borage-1", START + timedelta(days=10), "fine"), now_at=START + timedelta(days=10))
            assert {jar.plant for jar in notebook.jars_on_shelf()} == {"yarrow", "borage"}


class TestAnswers:
    def test_come_back_in_order_of_time(self, notebook: Notebook) -> None:
        late, early = Answer("cold-1", after(9), after(90)), Answer("sun-1", after(3))
        notebook.answer(late)
        notebook.answer(early)
        assert notebook.answers(START) == (early, late)
        assert notebook.answers(after(9)) == (late,)
        assert notebook.answers(after(10)) == ()

    def test_to_some_alerts_come_back_in_order_of_recording(self, notebook: Notebook) -> None:
        before, after_set_back = Answer("cold-1", after(9), after(90)), Answer("cold-1", after(3))
        for answer in (before, Answer("sun-1", after(4)), after_set_back):
            notebook.answer(answer)
        assert notebook.answers_to(["cold-1", "hot-1"]) == (before, after_set_back)
        assert notebook.answers_to([]) == ()

    def test_putting_off_until_the_past_is_refused(self, notebook: Notebook) -> None:
        with pytest.raises(NotebookError, match="that time has passed"):
            notebook.answer(Answer("cold-1", after(9), after(9)))
        assert notebook.answers(START) == ()

    def test_one_form_answers_once(self, notebook: Notebook) -> None:
        for _ in range(2):
            notebook.answer(Answer("cold-1", after(1)), token=FORM)
        assert len(notebook.answers(START)) == 1


class TestVersion:
    def test_it_stands_still_until_another_program_writes(self, tmp_path: Path) -> None:
        with a_notebook(tmp_path) as mine, a_notebook(tmp_path) as other:
            view: NotebookView = mine
            before = view.version()
            assert view.version() == before
            packed(other)
            after_it = view.version()
            assert after_it != before
            assert view.version() == after_it
            assert [jar.id for jar in view.jars_on_shelf()] == ["comfrey-1"]

    def test_it_changes_when_the_file_is_replaced(self, tmp_path: Path) -> None:
        with a_notebook(tmp_path) as other:
            packed(other, "yarrow")
        backup.back_up(tmp_path, tmp_path / "saved.zip")
        with a_notebook(tmp_path) as mine:
            packed(mine)
            before = mine.version()
            backup.restore(tmp_path / "saved.zip", tmp_path, overwrite=True)
            assert mine.version() != before
            assert [jar.id for jar in mine.jars()] == ["yarrow-1"]

    def test_a_file_that_was_taken_away_is_made_anew(self, tmp_path: Path) -> None:
        with a_notebook(tmp_path) as mine:
            packed(mine)
            before = mine.version()
            (tmp_path / "notebook.db").unlink()
            assert mine.version() != before
            assert mine.jars() == ()


def test_a_commit_waits_for_the_disk(notebook: Notebook) -> None:
    # SQLite manual, PRAGMA synchronous: 2 is FULL
    assert notebook._connection.execute("PRAGMA synchronous").fetchone() == (2,)
    assert notebook._connection.execute("PRAGMA journal_mode").fetchone() == ("delete",)


times = st.timedeltas(timedelta(days=-9999), timedelta(days=9999)).map(lambda since: START + since)
entries = st.one_of(
    st.builds(Packed, st.text(), times, st.text(), st.floats(1, 1e6), st.none() | st.floats(0.1, 1e6), probe=st.text()),
    st.builds(Noted, st.text(), times, st.text()),
    st.builds(Strained, st.text(), times),
    st.builds(Judged, st.text(), times, st.none() | st.sampled_from(Judgement)),
    st.builds(Bottled, st.text(), times, st.none() | st.floats(0.1, 1e5)),
    st.builds(Discarded, st.text(), times, st.text()),
)


@settings(deadline=None)
@given(entries)
def test_every_entry_survives_being_written_down(entry: Entry) -> None:
    assert JARS.validate_json(JARS.dump_json(entry)) == entry


@given(st.text())
def test_a_slug_is_plain_letters(name: str) -> None:
    assert slug(name)
    assert all(one.isascii() and (one.isalnum() or one == "-") and not one.isupper() for one in slug(name))


@given(st.sets(st.from_regex(r"[a-c]{1,3}-[1-9]", fullmatch=True), min_size=1), st.data())
def test_an_id_is_found_by_itself_and_by_any_beginning_that_is_its_own(ids: set[str], data: st.DataObject) -> None:
    wanted = data.draw(st.sampled_from(sorted(ids)))
    length = data.draw(st.integers(1, len(wanted)))
    assert chosen(wanted, sorted(ids)) == wanted
    if sum(one.startswith(wanted[:length]) for one in ids) == 1:
        assert chosen(wanted[:length], sorted(ids)) == wanted


def test_a_jar_is_told_by_its_entries_in_any_order(notebook: Notebook) -> None:
    jar_id = packed(notebook).id
    later = notebook.record(Noted(jar_id, after(9), "later"), now_at=NOW)
    both = notebook.record(Noted(jar_id, after(5), "earlier"), now_at=NOW)
    assert [note.text for note in both.notes] == ["earlier", "later"]
    assert replace(both, notes=later.notes) == later
