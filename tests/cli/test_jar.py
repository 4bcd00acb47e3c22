"""`jarside jar`: the notebook from the shell."""

import re
from pathlib import Path

import pytest

from tests.cli.shell import jarside, refused


def pack(data: Path, plant: str = "comfrey", *more: str) -> str:
    said = jarside("jar", "pack", plant, "--at", "2026-05-04T06:00Z", *more, "--json", data=data).json
    return str(said["id"])


def test_a_jar_from_packing_to_straining(tmp_path: Path) -> None:
    jar = pack(tmp_path, "comfrey", "--weight", "260g", "--sugar", "173g", "--jar", "2L")
    assert jar == "comfrey-1"
    jarside("jar", "note", jar, "smells sweet", data=tmp_path)
    strained = jarside("jar", "strain", jar, "--judge", "right", data=tmp_path)
    assert "Strained comfrey-1" in strained.out
    shown = jarside("jar", "show", jar, "--json", data=tmp_path).json
    assert shown["plant_g"] == 260.0
    assert shown["jar_ml"] == 2000.0
    assert shown["stage"] == "draining"
    assert shown["judgement"] == "right"
    assert [note["text"] for note in shown["notes"]] == ["smells sweet"]


def test_names_may_be_shortened_while_they_are_unambiguous(tmp_path: Path) -> None:
    pack(tmp_path, "comfrey")
    assert jarside("jar", "show", "com", "--json", data=tmp_path).json["id"] == "comfrey-1"
    pack(tmp_path, "comfrey")
    refused(jarside("jar", "show", "com", data=tmp_path), "com", "comfrey-1", "comfrey-2")
    refused(jarside("jar", "show", "nettle", data=tmp_path), "nettle")


def test_the_list_leaves_out_what_is_over(tmp_path: Path) -> None:
    assert "No jars yet" in jarside("jar", "list", data=tmp_path).out
    pack(tmp_path, "comfrey")
    jar = pack(tmp_path, "borage")
    jarside("jar", "discard", jar, "--reason", "green mould", data=tmp_path)
    assert "borage" not in jarside("jar", "list", data=tmp_path).out
    everything = jarside("jar", "list", "--all", "--json", data=tmp_path).json
    assert {one["id"]: one["stage"] for one in everything} == {"comfrey-1": "working", "borage-1": "discarded"}


@pytest.mark.parametrize(
    ("words", "fragments"),
    [
        (["jar", "pack", "comfrey", "--at", "2999-01-01T00:00Z"], ["future"]),
        (["jar", "pack", "comfrey", "--weight", "0g"], ["0"]),
        (["jar", "pack", "comfrey", "--weight", "260"], ["260", "g"]),
        (["jar", "pack", "comfrey", "--jar", "-1L"], ["-1L"]),
        (["jar", "pack", "comfrey", "--probe", "nowhere"], ["nowhere", "settings"]),
        (["jar", "pack", "comfrey", "--at", "noon"], ["noon"]),
        (["jar", "pack", " "], ["plant"]),
        (["jar", "pack", "eggshell", "--kind", "vinegar", "--days", "1e9"], ["1e+09 days", "at most 3650"]),
        (["jar", "strain", "comfrey-1", "--at", "2026-05-01T00:00Z"], ["comfrey-1", "packed"]),
        (["jar", "note", "comfrey-1", "  "], ["empty"]),
        (["jar", "strain", "comfrey-9"], ["comfrey-9"]),
    ],
)
def test_what_does_not_fit_is_refused_and_nothing_is_written(
    tmp_path: Path, words: list[str], fragments: list[str]
) -> None:
    pack(tmp_path)
    before = jarside("jar", "list", "--all", "--json", data=tmp_path).out
    refused(jarside(*words, data=tmp_path), *fragments)
    assert jarside("jar", "list", "--all", "--json", data=tmp_path).out == before


def test_a_jar_is_strained_once(tmp_path: Path) -> None:
    jar = pack(tmp_path)
    jarside("jar", "strain", jar, data=tmp_path)
    refused(jarside("jar", "strain", jar, data=tmp_path), jar, "draining")


def test_a_name_with_markup_and_emoji_is_kept_as_it_is(tmp_path: Path) -> None:
    plant = "<b>Borage & co</b> 🌿 from the far bed"
    jar = pack(tmp_path, plant)
    assert jarside("jar", "show", jar, "--json", data=tmp_path).json["plant"] == plant


def test_a_wrong_judgement_word_is_wrong_usage(tmp_path: Path) -> None:
    assert jarside("jar", "strain", "comfrey-1", "--judge", "fine", data=tmp_path).code == 2


def test_a_lid_that_was_loosened_is_noted_and_no_longer_warned_of(tmp_path: Path) -> None:
    jar = pack(tmp_path, "comfrey", "--cover", "tight-lid")
    assert "Tight lid" not in jarside("jar", "note", jar, "--cover", "cloth", data=tmp_path).out
    page = jarside("jar", "show", jar, data=tmp_path).out
    assert "glass, cloth" in page
    assert "cover now: cloth" in page
    shown = jarside("jar", "show", jar, "--json", data=tmp_path).json
    assert (shown["packing"]["cover"], shown["notes"][0]["cover"]) == ("cloth", "cloth")
    assert "! Tight lid" in jarside("jar", "note", jar, "--cover", "tight-lid", data=tmp_path).out


def test_a_note_by_mistake_is_taken_back_and_the_jar_may_be_strained(tmp_path: Path) -> None:
    jar = pack(tmp_path, "nettle")
    jarside("jar", "note", jar, "--smell", "foul", "--surface", "fuzzy", "--at", "2026-05-06T08:00:20Z", data=tmp_path)
    words = ("--smell", "sweet", "--surface", "clear", "--at", "2026-05-06T08:00:40Z")
    said = jarside("jar", "note", jar, *words, data=tmp_path).out
    assert "Nothing to do" not in said
    assert "An earlier note still counts. Fuzzy or coloured mould" in said
    slip = re.search(r"slip\? jarside (jar note nettle-1 --take-back --at \S+)", said)
    assert slip is not None
    back = jarside(*slip[1].split(), data=tmp_path).out
    assert "Took back the note of" in back
    assert "smell foul, surface fuzzy" in back
    assert "smell sweet" not in back
    shown = jarside("jar", "show", jar, data=tmp_path).out
    assert "smell sweet" in shown
    assert "foul" not in shown.lower()
    assert "But:" not in jarside("jar", "strain", jar, data=tmp_path).out


def test_without_a_time_the_last_note_is_taken_back_and_what_is_left_still_counts(tmp_path: Path) -> None:
    jar = pack(tmp_path)
    for day, smell in ((5, "foul"), (6, "sweet")):
        jarside("jar", "note", jar, "--smell", smell, "--at", f"2026-05-0{day}T08:00Z", data=tmp_path)
    back = jarside("jar", "note", jar, "--take-back", data=tmp_path).out
    assert "smell sweet" in back
    assert "But: Foul smell" in back
    left = jarside("jar", "note", jar, "--take-back", "--json", data=tmp_path).json
    assert left["notes"] == []
    refused(jarside("jar", "note", jar, "--take-back", data=tmp_path), "comfrey-1 has no note", "jarside jar note")


def test_what_is_to_be_taken_back_must_be_there_and_stands_alone(tmp_path: Path) -> None:
    jar = pack(tmp_path)
    jarside("jar", "note", jar, "sweet", "--at", "2026-05-05T08:00Z", data=tmp_path)
    words = ("jar", "note", jar, "--take-back")
    refused(jarside(*words, "--at", "2026-05-05T09:00Z", data=tmp_path), "no note of 2026-05-05", "jarside jar show")
    refused(jarside(*words, "--smell", "sweet", data=tmp_path), "beside a new note")


def test_a_slip_in_the_plants_name_is_warned_of(tmp_path: Path) -> None:
    said = jarside("jar", "pack", "netle", "--weight", "125g", "--sugar", "80g", data=tmp_path).out
    assert "! netle is not among the plants known here. Did you mean nettle?" in said
    assert "gloves" in said  # it stings, if it is meant
    assert "Did you mean" not in jarside("jar", "pack", "sea holly", "--weight", "125g", data=tmp_path).out
    assert "Did you mean" not in jarside("jar", "pack", "nettle", "--weight", "125g", data=tmp_path).out


def test_what_was_packed_is_corrected(tmp_path: Path) -> None:
    said = jarside("jar", "pack", "netle", "--weight", "25g", "--sugar", "80g", data=tmp_path).out
    shown = re.search(r"jarside (jar correct netle-1 --plant '?nettle'?)", said)
    assert shown is not None
    assert "25 g" in jarside(*shown[1].replace("'", "").split(), data=tmp_path).out
    right = jarside("jar", "correct", "netle-1", "--weight", "125g", "--jar", "2L", "--json", data=tmp_path).json
    assert (right["plant"], right["plant_g"], right["sugar_g"], right["jar_ml"]) == ("nettle", 125.0, 80.0, 2000.0)
    refused(jarside("jar", "correct", "netle-1", data=tmp_path), "nothing to correct", "--weight 250g")
    refused(jarside("jar", "correct", "netle-1", "--weight", "250", data=tmp_path), "250", "unit")
