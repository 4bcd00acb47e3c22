"""`jarside need`, and what `jar show` says of a jar whose warmth is not known."""

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from station.cli.init_command import TEMPLATE
from station.config import Settings, StrainSettings
from station.domain.jars import Judgement
from station.domain.observations import Juice
from station.domain.readiness import LOG_SD
from station.domain.readings import Reading
from station.store.notebook import Notebook
from tests.builders import START
from tests.cli.shell import a_log, jarside, refused
from tests.daemon.kitchen import Kitchen
from tests.daemon.world import a_stand


@pytest.fixture
def data(tmp_path: Path) -> Path:
    """A shelf on which three jars of comfrey were strained after six days and judged too early; one more stands."""
    kitchen = Kitchen(tmp_path)
    jars = [kitchen.packs("comfrey") for _ in range(3)]
    kitchen.lives(6.0)
    for jar in jars:
        kitchen.strains(jar, Judgement.TOO_EARLY)
    kitchen.packs("yarrow")
    kitchen.lives(0.1)
    kitchen.ends()
    return tmp_path


def need_of(data: Path, plant: str) -> float:
    return float(jarside("need", "show", plant, "--json", data=data).json["warm_days"])


def test_a_need_says_where_it_comes_from(data: Path) -> None:
    shown = jarside("need", "show", "comfrey", data=data).out
    assert shown.startswith("comfrey: from 3 of your comfrey jars: ")
    assert "warm-days, give or take 0." in shown.splitlines()[0]
    assert "comfrey-2        strained Sun 10 May, at 6.0 warm-days, too early" in shown
    listed = jarside("need", "list", data=data).out.splitlines()
    assert [line.split()[0] for line in listed] == ["comfrey", "yarrow"]
    assert "no yarrow jar judged yet; from 3 jars of other plants" in listed[1]


def test_programs_read_the_same_as_people(data: Path) -> None:
    comfrey, yarrow = jarside("need", "list", "--json", data=data).json
    assert comfrey == jarside("need", "show", "comfrey", "--json", data=data).json
    assert (comfrey["own_jars"], comfrey["other_jars"], yarrow["own_jars"], yarrow["other_jars"]) == (3, 0, 0, 3)
    assert comfrey["warm_days"] > yarrow["warm_days"] > 5.5
    assert [jar["judgement"] for jar in comfrey["jars"]] == ["too early"] * 3
    low, likely, high = (comfrey["next_jar"][name] for name in ("low", "likely", "high"))
    assert low < likely < high
    assert f"{comfrey['warm_days']:.1f} warm-days" in comfrey["text"]


def test_the_station_and_the_shell_believe_the_same(data: Path) -> None:
    outlook = jarside("jar", "show", "yarrow-1", "--json", data=data).json["outlook"]
    shown = jarside("need", "show", "yarrow", "--json", data=data).json
    assert shown["next_jar"]["likely"] == pytest.approx(outlook["need"], rel=1e-3)


def test_a_withdrawn_judgement_counts_no_more(data: Path) -> None:
    for number in (1, 2, 3):
        jarside("jar", "judge", f"comfrey-{number}", "none", data=data)
    assert need_of(data, "comfrey") == pytest.approx(5.5, rel=1e-3)
    assert "no jar judged yet" in jarside("need", "show", "comfrey", data=data).out


def test_judging_a_jar_says_what_was_learned(data: Path) -> None:
    out = jarside("jar", "judge", "comfrey-1", "right", data=data).out
    assert out.splitlines()[0] == "Judged comfrey-1: right."
    assert out.splitlines()[1].startswith("comfrey: from 3 of your comfrey jars: ")
    jarside("jar", "pack", "eggshell", "--kind", "vinegar", "--at", "2026-05-01T06:00Z", data=data)
    jarside("jar", "strain", "eggshell-1", data=data)
    assert jarside("jar", "judge", "eggshell-1", "right", data=data).out == "Judged eggshell-1: right.\n"


def test_a_need_is_set_by_hand_and_reset(data: Path) -> None:
    said = jarside("need", "set", "Comfrey", "4.5", data=data).out
    assert "Set comfrey to 4.5 warm-days." in said
    assert need_of(data, "comfrey") == pytest.approx(4.5, rel=2e-3)
    assert "judged before you set the need" in jarside("need", "show", "comfrey", data=data).out
    jarside("need", "reset", "comfrey", data=data)
    shown = jarside("need", "show", "comfrey", "--json", data=data).json
    assert shown["warm_days"] == pytest.approx(5.5, rel=1e-3)
    assert shown["set"] is None
    assert {jar["left_out"] for jar in shown["jars"]} == {"judged before the reset"}
    assert need_of(data, "yarrow") == pytest.approx(5.5, rel=1e-3)


def test_everything_can_be_forgotten_at_once(data: Path) -> None:
    assert "every plant" in jarside("need", "reset", data=data).out
    assert {one["own_jars"] + one["other_jars"] for one in jarside("need", "list", "--json", data=data).json} == {0}
    assert jarside("jar", "show", "comfrey-1", "--json", data=data).json["judgement"] == "too early"


def test_a_reset_can_be_taken_back(data: Path) -> None:
    learned = jarside("need", "show", "comfrey", "--json", data=data).json
    for words in (["comfrey"], []):
        jarside("need", "reset", *words, data=data)
        assert need_of(data, "comfrey") == pytest.approx(5.5, rel=1e-3)
        out = jarside("need", "reset", *words, "--take-back", data=data).out
        assert out.startswith(f"Took back the reset of {words[0] if words else 'every plant'} of ")
        assert jarside("need", "show", "comfrey", "--json", data=data).json == learned
    refused(jarside("need", "reset", "comfrey", "--take-back", data=data), "no reset of comfrey", "need reset --take-b")
    refused(jarside("need", "reset", "--take-back", data=data), "no reset of every plant", "need reset PLANT --take-b")


def test_a_reset_and_its_taking_back_go_out_and_in(data: Path, tmp_path: Path) -> None:
    jarside("need", "set", "borage", "6.5", data=data)
    jarside("need", "reset", "borage", data=data)
    jarside("need", "reset", "borage", "--take-back", data=data)
    for name in ("all.csv", "all.json"):
        jarside("notebook", "export", tmp_path / name, data=data)
        other = tmp_path / name.replace(".", "-")
        jarside("notebook", "import", tmp_path / name, data=other)
        assert need_of(other, "borage") == pytest.approx(6.5, rel=2e-3)


def test_needs_go_out_and_in_with_the_notebook(data: Path, tmp_path: Path) -> None:
    jarside("need", "set", "borage", "6.5", data=data)
    jarside("notebook", "export", tmp_path / "all.csv", data=data)
    other = tmp_path / "other"
    jarside("notebook", "import", tmp_path / "all.csv", data=other)
    assert need_of(other, "borage") == pytest.approx(6.5, rel=2e-3)


def test_without_jars_there_is_nothing_to_list(tmp_path: Path) -> None:
    assert "No jars yet" in jarside("need", "list", data=tmp_path).out
    assert jarside("need", "list", "--json", data=tmp_path).json == []


@pytest.mark.parametrize(
    ("words", "fragments"),
    [
        (["need", "set", "comfrey", "40"], ["40 warm-days", "2 to 15"]),
        (["need", "set", "comfrey", "nan"], ["nan", "2 to 15"]),
        (["need", "set", "comfry", "5"], ["comfry", "Did you mean comfrey"]),
        (["need", "show", "comfry"], ["comfry", "comfrey"]),
        (["need", "reset", "comfry"], ["comfry", "comfrey"]),
    ],
)
def test_what_cannot_be_is_refused_in_one_line(tmp_path: Path, words: list[str], fragments: list[str]) -> None:
    refused(jarside(*words, data=tmp_path), *fragments)


def test_a_jar_that_is_not_strained_cannot_be_judged(tmp_path: Path) -> None:
    jarside("jar", "pack", "comfrey", "--at", "2026-05-04T06:00Z", data=tmp_path)
    refused(
        jarside("jar", "judge", "comfrey-1", "right", data=tmp_path),
        "jar comfrey-1 is working and cannot be judged",
        "jarside jar strain comfrey-1",
    )


def test_a_jar_without_any_readings_has_no_warmth_and_no_date(tmp_path: Path) -> None:
    stand = a_stand(tmp_path)
    with Notebook.open(tmp_path / "notebook.db") as grower:
        grower.pack("comfrey", START, 1000.0, now_at=START)
    for minute in range(0, 600, 10):
        at = START + timedelta(minutes=minute)
        stand.station.take(Reading(at, "boot", 60.0 * minute, missed=6, span_s=600.0))
    stand.end()
    shown = jarside("jar", "show", "comfrey-1", data=tmp_path).out
    assert "  warmth    no readings since packing: warmth unknown\n" in shown
    assert "ready  " not in shown
    assert "strain  " not in shown
    assert "  look      Look at comfrey-1 yourself: nothing was measured; by the calendar it is about ready" in shown
    listed = jarside("jar", "list", data=tmp_path).out
    assert "no readings since packing: warmth unknown" in listed
    assert "! look at it yourself" in listed
    outlook = jarside("jar", "show", "comfrey-1", "--json", data=tmp_path).json["outlook"]
    assert (outlook["warm_days"], outlook["strain_evening"]) == (None, None)
    assert set(outlook["ready"].values()) == {None}


def test_a_judged_jar_without_readings_is_named_and_not_counted(tmp_path: Path) -> None:
    stand = a_stand(tmp_path)
    with Notebook.open(tmp_path / "notebook.db") as grower:
        grower.pack("comfrey", START - timedelta(days=9), 1000.0, now_at=START)
    jarside("jar", "strain", "comfrey-1", "--judge", "right", "--at", "2026-05-03T19:00Z", data=tmp_path)
    stand.live(2).end()
    shown = jarside("need", "show", "comfrey", data=tmp_path).out
    assert "no jar judged yet" in shown
    assert "right; not counted: no readings since packing: warmth unknown" in shown


def test_a_log_shorter_than_a_day_is_said_with_the_date(tmp_path: Path) -> None:
    stand = a_stand(tmp_path)
    with Notebook.open(tmp_path / "notebook.db") as grower:
        grower.pack("comfrey", START, 1000.0, now_at=START)
    stand.live(200).end()
    caveats = jarside("jar", "show", "comfrey-1", "--json", data=tmp_path).json["outlook"]["caveats"]
    assert any("log" in caveat for caveat in caveats)
    assert any(caveat in jarside("jar", "show", "comfrey-1", data=tmp_path).out for caveat in caveats)


def test_a_log_file_shorter_than_a_day_gets_no_backtest_and_no_verdict(tmp_path: Path) -> None:
    times = [START + timedelta(minutes=10 * number) for number in range(60)]
    log = a_log(tmp_path, *(f"{at.isoformat()},20,50," for at in times))
    refused(jarside("backtest", log), "no jar becomes ready", "longer")
    assert "Not enough to judge by" in jarside("survey", log).out


@pytest.mark.parametrize(
    ("line", "fragments"),
    [
        ("need_warm_days = 1.5", ["strain.need_warm_days", "1.5", "2"]),
        ("need_log_sd = 0.9", ["strain.need_log_sd", "0.9", "0.5"]),
        ("base_c = 2", ["strain.base_c", "2", "4"]),
        ("base_c = 12.5", ["strain.base_c", "12.5", "10"]),
        ('base_c = "cold"', ["strain.base_c", "cold"]),
    ],
)
def test_a_need_or_base_out_of_bounds_in_the_settings_is_refused(
    tmp_path: Path, line: str, fragments: list[str]
) -> None:
    config = tmp_path / "jarside.toml"
    config.write_text(f"[strain]\n{line}\n", encoding="utf-8")
    refused(jarside("need", "list", config=config, data=tmp_path), str(config), *fragments)


def test_the_settings_begin_with_the_spread_that_the_domain_believes_and_the_template_says_so() -> None:
    assert Settings().strain.need_log_sd == LOG_SD
    said = {
        name: float(value)
        for name, value in (
            line.removeprefix("# ").split(" = ")
            for line in TEMPLATE.splitlines()
            if line.startswith("# ") and " = " in line
        )
        if name in ("need_warm_days", "need_log_sd", "base_c")
    }
    assert said == {name: getattr(StrainSettings(), name) for name in said}
    assert len(said) == 3


def test_a_fresh_jar_asks_for_its_first_juice_until_a_note_answers(tmp_path: Path) -> None:
    packed_at = (datetime.now(UTC) - timedelta(hours=13)).isoformat(timespec="minutes")
    jarside("jar", "pack", "comfrey", "--at", packed_at, data=tmp_path)
    shown = jarside("jar", "show", "comfrey-1", data=tmp_path).out
    assert "  juice     the first is expected by " in shown
    assert "By now juice should be showing: is it? Say so: jarside jar note comfrey-1 --juice some (or none)" in shown
    asked = jarside("jar", "show", "comfrey-1", "--json", data=tmp_path).json["first_signs"]
    assert asked["question"]["sign"] == "juice"
    noted = jarside("jar", "note", "comfrey-1", "--juice", str(Juice.NONE), "--json", data=tmp_path).json
    assert noted["notes"][0]["seen"] == {"juice": "none"}
    assert "By now juice" not in jarside("jar", "show", "comfrey-1", data=tmp_path).out


def test_a_jar_strained_after_an_hour_by_mistake_teaches_nothing_and_says_so(tmp_path: Path) -> None:
    kitchen = Kitchen(tmp_path)
    jar = kitchen.packs("nettle")
    kitchen.lives(0.05)
    kitchen.strains(jar, Judgement.RIGHT)
    kitchen.lives(0.05)
    kitchen.ends()
    shown = jarside("need", "show", "nettle", data=tmp_path).out
    assert "nettle: no jar judged yet; as is usual: 5.5 warm-days" in shown
    assert "right; not counted: too far from what any plant needs, 1 to 30 warm-days" in shown
    assert "judged    right; not counted: too far" in jarside("jar", "show", jar.id, data=tmp_path).out
    assert "It is not counted: too far" in jarside("jar", "judge", jar.id, "too-early", data=tmp_path).out


def season_of(folder: Path) -> dict[str, Any]:
    (plant,) = jarside("season", "2026", "--json", data=folder).json["plants"]
    return dict(plant)


def test_a_season_s_mean_warmth_leaves_out_a_jar_of_which_nothing_was_measured(tmp_path: Path) -> None:
    """It counted as 0 warm-days, and one such jar beside one of 5 made a mean of 2.5."""
    stand = a_stand(tmp_path)
    with Notebook.open(tmp_path / "notebook.db") as grower:
        grower.pack("comfrey", START - timedelta(days=9), 1000.0, now_at=START)
    jarside("jar", "strain", "comfrey-1", "--judge", "right", "--at", "2026-05-03T19:00Z", data=tmp_path)
    stand.live(2).end()
    assert season_of(tmp_path)["strained"] == 1
    assert season_of(tmp_path)["mean_warm_days"] is None


def test_a_season_s_warmth_ends_with_the_straining_though_it_was_written_down_late(tmp_path: Path) -> None:
    stand = a_stand(tmp_path)
    with Notebook.open(tmp_path / "notebook.db") as grower:
        grower.pack("comfrey", START, 1000.0, now_at=START)
    stand.live(720).end()
    strained_at = (START + timedelta(hours=6)).isoformat()
    jarside("jar", "strain", "comfrey-1", "--at", strained_at, data=tmp_path)
    # 6 of the 12 hours at 20 °C: a quarter of a warm-day.
    assert season_of(tmp_path)["mean_warm_days"] == pytest.approx(0.25, abs=0.005)
