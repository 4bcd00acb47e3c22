"""How the grower's commands look and what they say: found by walking the whole job as a new grower."""

from datetime import timedelta
from pathlib import Path

import click
import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.cli import cli
from station.cli.columns import aligned, cells
from station.cli.times import now
from tests.cli.shell import jarside, refused

names = st.text(st.characters(categories=("L", "N", "P", "So", "Mn", "Zs")), max_size=20)


def ago(**how: float) -> str:
    return (now() - timedelta(**how)).isoformat()


@given(st.lists(st.tuples(names, names, names), min_size=1, max_size=6))
def test_columns_begin_at_the_same_place_on_every_line(rows):
    marked = [tuple(f"|{cell}" for cell in row) for row in rows]
    places = [[cells(line[:at]) for at in _bars(line, row)] for line, row in zip(_lines(marked), marked, strict=True)]
    assert all(one == places[0] for one in places)


def _lines(rows):
    return aligned(rows).split("\n")


def _bars(line, row):
    """Where each cell begins, looked for from left to right."""
    found, at = [], 0
    for cell in row:
        at = line.index(cell.rstrip(), at)
        found.append(at)
        at += len(cell.rstrip())
    return found


def test_a_column_empty_in_every_row_takes_no_room():
    assert aligned([("a", "", "x"), ("bb", "", "y")]) == "a   x\nbb  y"
    assert aligned([]) == ""


def test_a_long_name_pushes_the_whole_column(tmp_path: Path) -> None:
    jarside("jar", "pack", "Löwenzahn 🌼 von der großen Wiese am Bach", data=tmp_path)
    jarside("jar", "pack", "borage", data=tmp_path)
    lines = jarside("jar", "list", data=tmp_path).out.splitlines()
    assert len({line.index("packed") for line in lines}) == 1


def test_a_jar_that_stood_its_days_is_ready_without_a_station(tmp_path: Path) -> None:
    jarside("jar", "pack", "eggshell", "--kind", "vinegar", "--days", "3", "--at", ago(days=4), data=tmp_path)
    jarside("jar", "pack", "horsetail", "--kind", "steep", "--days", "7", "--at", ago(days=4), data=tmp_path)
    jars = {one["id"]: one["stage"] for one in jarside("jar", "list", "--json", data=tmp_path).json}
    assert jars == {"eggshell-1": "ready", "horsetail-1": "working"}


def test_a_jar_with_mould_is_marked_in_the_list(tmp_path: Path) -> None:
    jarside("jar", "pack", "borage", "--at", ago(days=2), data=tmp_path)
    assert "discard" not in jarside("jar", "list", data=tmp_path).out
    jarside("jar", "note", "borage", "--surface", "fuzzy", data=tmp_path)
    assert "! discard it" in jarside("jar", "list", data=tmp_path).out
    assert "discard the whole jar" in jarside("jar", "show", "borage", data=tmp_path).out


def test_an_extraction_is_not_told_to_drip_overnight(tmp_path: Path) -> None:
    jarside("jar", "pack", "eggshell", "--kind", "vinegar", data=tmp_path)
    jarside("jar", "pack", "borage", data=tmp_path)
    assert "twelve hours" not in jarside("jar", "strain", "eggshell", data=tmp_path).out
    assert "twelve hours" in jarside("jar", "strain", "borage", data=tmp_path).out


def test_a_jars_page_speaks_the_growers_measures(tmp_path: Path) -> None:
    (tmp_path / "us.toml").write_text('[units]\namounts = "us"\n', encoding="utf-8")
    jarside("jar", "pack", "yarrow", "--weight", "9oz", "--sugar", "6oz", "--jar", "2qt", data=tmp_path)
    said = jarside("jar", "show", "yarrow", data=tmp_path, config=tmp_path / "us.toml").out
    assert "9 oz (255 g) plant, 6 oz (170 g) sugar, plant to sugar 3 : 2, 2 qt (1.89 L) jar" in said


@pytest.fixture
def stocked(tmp_path: Path) -> Path:
    jarside("bottle", "fill", "gift of clover", "150mL", "--at", ago(days=3), data=tmp_path)
    words = ("feed", "round", "--method", "drench", "--to", "leeks", "--ratio", "250", "--water", "5L")
    assert jarside(*words, "--at", ago(days=2), data=tmp_path).code == 0
    return tmp_path


def test_a_feeding_of_a_round_takes_from_it_what_is_not_said(stocked: Path) -> None:
    fed = jarside("feed", "give", "gift", "--round", "leeks", "--json", data=stocked).json
    assert (fed["method"], fed["to"], fed["water_ml"], fed["juice_ml"]) == ("drench", "leeks", 5000.0, 20.0)
    said = ("--method", "leaf-spray", "--ratio", "500", "--can", "5.01L", "--to", "chard")
    fed = jarside("feed", "give", "gift", "--round", "leeks", *said, "--json", data=stocked).json
    assert (fed["method"], fed["to"], fed["water_ml"], fed["juice_ml"]) == ("leaf spray", "chard", 5000.0, 10.0)


def test_a_feeding_of_no_round_must_say_how(stocked: Path) -> None:
    said = jarside("feed", "give", "gift", "--can", "5L", data=stocked)
    assert (said.code, "--method" in said.err) == (2, True)
    refused(jarside("feed", "give", "gift", "--method", "drench", data=stocked), "no amount")
    refused(jarside("feed", "give", "gift", "--round", "peas", data=stocked), "there is no round peas")


def test_a_soak_that_lies_ahead_has_not_begun(tmp_path: Path) -> None:
    assert "not begun yet" in jarside("feed", "soak", "--at", ago(hours=-2), data=tmp_path).out


def test_a_ratio_typed_the_wrong_way_round_is_refused(tmp_path: Path) -> None:
    refused(jarside("dilute", "--ratio", "500:1", "--water", "1L", data=tmp_path), "more juice than water", "1:500")


def test_a_can_mixed_too_strong_is_still_told_its_strength(tmp_path: Path) -> None:
    found = jarside("dilute", "--juice", "1L", "--water", "500mL", "--json", data=tmp_path).json
    assert (found["ratio"], found["water_to_add_ml"]) == (0.5, 499500.0)
    assert "strong" in jarside("dilute", "--juice", "1L", "--water", "500mL", data=tmp_path).out


def test_what_there_was_none_of_is_left_out_of_the_season(stocked: Path) -> None:
    jarside("jar", "pack", "yarrow", "--weight", "2lb", "--sugar", "21oz", data=stocked)
    lines = jarside("season", data=stocked).out.splitlines()
    at = lines.index("yarrow")
    assert [line.split()[0] for line in lines[at + 1 :]] == ["jars", "weighed"]
    assert not any(" 0 " in line for line in lines)


def test_juice_is_counted_by_the_pound_where_pounds_are_weighed(tmp_path: Path) -> None:
    """A pound is 0.45359237 kg (1959): 1 qt from 2 lb is half a quart, 16 fl oz, from a pound."""
    (tmp_path / "us.toml").write_text('[units]\namounts = "us"\n', encoding="utf-8")
    jarside("jar", "pack", "yarrow", "--weight", "2lb", "--sugar", "21oz", "--jar", "2gal", data=tmp_path)
    jarside("jar", "strain", "yarrow", data=tmp_path)
    jarside("jar", "bottle", "yarrow", "1qt", data=tmp_path)
    assert (
        "16 fl oz (473 mL) from a pound of plant" in jarside("season", data=tmp_path, config=tmp_path / "us.toml").out
    )


def test_a_bottle_more_is_told_its_command(tmp_path: Path) -> None:
    jarside("jar", "pack", "yarrow", data=tmp_path)
    refused(jarside("jar", "bottle", "yarrow", "1qt", data=tmp_path), "jarside jar strain yarrow-1")
    jarside("jar", "strain", "yarrow", data=tmp_path)
    jarside("jar", "bottle", "yarrow", "1qt", data=tmp_path)
    refused(jarside("jar", "bottle", "yarrow", "1pt", data=tmp_path), "jarside bottle fill yarrow-1 200mL")
    assert jarside("bottle", "fill", "yarrow-1", "1pt", data=tmp_path).out.startswith("yarrow-1-b")


@pytest.mark.parametrize(
    "words", [("bottle", "use", "gift", "-5mL"), ("bottle", "fill", "clover", "-200mL"), ("jar", "bottle", "x", "-1L")]
)
def test_a_negative_amount_is_called_so_and_not_an_option(stocked: Path, words) -> None:
    refused(jarside(*words, data=stocked), "is negative", "above 0")


def test_an_option_that_is_none_is_still_wrong_usage(stocked: Path) -> None:
    assert jarside("bottle", "use", "gift", "5mL", "--note-it", data=stocked).code == 2


def test_a_photo_that_is_not_there_is_said_and_one_that_is_keeps_its_whole_path(tmp_path: Path, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "jar.jpg").write_bytes(b"")
    words = ("jar", "pack", "yarrow", "--weight", "100g", "--sugar", "70g", "--jar", "1L", "--json")
    assert jarside(*words, "--photo", "jar.jpg", data=tmp_path).json["warnings"] == []
    (warning,) = jarside(*words, "--photo", "lid.jpg", data=tmp_path).json["warnings"]
    assert "no photo" in warning
    (first, *_) = jarside("jar", "show", "yarrow-1", "--json", data=tmp_path).json["packing"]["photos"]
    assert first == str(tmp_path / "jar.jpg")


def test_one_in_500_is_said_in_parts_of_water_as_well(tmp_path: Path) -> None:
    said = jarside("dilute", "--can", "10L", "--ratio", "1 in 500", data=tmp_path).out
    assert "1 in 500 of the mix, which is 1 to 499 of water" in said
    assert "1 to 500 of water" in jarside("dilute", "--can", "10L", data=tmp_path).out


def test_help_cuts_no_sentence_short() -> None:
    for words in ((), ("jar",), ("bottle",), ("feed",), ("trial",), ("plants",), ("notebook",)):
        said = jarside(*words, "--help")
        assert "..." not in said.out.replace("AMOUNT...", "").replace("[ARGS]...", "")


def test_more_taken_than_was_there_is_never_unseen(stocked: Path) -> None:
    words = ("bottle", "use", "gift", "200mL", "--anyway")
    assert "! 50 mL (3.38 tbsp) more were taken out than were written in." in jarside(*words, data=stocked).out
    for words in (("bottle", "list", "--all"), ("bottle", "show", "gift")):
        assert "50 mL (3.38 tbsp) more were taken out" in jarside(*words, data=stocked).out
    (gone,) = jarside("bottle", "list", "--all", "--json", data=stocked).json
    assert (gone["left_ml"], gone["over_ml"], len(gone["warnings"])) == (0.0, 50.0, 1)


def test_a_round_that_is_changed_keeps_what_is_not_said(stocked: Path) -> None:
    changed = jarside("feed", "round", "--change", "leeks", "--every", "5", "--json", data=stocked).json
    kept = (changed["method"], changed["to"], changed["ratio"], changed["water_ml"])
    assert kept == ("drench", "leeks", 250.0, 5000.0)


def test_a_jar_of_unknown_size_is_said_to_be_one(tmp_path: Path) -> None:
    words = ("jar", "pack", "yarrow", "--weight", "100g", "--sugar", "70g")
    assert "! The jar's size was not said: 1 L (1.06 qt)" in jarside(*words, data=tmp_path).out
    assert "size was not said" not in jarside(*words, "--jar", "1L", data=tmp_path).out


def test_a_plant_described_anew_keeps_its_cautions_in_every_command(tmp_path: Path) -> None:
    jarside("plants", "add", "comfrey", "--moisture", "medium", data=tmp_path)
    (mine,) = jarside("plants", "--own", "--json", data=tmp_path).json
    assert (mine["own"], mine["moisture"]) == (True, "medium")
    for words in (("plants", "show", "comfrey"), ("mix", "comfrey", "--weight", "100g"), ("jar", "pack", "comfrey")):
        assert "alkaloids" in jarside(*words, data=tmp_path).out
    line = next(line for line in jarside("plants", data=tmp_path).out.splitlines() if line.startswith("comfrey"))
    assert "(yours, mind the cautions)" in line


def _groups(command: click.Command, words: tuple[str, ...] = ()) -> list[tuple[str, ...]]:
    """The words that lead to each group of commands, the outermost included."""
    if not isinstance(command, click.Group):
        return []
    inner = [(name, command.get_command(click.Context(command), name)) for name in sorted(_names(command))]
    return [words, *(found for name, one in inner if one for found in _groups(one, (*words, name)))]


def _names(group: click.Group) -> list[str]:
    return group.list_commands(click.Context(group))


@pytest.mark.parametrize("words", _groups(cli), ids=" ".join)
def test_the_help_of_a_group_says_each_commands_first_sentence_whole(words: tuple[str, ...]) -> None:
    listed = jarside(*words, "--help").out.partition("Commands:")[2]
    assert listed
    assert "..." not in listed
