"""The grower's commands, as people type them."""

import json
from pathlib import Path

import click
import pytest
from click.shell_completion import ShellComplete

from station.cli import cli
from tests.cli.shell import jarside, refused

GROUPS = ("pick", "plants", "mix", "dilute", "jar", "bottle", "feed", "trial", "label", "season", "notebook")
PACKED = ("--at", "2024-05-04T06:00Z")
NAME = '<b>Grandma\'s</b> & "wild" 🌿👩‍🌾 mix № 7 éàü!'


def leaves(command, words):
    """Yield every command below `command` that does something, with the words that lead to it."""
    if isinstance(command, click.Group):
        context = click.Context(command)
        for name in command.list_commands(context):
            yield from leaves(command.get_command(context, name), [*words, name])
    else:
        yield words, command


def own_commands():
    context = click.Context(cli)
    return [leaf for name in GROUPS for leaf in leaves(cli.get_command(context, name), [name])]


@pytest.fixture
def data(tmp_path: Path) -> Path:
    """A data folder with a strained jar of comfrey in two bottles, 300 and 100 mL, and one at work."""
    jarside("jar", "pack", "comfrey", "--weight", "250g", "--sugar", "250g", "--jar", "2L", *PACKED, data=tmp_path)
    jarside("jar", "strain", "comfrey-1", "--at", "2024-05-10T19:00Z", data=tmp_path)
    said = jarside(
        "jar", "bottle", "comfrey-1", "300mL", "100mL", "--size", "500mL", "--at", "2024-05-11T07:00Z", data=tmp_path
    )
    assert said.code == 0, said.err
    jarside("jar", "pack", "borage", *PACKED, data=tmp_path)
    return tmp_path


@pytest.mark.parametrize(
    ("words", "command"), own_commands(), ids=lambda one: " ".join(one) if isinstance(one, list) else ""
)
def test_every_command_has_an_example_and_json(words, command):
    said = jarside(*words, "--help")
    assert said.code == 0
    assert f"Example: jarside {' '.join(words)}" in " ".join(said.out.split())
    assert any("--json" in param.opts for param in command.params)


@pytest.mark.parametrize(
    ("words", "figures"),
    [
        # common practice: 125 g dry → 83 g; equal weights for juicy plants; about 125 g to a litre jar
        (["nettle", "--weight", "125g"], {"plant_g": 125.0, "sugar_g": 83.333, "jar_ml": 1000.0}),
        (["comfrey", "--weight", "260g"], {"plant_g": 260.0, "sugar_g": 260.0}),
        (["comfrey", "--weight", "260g", "--ratio", "3:2"], {"sugar_g": 173.333}),
        (["--jar", "1L", "--moisture", "dry"], {"plant_g": 125.0, "sugar_g": 83.333}),
        (["nettle", "--sugar", "1kg"], {"plant_g": 1500.0}),
        (["nettle", "--weight", "125g", "--times", "3"], {"sugar_g": 250.0}),
        (["nettle", "--weight", "400g", "--jar", "1L"], {"jars": 3}),
        (["comfrey", "--weight", "260g", "--jar", "2L"], {"jars": 1}),
        (["nettle:100g+comfrey:100g"], {"plant_g": 200.0, "sugar_g": 166.667}),
        (["moss", "--weight", "100g", "--moisture", "juicy"], {"sugar_g": 100.0}),
        (["nettle", "--weight", "4.5oz"], {"plant_g": 127.573}),
    ],
)
def test_mixes(tmp_path, words, figures):
    found = jarside("mix", *words, "--json", data=tmp_path).json
    assert {name: found[name] for name in figures} == pytest.approx(figures)
    assert found["cap_g"] < found["sugar_g"]


@pytest.mark.parametrize(
    ("words", "figures"),
    [
        # common practice: 10 L → 20 mL; 1 US quart → 125 US gallons; 2.5 tbsp in 5 gal is 1 to 512
        (["--ratio", "500", "--water", "10L"], {"ratio": 500.0, "juice_ml": 20.0, "water_ml": 10000.0}),
        (["--juice", "1qt"], {"water_ml": 473176.473}),
        (["--juice", "2.5tbsp", "--water", "5gal"], {"ratio": 512.0}),
        (["--can", "9L", "--ratio", "1 in 500"], {"juice_ml": 18.0, "can_ml": 9000.0}),
        (["--can", "9L", "--ratio", "1 to 500"], {"juice_ml": 17.964}),
        (["--juice", "20mL"], {"water_ml": 10000.0}),
        (["--juice", "20mL", "--water", "5L"], {"ratio": 250.0, "water_to_add_ml": 5000.0}),
        (["--water", "0.5cup"], {"drops": 5}),
    ],
)
def test_dilutions(tmp_path, words, figures):
    found = jarside("dilute", *words, "--json", data=tmp_path).json
    assert {name: found[name] for name in figures} == pytest.approx(figures, rel=1e-4)


def test_a_mix_keeps_the_cautions_of_its_plant_and_warns_of_an_odd_ratio(tmp_path):
    said = jarside("mix", "comfrey", "--weight", "260g", "--ratio", "9:1", "--jar", "2L", data=tmp_path).out
    assert "alkaloids" in said
    assert "! Little sugar" in said
    assert "jars    1 of 2 L (2.11 qt), 69 % full" in said


def test_juice_is_divided_over_cans(tmp_path):
    cans = jarside("dilute", "--water", "25L", "--can", "10L", "--json", data=tmp_path).json["cans"]
    assert cans["full"] == 2
    assert 2 * cans["juice_ml_each"] + cans["last_juice_ml"] == pytest.approx(50.0)
    assert "last" in jarside("dilute", "--water", "25L", "--can", "10L", data=tmp_path).out


def test_amounts_are_shown_in_the_growers_measures(tmp_path):
    (tmp_path / "us.toml").write_text('[units]\namounts = "us"\n', encoding="utf-8")
    said = jarside("mix", "nettle", "--weight", "125g", data=tmp_path, config=tmp_path / "us.toml")
    assert "sugar   2.9 oz (83 g)" in said.out
    assert "sugar   83 g (2.9 oz)" in jarside("mix", "nettle", "--weight", "125g", data=tmp_path).out


@pytest.mark.parametrize(
    ("words", "fragments"),
    [
        (["mix", "nettle"], ["no amount"]),
        (["mix", "netle", "--weight", "5g"], ["netle", "nettle", "plants add"]),
        (["mix", "--weight", "5g"], ["no plant"]),
        (["mix", "nettle", "--weight", "-5g"], ["-5g", "negative"]),
        (["mix", "nettle", "--weight", "0g"], ["0g", "above 0"]),
        (["mix", "nettle", "--weight", "5"], ["'5' has no unit", "125g"]),
        (["mix", "nettle", "--weight", "1L"], ["1L", "volume"]),
        (["mix", "nettle", "--weight", "5g", "--ratio", "0:1"], ["0:1"]),
        (["mix", "nettle", "--weight", "5g", "--sugar", "5g"], ["both"]),
        (["mix", "nettle:5g+clover:5g", "--weight", "5g"], ["--weight"]),
        (["mix", "nettle", "--weight", "5g", "--times", "-1"], ["-1 times"]),
        (["dilute"], ["no amount"]),
        (["dilute", "--water", "10"], ["'10' has no unit", "mL"]),
        (["dilute", "--water", "10L", "--ratio", "0"], ["dilution"]),
        (["pick"], ["place", "lat_deg"]),
        (["pick", "--at", "95,0"], ["95"]),
        (["pick", "--at", "nowhere"], ["nowhere"]),
        (["pick", "--at", "52,4", "--from", "May"], ["'May'", "2026-05-14"]),
        (["plants", "show", "moss"], ["moss"]),
        (["plants", "drop", "nettle"], ["no plant nettle"]),
        (["plants", "add", "a+b", "--moisture", "dry"], ["a+b"]),
        (["jar", "pack", "nettle:5g+clover", "--sugar", "5g"], ["clover has no weight"]),
        (["jar", "pack", "nettle", "--cap", "5g"], ["cap"]),
        (["jar", "pack", "nettle", "--days", "-3", "--kind", "steep"], ["days"]),
        (["jar", "note", "borage"], ["empty"]),
        (["jar", "bottle", "borage", "100mL"], ["working"]),
        (["jar", "judge", "borage", "right"], ["working"]),
        (["bottle", "fill", "gift", "600mL", "--size", "500mL"], ["600", "500"]),
        (["bottle", "fill", " ", "60mL"], ["empty"]),
        (["bottle", "show", "comfrey"], ["comfrey-1-a", "comfrey-1-b"]),
        (["bottle", "show", "dock"], ["no bottle dock", "bottle list"]),
        (["bottle", "use", "comfrey-1-b", "101mL"], ["100 mL (3.38 fl oz) left", "--anyway"]),
        (["bottle", "use", "comfrey-1-b", "5mL", "--at", "2024-01-01"], ["filled at"]),
        (["feed", "give", "comfrey-1-b", "--method", "drench"], ["no amount"]),
        (["feed", "give", "comfrey-1-b", "--method", "drench", "--juice", "101mL"], ["100 mL (3.38 fl oz) left"]),
        (["feed", "give", "none", "--method", "drench", "--can", "5L", "--round", "x"], ["no round x"]),
        (["feed", "give", "none", "--method", "drench", "--can", "5L", "--at", "2999-01-01"], ["future"]),
        (["feed", "round", "--to", "x", "--every", "often"], ["often"]),
        (["feed", "round", "--to", "x", "--every", "10-7"], ["10 to 7"]),
        (["feed", "round"], ["a round of nothing", "--to"]),
        (["feed", "round", "--to", "x", "--first", "soon"], ["soon"]),
        (["feed", "soak", "--minutes", "30", "--most", "20"], ["soak"]),
        (["feed", "skip", "x"], ["no round x"]),
        (["trial", "sow", "beans", "--arm", "soaked:20"], ["two or more arms"]),
        (["trial", "sow", "beans", "--arm", "soaked:0", "--arm", "plain:5"], ["soaked: 0 seeds"]),
        (["trial", "sow", "beans", "--arm", "soaked", "--arm", "plain:5"], ["'soaked' cannot be read"]),
        (["trial", "sow", " ", "--arm", "a:5", "--arm", "b:5"], ["empty"]),
        (["trial", "sow", "beans", "--arm", "a:5", "--arm", "b:5", "--control", "c"], ["no arm c"]),
        (["trial", "show", "beans"], ["no trial beans"]),
        (["trial", "plan", "--points", "0"], ["points"]),
        (["trial", "plan", "--plain", "most"], ["most"]),
        (["label", "dock"], ["no jar or bottle dock"]),
        (["label", "borage", "comfrey-1", "--url", "http://x"], ["--sheet"]),
        (["label", "borage", "--url", "kitchen"], ["kitchen"]),
        (["label", "borage", "--url", "http://x", "--size", "big"], ["big", "63.5x38.1"]),
        (["label", "borage", "--url", "http://x", "--sheet", "a4", "--start", "0"], ["place 0"]),
        (["season", "2024", "--since", "2024-01-01"], ["both"]),
        (["season", "99999"], ["99999"]),
        (["notebook", "export", "x.txt"], ["x.txt", ".csv"]),
        (["notebook", "import", "missing.csv"], ["missing.csv"]),
    ],
)
def test_what_cannot_be_is_refused_in_one_line_and_nothing_is_written(data, words, fragments):
    jarside("notebook", "export", data / "before.json", data=data)
    refused(jarside(*words, data=data), *fragments)
    jarside("notebook", "export", data / "after.json", data=data)
    assert (data / "before.json").read_text() == (data / "after.json").read_text()


def test_more_germinated_than_sown_is_refused(data):
    jarside("trial", "sow", "beans", "--arm", "soaked:20", "--arm", "plain:20", data=data)
    refused(jarside("trial", "count", "beans", "soaked=21", data=data), "21 germinated", "20 were sown")
    refused(jarside("trial", "count", "beans", "soaked=-1", data=data), "-1 germinated")
    refused(jarside("trial", "count", "beans", "soaked;3", data=data), "soaked;3", "soaked=14")
    refused(jarside("trial", "count", "beans", "salt=3", data=data), "salt", "soaked, plain")
    found = jarside("trial", "count", "beans", "s=18", "p=14", "--json", data=data).json
    # Wilson 18 of 20: 0.6990 to 0.9721
    assert found["arms"][0]["share"]["low"] == pytest.approx(0.6990, abs=5e-5)
    assert found["comparisons"][0]["finding"] == "cannot tell"
    assert jarside("trial", "list", "--json", data=data).json == [found]


def test_the_picking_window_of_a_summer_morning_lies_round_sunrise(tmp_path):
    (day,) = jarside("pick", "--at", "52.1,-4.0", "--from", "2026-06-21", "--days", "1", "--json", data=tmp_path).json
    assert day["begins_at"] < day["rise_at"] < day["ends_at"]
    # sunrise at 52.1 N 4.0 W on 21 June is about 03:58 UTC (pvlib, within minutes)
    assert day["rise_at"].startswith("2026-06-21T03:5") or day["rise_at"].startswith("2026-06-21T04:0")


def test_where_the_sun_stays_up_or_down_the_window_says_so(tmp_path):
    told = {"2026-06-21": "is always up", "2026-12-21": "is never up"}
    told["2026-08-24"] = "has been up all night"  # the polar day's last has a sunset and no sunrise: "the sun is rises"
    for date, words in told.items():
        assert words in jarside("pick", "--at", "78.2,15.6", "--from", date, "--days", "1", data=tmp_path).out


def test_ones_own_plant_is_found_by_the_mix(tmp_path):
    assert "No plants of your own" in jarside("plants", "--own", data=tmp_path).out
    jarside("plants", "add", NAME, "--moisture", "juicy", "--caution", "None known.", data=tmp_path)
    assert len(NAME) >= 40
    (own,) = jarside("plants", "--own", "--json", data=tmp_path).json
    assert own["name"] == NAME
    assert jarside("plants", "list", "--own", "--json", data=tmp_path).json == [own]
    assert jarside("plants", "list", data=tmp_path).out == jarside("plants", data=tmp_path).out
    assert jarside("mix", NAME, "--weight", "100g", "--json", data=tmp_path).json["sugar_g"] == 100.0
    words = ("jar", "pack", NAME, "--weight", "100g", "--sugar", "100g", "--jar", "1L", "--json")
    packed = jarside(*words, data=tmp_path).json
    assert (packed["plant"], packed["warnings"]) == (NAME, [])
    label = jarside("label", packed["id"], "--url", "http://x", data=tmp_path).out
    assert "<b>" not in label
    assert "&lt;b&gt;" in label


def test_an_unknown_plant_may_be_packed_with_a_word_of_advice(tmp_path):
    assert "plants add" in " ".join(jarside("jar", "pack", "moss", "--json", data=tmp_path).json["warnings"])


def test_a_bottle_says_what_is_left_and_what_it_could_do_if_closed(data):
    shown = jarside("bottle", "show", "comfrey-1-a", "--json", data=data).json
    assert (shown["left_ml"], shown["volume_ml"], shown["in_store"]) == (300.0, 300.0, True)
    assert shown["pressure_if_closed"]["most_bar"] > shown["pressure_if_closed"]["settled_bar"] > 0.2
    used = jarside("bottle", "use", "comfrey-1-b", "130mL", "--anyway", "--json", data=data).json
    assert (used["left_ml"], used["over_ml"]) == (0.0, 30.0)
    assert [one["id"] for one in jarside("bottle", "list", "--json", data=data).json] == ["comfrey-1-a"]
    both = jarside("bottle", "list", "--all", "--json", data=data).json
    assert [one["id"] for one in both] == ["comfrey-1-a", "comfrey-1-b"]
    emptied = jarside("bottle", "empty", "comfrey-1-a", "--reason", "spilt", "--json", data=data).json
    assert emptied["emptied_at"]


def test_a_jar_of_another_kind_has_its_day(tmp_path):
    words = ("jar", "pack", "eggshell", "--kind", "vinegar", "--days", "12", "--jar", "1L", *PACKED, "--json")
    packed = jarside(*words, data=tmp_path).json
    assert packed["due_at"] == "2024-05-16T06:00:00Z"
    assert packed["warnings"] == []
    assert "due" in jarside("jar", "list", data=tmp_path).out
    assert "after 12 days" in jarside("jar", "show", "eggshell", data=tmp_path).out


def test_what_is_seen_is_kept_with_its_advice(data):
    noted = jarside("jar", "note", "borage", "hm", "--smell", "foul", "--photo", "a b.jpg", "--json", data=data).json
    assert [one["act"] for one in noted["advice"]] == ["discard"]
    (note,) = noted["notes"]
    assert (note["text"], note["seen"]) == ("hm", {"smell": "foul"})
    assert note["photos"] == [str(Path("a b.jpg").absolute())]
    assert "smell foul" in jarside("jar", "show", "borage", data=data).out


def test_rounds_and_feedings_are_listed(data):
    assert "No rounds" in jarside("feed", "due", data=data).out
    assert "No feedings" in jarside("feed", "list", data=data).out
    made = jarside("feed", "round", "--to", "beans", "--first", "2999-01-01", "--json", data=data).json
    assert (made["id"], made["standing"], made["from"], made["until"]) == (
        "beans-1",
        "waiting",
        "2999-01-01",
        "2999-01-04",
    )
    words = ("feed", "round", "--change", "beans", "--every", "5", "--first", "2026-05-01", "--json")
    changed = jarside(*words, data=data).json
    assert changed["standing"] == "late"
    assert (changed["to"], changed["method"]) == ("beans", "leaf spray")
    words = ("feed", "give", "comfrey-1-a", "--method", "leaf-spray", "--can", "5.01L", "--round", "beans", "--json")
    fed = jarside(*words, data=data).json
    assert (fed["juice_ml"], fed["left_ml"], fed["round"]) == (10.0, 290.0, "beans-1")
    assert set(fed["time"]) == {"good", "text"}
    (due,) = jarside("feed", "due", "--json", data=data).json
    assert due["standing"] == "waiting"
    jarside("feed", "stop", "beans", data=data)
    assert jarside("feed", "due", "--json", data=data).json == []
    assert len(jarside("feed", "due", "--all", "--json", data=data).json) == 1
    assert len(jarside("feed", "list", "--json", data=data).json) == 1


def test_labels_of_jars_and_bottles_lead_to_their_pages(data):
    found = jarside("label", "comfrey-1", "comfrey-1-a", "--url", "http://shed.local:8420/", "--json", data=data).json
    assert [one["url"] for one in found] == [
        "http://shed.local:8420/jars/comfrey-1",
        "http://shed.local:8420/bottles/comfrey-1-a",
    ]
    assert all(one["warning"] == "Not for drinking" for one in found)


def test_the_code_leads_to_the_first_name_others_may_ask_for(data):
    (data / "named.toml").write_text('[dashboard]\nallowed_hosts = ["localhost", "shed.local"]\n', encoding="utf-8")
    named = jarside("label", "borage", "--json", data=data, config=data / "named.toml")
    assert named.json[0]["url"] == "http://shed.local:8420/jars/borage-1"
    assert "on this machine only. For a phone: --url" in jarside("label", "borage", "--json", data=data).err


def test_a_label_file_is_not_overwritten_unasked(data):
    words = ("label", "borage", "--url", "http://x", "--out", data / "x.svg")
    assert "Wrote" in jarside(*words, data=data).out
    refused(jarside(*words, data=data), "x.svg", "there already")
    assert jarside(*words, "--force", data=data).code == 0
    assert (data / "x.svg").read_text(encoding="utf-8").startswith("<svg")


def test_the_notebook_goes_out_and_comes_in(data):
    out = jarside("notebook", "export", data / "n.csv", "--json", data=data).json
    found = jarside("notebook", "import", data / "n.csv", "--json", data=data / "other").json
    assert (found["added"], found["known"]) == (out["entries"], 0)
    jars = [jarside("jar", "list", "--all", "--json", data=folder).out for folder in (data, data / "other")]
    assert json.loads(jars[0]) == json.loads(jars[1])


def completed(data, *words):
    *before, incomplete = words
    args = ["--data", str(data), *before]
    return [
        item.value for item in ShellComplete(cli, {}, "jarside", "_JARSIDE_COMPLETE").get_completions(args, incomplete)
    ]


def test_ids_complete_in_the_shell(data):
    assert completed(data, "jar", "show", "com") == ["comfrey-1"]
    assert completed(data, "bottle", "show", "") == ["comfrey-1-a", "comfrey-1-b"]
    assert completed(data, "label", "b") == ["borage-1"]
    assert completed(data / "empty", "jar", "show", "") == []
    assert not (data / "empty").exists()


def test_soaking_seeds_are_taken_out_and_an_exported_notebook_knows_it(tmp_path):
    said = ("--juice", "0.2mL", "--water", "100mL", "--at", "2026-05-14T07:00")
    jarside("feed", "give", "none", "--method", "seed-soak", *said, data=tmp_path)
    out = jarside("feed", "out", "feed-1", "--at", "2026-05-14T07:30", "--json", data=tmp_path).json
    jarside("notebook", "export", tmp_path / "notes.json", data=tmp_path)
    jarside("notebook", "import", tmp_path / "notes.json", data=tmp_path / "other")

    (found,) = jarside("feed", "list", "--json", data=tmp_path / "other").json
    assert found == out
    assert found["until_at"] is not None
    refused(jarside("feed", "out", "feed-1", data=tmp_path), "feed-1", "were taken out at")


def test_dishes_are_counted_as_they_were_sown_and_a_count_is_taken_back(data):
    jarside(
        "trial", "sow", "beans", "--arm", "1:500:25,25", "--arm", "plain:20", "--at", "2026-05-04T08:00Z", data=data
    )
    count = ("trial", "count", "beans-1")
    jarside(*count, "1:500:5,6", "plain:4", "--at", "2026-05-08T08:00Z", data=data)
    high = jarside(*count, "1:500:9,24", "plain=6", "--at", "2026-05-09T08:00Z", "--json", data=data).json
    assert [arm["germinated"] for arm in high["arms"]] == [33, 6]
    refused(jarside(*count, "1:500:9,8", data=data), "8 germinated", "trial count beans-1 --take-back")
    said = jarside(*count, "--take-back", data=data).out
    assert "Took back the count of" in said.splitlines()[0]
    assert "1:500/1 9, 1:500/2 24, plain 6" in said.splitlines()[0]
    found = jarside(*count, "1:500:9,8", "plain:6", "--at", "2026-05-09T08:00Z", "--json", data=data).json
    assert [arm["germinated"] for arm in found["arms"]] == [17, 6]


def test_a_count_of_other_than_all_dishes_or_beside_a_take_back_is_refused(data):
    jarside("trial", "sow", "beans", "--arm", "soaked:25,25", "--arm", "plain:20", data=data)
    count = ("trial", "count", "beans-1")
    refused(jarside(*count, "soaked:5", data=data), "soaked has 2 dishes", "soaked/1=5", "soaked:25,25")
    refused(jarside(*count, "soaked/1:5,6", data=data), "soaked has 2 dishes")
    refused(jarside(*count, "plain:5,6", data=data), "plain has 1 dish.")
    refused(jarside(*count, "--take-back", data=data), "beans-1 has no count")
    refused(jarside(*count, "plain=5", "--take-back", data=data), "beside a new count")
    assert jarside(*count, data=data).code == 2


def test_a_feeding_is_taken_back_and_its_juice_returns(data):
    give = ("feed", "give", "comfrey-1-a", "--method", "drench", "--to", "roses")
    before = jarside("bottle", "list", "--json", data=data).json
    jarside(*give, "--juice", "100mL", "--water", "10L", data=data)
    said = jarside("feed", "take-back", "feed-1", data=data).out
    assert said.startswith("Took back feed-1")
    assert "comfrey-1-a has 300 mL" in said
    assert jarside("bottle", "list", "--json", data=data).json == before
    assert "No feedings" in jarside("feed", "list", data=data).out
    refused(jarside("feed", "take-back", "feed-1", data=data), "feed-1 was taken back", "jarside feed list")
    jarside("feed", "give", "none", "--method", "drench", "--juice", "1mL", "--water", "1L", data=data)
    assert jarside("feed", "take-back", "feed-2", "--json", data=data).json["juice_ml"] == 1.0


def test_more_juice_than_a_jar_holds_is_refused_and_more_than_went_in_is_warned_of(tmp_path):
    jarside("jar", "pack", "nettle", "--weight", "125g", "--sugar", "125g", *PACKED, data=tmp_path)
    jarside("jar", "strain", "nettle-1", "--at", "2024-05-10T19:00Z", data=tmp_path)
    collect = ("jar", "bottle", "nettle-1", "--at", "2024-05-11T07:00Z")
    refused(jarside(*collect, "5000mL", data=tmp_path), "5 L", "which holds 1 L", "--anyway")
    assert "! 400 mL" in jarside(*collect, "400mL", data=tmp_path).out
    assert "plant and sugar that went in" in jarside("jar", "show", "nettle-1", data=tmp_path).out


def test_more_juice_than_a_jar_was_said_to_hold_may_be_meant(data):
    jarside("jar", "strain", "borage-1", "--at", "2024-05-10T19:00Z", data=data)
    said = jarside("jar", "bottle", "borage-1", "1.2L", "--at", "2024-05-11T07:00Z", "--anyway", data=data)
    assert said.code == 0, said.err
    assert "!" not in said.out.splitlines()[0]
