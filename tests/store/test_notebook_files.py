"""The whole notebook out to a file, and in again."""

import csv
import json
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from station.domain.bottling import Drawn, Emptied, Moved
from station.domain.corrections import Point, humidity_correction
from station.domain.feeding import Method
from station.domain.jars import Corrected, Judged, Judgement, Noted, NoteTakenBack
from station.domain.needs import Needs
from station.domain.observations import Seen, Smell
from station.domain.packing import Cover, Packing, Share
from station.domain.plants import Moisture, own_plant
from station.domain.rounds import RoundSet, Skipped
from station.domain.storage import Storage
from station.domain.trials import Arm, Counted, CountTakenBack, Ended, Sown
from station.errors import NotebookError, StoreError
from station.ports import Answer
from station.store.bottles import Bottles
from station.store.corrections import Corrections
from station.store.feedings import Feedings
from station.store.needs import HandSetNeeds
from station.store.notebook import Notebook
from station.store.notebook_files import read_notebook, write_notebook
from station.store.own_plants import OwnPlants
from station.store.rounds import Rounds
from station.store.shelf_moves import ShelfMoves
from station.store.trials import Trials
from tests.store.garden import NOW, a_bottled_jar, a_feeding, a_notebook, day

NASTY = [
    "=1+1",
    "+5",
    "-3",
    "@x",
    "'quoted",
    "12",
    "null",
    '{"a": 1}',
    'a,b\n"c"',
    " 🌿<b>",
    "True",
    "NaN",
    "1e5",
    "\t",
    "two\r\nlines",
    "\r",
]


def a_full_notebook(folder):
    """A notebook in which something of everything is recorded, with texts that files trip over."""
    notebook = a_notebook(folder)
    a_bottled_jar(notebook, 200.0, 100.0)
    notebook.record(Judged("comfrey-1", day(6), Judgement.RIGHT), now_at=NOW)
    notebook.record(Judged("comfrey-1", day(7), None), now_at=NOW)
    notebook.record(Noted("comfrey-1", day(2), "", Seen(smell=Smell.SWEET), ("photo 1.jpg",)), now_at=NOW)
    notebook.record(Noted("comfrey-1", day(2), "", cover=Cover.LOOSE_LID), now_at=NOW)
    foul = notebook.record(Noted("comfrey-1", day(2), "slip", Seen(smell=Smell.FOUL)), now_at=NOW).notes[-1]
    notebook.record(NoteTakenBack("comfrey-1", day(2.1), foul.at), now_at=NOW)
    notebook.record(Corrected("comfrey-1", day(2), plant_g=130.0, jar_ml=1500.0), now_at=NOW)
    for text in NASTY:
        notebook.record(Noted("comfrey-1", day(3), text), now_at=NOW)
        how = Packing(picked_where=text, blend=(Share(text, 5.0),))
        notebook.pack(text.strip() or "tab", day(1), 500.0, now_at=NOW, packing=how)
    Rounds(notebook).set_up(RoundSet("", day(7), Method.LEAF_SPRAY, "beans", first_on=day(8).date()), now_at=NOW)
    Rounds(notebook).record(Skipped("beans-1", day(9), "rain"), now_at=NOW)
    Feedings(notebook).feed(a_feeding(round_id="beans", until_at=day(8) + timedelta(minutes=20)), now_at=NOW)
    Feedings(notebook).feed(a_feeding(bottle_id=""), now_at=NOW)
    slip = Feedings(notebook).feed(a_feeding(juice_ml=33.0), now_at=NOW)
    Feedings(notebook).take_back(slip.feeding_id, now_at=NOW)
    Bottles(notebook).record(Moved("comfrey-1-b", day(8), Storage.ROOM), now_at=NOW)
    Bottles(notebook).record(Drawn("comfrey-1-b", day(8), 0.1 + 0.2), now_at=NOW)
    Bottles(notebook).record(Emptied("comfrey-1-b", day(9), "spilt"), now_at=NOW)
    arms = (Arm("soaked", (10, 10)), Arm("plain", (20,)))
    made = Trials(notebook).sow(Sown("", day(8), "beans", arms, "plain"), now_at=NOW)
    Trials(notebook).record(Counted(made.id, day(11), "soaked", 9), now_at=NOW)
    Trials(notebook).record(CountTakenBack(made.id, day(13), day(11)), now_at=NOW)
    Trials(notebook).record(Counted(made.id, day(12), "soaked", 7, 2), Ended(made.id, day(20)), now_at=NOW)
    OwnPlants(notebook).add(own_plant("lemon balm", Moisture.DRY, cautions=("none, known",)), now_at=day(1))
    HandSetNeeds(notebook).set_to("lemon balm", 4.5, now_at=day(8))
    HandSetNeeds(notebook).reset(now_at=day(9))
    HandSetNeeds(notebook).reset("lemon balm", now_at=day(10))
    HandSetNeeds(notebook).take_back_reset("lemon balm", now_at=day(11))
    ShelfMoves(notebook).move(day(3), now_at=NOW)
    ShelfMoves(notebook).move(day(4), now_at=NOW)
    ShelfMoves(notebook).take_back(now_at=NOW)
    humidity = humidity_correction("shelf-air", [Point(81.5, 75.5, "sodium-chloride at 20.0 °C", day(1))], day(1))
    Corrections(notebook).make(humidity, now_at=day(1))
    notebook.answer(Answer("cold-1", day(2), day(3)))
    notebook.answer(Answer("cold-1", day(4)))
    return notebook


def everything(notebook):
    feedings = Feedings(notebook).feedings()
    return (
        notebook.jars(),
        Bottles(notebook).bottles(),
        feedings,
        Rounds(notebook).rounds(feedings),
        Trials(notebook).trials(),
        OwnPlants(notebook).plants(),
        notebook.needs(),
        Corrections(notebook).history(),
        notebook.answers(day(0)),
        (ShelfMoves(notebook).last_at(),),
    )


@pytest.mark.parametrize("name", ["all.json", "all.csv", "ALL.CSV"])
def test_the_whole_notebook_comes_back_from_its_file(tmp_path, name):
    (tmp_path / "other").mkdir()
    with a_full_notebook(tmp_path) as notebook, a_notebook(tmp_path / "other") as other:
        count = write_notebook(notebook, tmp_path / name)
        found = read_notebook(other, tmp_path / name, now_at=NOW)
        assert (found.added, found.known) == (count, 0)
        assert everything(other) == everything(notebook)
        again = read_notebook(other, tmp_path / name, now_at=NOW)
        assert (again.added, again.known) == (0, count)
        assert everything(other) == everything(notebook)


def test_a_spreadsheet_runs_nothing_it_finds_in_a_cell(tmp_path):
    # OWASP: cells that begin with = + - @, tab or carriage return may be run as formulas.
    with a_full_notebook(tmp_path) as notebook:
        write_notebook(notebook, tmp_path / "all.csv")
    with (tmp_path / "all.csv").open(encoding="utf-8", newline="") as file:
        cells = [cell for row in csv.reader(file) for cell in row]
    assert not [cell for cell in cells if cell.startswith(("=", "+", "-", "@", "\t", "\r"))]


def test_two_halves_make_the_whole_whatever_their_order(tmp_path):
    (tmp_path / "other").mkdir()
    with a_full_notebook(tmp_path) as notebook, a_notebook(tmp_path / "other") as other:
        write_notebook(notebook, tmp_path / "all.json")
        read = json.loads((tmp_path / "all.json").read_text(encoding="utf-8"))
        read["entries"].reverse()
        (tmp_path / "back.json").write_text(json.dumps(read), encoding="utf-8")
        read_notebook(other, tmp_path / "back.json", now_at=NOW)
        assert set(other.jars()) == set(notebook.jars())
        assert set(Bottles(other).bottles()) == set(Bottles(notebook).bottles())
        assert Trials(other).trials() == Trials(notebook).trials()


@settings(max_examples=200, derandomize=True)
@given(data=st.data())
def test_the_notebook_is_the_same_in_whatever_order_its_entries_come(exported, data):
    entries = data.draw(st.permutations(exported.file["entries"]))
    with TemporaryDirectory(dir=exported.folder) as name:
        file = Path(name, "all.json")
        file.write_text(json.dumps(exported.file | {"entries": entries}), encoding="utf-8")
        with a_notebook(Path(name)) as other:
            read_notebook(other, file, now_at=NOW)
            assert [_sorted(part) for part in everything(other)] == exported.told


@dataclass(repr=False)
class Exported:
    """The file of a full notebook, and what the notebook tells."""

    folder: Path
    file: dict[str, Any]
    told: list[Any]


@pytest.fixture(scope="module")
def exported(tmp_path_factory):
    folder = tmp_path_factory.mktemp("exported")
    with a_full_notebook(folder) as notebook:
        write_notebook(notebook, folder / "all.json")
        told = [_sorted(part) for part in everything(notebook)]
    return Exported(folder, json.loads((folder / "all.json").read_text(encoding="utf-8")), told)


def _sorted(part):
    """What a noun tells, whatever the order of its listing; needs judge their entries by time."""
    return sorted(map(repr, (*part.jars, *part.entries) if isinstance(part, Needs) else part))


def test_a_new_jar_after_an_import_gets_a_name_of_its_own(tmp_path):
    (tmp_path / "other").mkdir()
    with a_full_notebook(tmp_path) as notebook, a_notebook(tmp_path / "other") as other:
        write_notebook(notebook, tmp_path / "all.json")
        read_notebook(other, tmp_path / "all.json", now_at=NOW)
        assert other.pack("comfrey", day(9), 500.0, now_at=NOW).id == "comfrey-2"
        assert Feedings(other).feed(a_feeding(bottle_id=""), now_at=NOW).feeding_id == "feed-4"


def changed(folder, change):
    """Export a small notebook, change the entries, and return the changed file."""
    with a_notebook(folder) as notebook:
        a_bottled_jar(notebook)
        made = Trials(notebook).sow(Sown("", day(8), "beans", (Arm("a", (5,)), Arm("b", (5,))), "b"), now_at=NOW)
        Trials(notebook).record(Counted(made.id, day(9), "a", 3), now_at=NOW)
        write_notebook(notebook, folder / "all.json", overwrite=True)
    read = json.loads((folder / "all.json").read_text(encoding="utf-8"))
    by_kind = {entry["kind"]: entry for entry in read["entries"]}
    change(read, by_kind)
    (folder / "bad.json").write_text(json.dumps(read), encoding="utf-8")
    return folder / "bad.json"


def an_answer(until):
    """A record of an alert that was put off until then."""
    at = "2026-05-04T06:00:00Z"
    return {"noun": "answer", "id": "a-1", "kind": "answered", "at": at, "recorded_at": at, "until_at": until}


def a_correction(quantity, gain, offset):
    """A record of a correction of that line, whatever it was drawn through."""
    at = "2026-05-04T06:00:00Z"
    line = {"sensor": "shelf", "quantity": quantity, "gain": gain, "offset": offset, "residual": 0.0, "points": []}
    head = {"noun": "correction", "id": f"shelf-{quantity}", "kind": "made", "at": at, "recorded_at": at}
    return {**head, "correction": {**line, "made_at": at}}


BAD = [
    (lambda read, kinds: read["entries"].append(a_correction("light", 1e6, 0.0)), "gain 1e+06"),
    (lambda read, kinds: read["entries"].append(a_correction("humidity", 0.0, 0.0)), "gain 0"),
    (lambda read, kinds: read["entries"].append(a_correction("light", 1.0, 800.0)), "offset 800"),
    (lambda read, kinds: read["entries"].append(a_correction("light", 1.0, 0.5)), None),
    (lambda read, kinds: read.update(format="other"), "holds no notebook"),
    (lambda read, kinds: read.update(version=99), "of format 99"),
    (lambda read, kinds: read["entries"].append(7), "is no record"),
    (lambda read, kinds: kinds["packed"].update(noun="cake"), "cake is not known"),
    (lambda read, kinds: kinds["packed"].update(id=""), "has no id"),
    (lambda read, kinds: kinds["packed"].update(kind="baked"), "entry 1"),
    (lambda read, kinds: kinds["packed"].update(jar_ml=-5), "jar_ml is -5"),
    (lambda read, kinds: kinds["packed"].update(jar_ml=float("nan")), "NaN is not a number"),
    (lambda read, kinds: kinds["packed"].update(plant_g="1e999"), "plant_g"),
    (lambda read, kinds: kinds["packed"].update(plant=" "), "the plant is empty"),
    (lambda read, kinds: kinds["packed"].update(plant_g="much"), "plant_g"),
    (lambda read, kinds: kinds["packed"].update(at="2999-01-01T00:00:00Z"), "future"),
    (lambda read, kinds: kinds["packed"].update(at="2026-05-04T06:00:00"), "naive"),
    (lambda read, kinds: kinds["packed"].update(at="noon"), "at"),
    (lambda read, kinds: kinds["packed"].update(recorded_at="noon"), "recorded_at"),
    (lambda read, kinds: kinds["packed"].update(at="0001-01-01T00:00:00+14:00"), "the end of the calendar"),
    (lambda read, kinds: kinds["packed"].update(recorded_at="0001-01-01T00:00:00+14:00"), "the end of the calendar"),
    (lambda read, kinds: read["entries"].append(an_answer("9999-12-31T23:59:59-12:00")), "the end of the calendar"),
    (lambda read, kinds: read["entries"].append(an_answer("2026-05-05T06:00:00")), "naive"),
    (lambda read, kinds: kinds["packed"].update(at="2026-05-20T06:00:00Z"), "it begins at"),
    (lambda read, kinds: read["entries"].remove(kinds["packed"]), "never packed"),
    (lambda read, kinds: read["entries"].remove(kinds["strained"]), "not strained before"),
    (lambda read, kinds: read["entries"].append({**kinds["packed"], "plant": "dock"}), "packed twice"),
    (
        lambda read, kinds: (
            read["entries"].remove(kinds["filled"]) or read["entries"].append({**kinds["filled"], "kind": "emptied"})
        ),
        "never filled",
    ),
    (lambda read, kinds: kinds["filled"].update(volume_ml=900), "900 mL (30.4 fl oz) in a bottle of 300"),
    (lambda read, kinds: kinds["counted"].update(germinated=6), "6 germinated"),
    (lambda read, kinds: kinds["sown"].update(arms=[]), "arms"),
    (lambda read, kinds: kinds["sown"].update(unknown=1), None),
]


@pytest.mark.parametrize(("change", "says"), BAD)
def test_a_file_that_cannot_be_is_refused_whole(tmp_path, change, says):
    (tmp_path / "other").mkdir()
    bad = changed(tmp_path, change)
    with a_notebook(tmp_path / "other") as other:
        if says is None:  # a field that a later version may add is left out
            read_notebook(other, bad, now_at=NOW)
            return
        with pytest.raises((NotebookError, StoreError)) as caught:
            read_notebook(other, bad, now_at=NOW)
        assert says in caught.value.what
        assert caught.value.remedy
        assert other.jars() == ()
        assert Bottles(other).bottles() == ()


@pytest.mark.parametrize(
    ("name", "text", "says"),
    [
        ("x.json", "{", "is not JSON"),
        ("x.json", "[" * 100_000, "is not JSON"),
        ("x.json", "[]", "holds no notebook"),
        ("x.csv", "", "line 1"),
        ("x.csv", "noun,id,kind,at\n", "line 1"),
        ("x.csv", "noun,id,kind,at,recorded_at\njar\n", "line 2: 1 cells under 5"),
        ("x.csv", 'noun,id,kind,at,recorded_at\n"jar', "line 2"),
        ("x.csv", "noun,id,kind,at,recorded_at\njar,a,packed,2026-05-04T06:00:00Z,\n", "line 2"),
        ("x.txt", "", "neither .json nor .csv"),
    ],
)
def test_a_file_of_another_kind_is_refused(tmp_path, name, text, says):
    (tmp_path / name).write_text(text, encoding="utf-8")
    with a_notebook(tmp_path) as notebook, pytest.raises((StoreError, NotebookError)) as caught:
        read_notebook(notebook, tmp_path / name, now_at=NOW)
    assert says in caught.value.what
    assert name in caught.value.what


def test_a_number_too_large_for_any_machine_is_refused(tmp_path):
    row = "jar,a,packed,2026-05-04T06:00:00Z,2026-05-04T06:00:00Z,dock,1000.0,1e999"
    (tmp_path / "x.csv").write_text(f"noun,id,kind,at,recorded_at,plant,jar_ml,plant_g\n{row}\n", encoding="utf-8")
    with a_notebook(tmp_path) as notebook, pytest.raises(NotebookError, match=r"line 2: .*without an end"):
        read_notebook(notebook, tmp_path / "x.csv", now_at=NOW)


def test_a_file_that_is_not_text_or_not_there_is_refused(tmp_path):
    (tmp_path / "x.csv").write_bytes(b"\xff\xfe\x00")
    with a_notebook(tmp_path) as notebook:
        with pytest.raises(StoreError, match="not UTF-8"):
            read_notebook(notebook, tmp_path / "x.csv", now_at=NOW)
        with pytest.raises(StoreError, match="cannot be read"):
            read_notebook(notebook, tmp_path / "y.csv", now_at=NOW)


def test_a_file_that_is_there_is_not_overwritten_unasked(tmp_path):
    with Notebook.open(tmp_path / "notebook.db") as notebook:
        assert write_notebook(notebook, tmp_path / "all.csv") == 0
        with pytest.raises(StoreError, match="there already"):
            write_notebook(notebook, tmp_path / "all.csv")
        assert write_notebook(notebook, tmp_path / "all.csv", overwrite=True) == 0
