"""Bottles, feedings, rounds, trials and own plants in the notebook."""

import sqlite3
import subprocess
import sys

import pytest

from station.domain.bottling import Drawn, Emptied, Filled, Moved
from station.domain.feeding import Method, TakenOut
from station.domain.jars import Judged, Judgement
from station.domain.plants import Moisture, own_plant
from station.domain.rounds import RoundSet, Skipped, Stopped
from station.domain.storage import Storage
from station.domain.trials import Arm, Counted, CountTakenBack, Ended, Sown
from station.errors import NotebookError, StoreError
from station.store.bottles import Bottles, Fill
from station.store.feedings import Feedings
from station.store.own_plants import OwnPlants
from station.store.rounds import Rounds
from station.store.trials import Trials
from tests.store.garden import NOW, a_bottled_jar, a_feeding, a_notebook, a_strained_jar, day


@pytest.fixture
def notebook(tmp_path):
    with a_notebook(tmp_path) as opened:
        yield opened


def form(name):
    """The token of one form."""
    return f"form-{name}"


def sown(**changes):
    arms = (Arm("soaked", (20,)), Arm("plain", (20,)))
    return Sown("", day(8), "runner beans", arms, "plain", **changes)


def test_a_jar_is_collected_and_bottled_in_one_go(notebook):
    a_bottled_jar(notebook, 200.0, 100.0)
    assert notebook.jar("comfrey-1").juice_ml == 300.0
    assert [(one.id, one.left_ml, one.jar_id) for one in Bottles(notebook).bottles()] == [
        ("comfrey-1-a", 200.0, "comfrey-1"),
        ("comfrey-1-b", 100.0, "comfrey-1"),
    ]


def test_when_one_bottle_cannot_be_nothing_is_written(notebook):
    jar_id = a_strained_jar(notebook)
    with pytest.raises(NotebookError, match=r"300 mL .* in a bottle of 250 mL"):
        Bottles(notebook).bottle_jar(jar_id, [Fill(100.0), Fill(300.0, 250.0)], day(6.5), now_at=NOW)
    assert notebook.jar(jar_id).bottled_at is None
    assert Bottles(notebook).bottles() == ()


def test_a_jar_still_at_work_cannot_be_bottled(notebook):
    notebook.pack("comfrey", day(0), 1000.0, now_at=NOW)
    with pytest.raises(NotebookError, match="cannot be bottled"):
        Bottles(notebook).bottle_jar("comfrey-1", [Fill(100.0)], day(6.5), now_at=NOW)


def test_juice_may_be_collected_without_a_bottle(notebook):
    jar_id = a_strained_jar(notebook)
    assert Bottles(notebook).bottle_jar(jar_id, [], day(6.5), now_at=NOW, juice_ml=310.0) == ()
    assert notebook.jar(jar_id).juice_ml == 310.0


def test_a_form_sent_twice_fills_one_bottle(notebook):
    jar_id = a_strained_jar(notebook)
    bottles = Bottles(notebook)
    first = bottles.bottle_jar(jar_id, [Fill(100.0), Fill(90.0)], day(6.5), now_at=NOW, token=form("t1"))
    assert bottles.bottle_jar(jar_id, [Fill(100.0), Fill(90.0)], day(6.5), now_at=NOW, token=form("t1")) == first
    model = Filled("", day(7), "", "gift", 0.0)
    gift = bottles.fill([Fill(50.0)], model, now_at=NOW, token=form("t2"))
    assert bottles.fill([Fill(50.0)], model, now_at=NOW, token=form("t2")) == gift
    assert [one.id for one in bottles.bottles()] == ["comfrey-1-a", "comfrey-1-b", "gift-a"]


def test_after_z_comes_aa(notebook):
    model = Filled("", day(7), "", "gift", 0.0)
    made = Bottles(notebook).fill([Fill(50.0)] * 28, model, now_at=NOW)
    assert [one.id for one in made[24:]] == ["gift-y", "gift-z", "gift-aa", "gift-ab"]


def test_a_bottle_is_found_by_its_beginning_while_one_fits(notebook):
    a_bottled_jar(notebook, 200.0)
    bottles = Bottles(notebook)
    assert bottles.bottle("comf").id == "comfrey-1-a"
    bottles.fill([Fill(10.0)], Filled("", day(7), "comfrey-1", "comfrey", 0.0), now_at=NOW)
    with pytest.raises(NotebookError, match="could be comfrey-1-a, comfrey-1-b"):
        bottles.bottle("comfrey")
    with pytest.raises(NotebookError, match="there is no bottle dock"):
        bottles.bottle("dock")


def test_bottles_are_moved_and_emptied(notebook):
    a_bottled_jar(notebook)
    bottles = Bottles(notebook)
    moved = bottles.record(Moved("comfrey-1-a", day(7), Storage.ROOM), now_at=NOW)
    assert moved.storage is Storage.ROOM
    for _ in range(2):
        gone = bottles.record(Emptied("comfrey-1-a", day(8), "spilt"), now_at=NOW, token=form("t"))
    assert not gone.in_store
    with pytest.raises(NotebookError, match="is empty"):
        bottles.record(Drawn("comfrey-1-a", day(9), 1.0), now_at=NOW)
    with pytest.raises(NotebookError, match="filled already"):
        bottles.record(Filled("comfrey-1-a", day(9), "", "x", 1.0), now_at=NOW)


@pytest.mark.parametrize("volume_ml", [0.0, -5.0, float("nan"), float("inf")])
def test_a_draw_that_cannot_be_is_refused(notebook, volume_ml):
    a_bottled_jar(notebook)
    with pytest.raises(NotebookError, match="above 0"):
        Bottles(notebook).record(Drawn("comfrey-1-a", day(7), volume_ml), now_at=NOW)


def test_nothing_happens_in_the_future_or_before_the_filling(notebook):
    a_bottled_jar(notebook)
    with pytest.raises(NotebookError, match="in the future"):
        Bottles(notebook).record(Drawn("comfrey-1-a", day(31), 1.0), now_at=NOW)
    with pytest.raises(NotebookError, match="was filled at"):
        Feedings(notebook).feed(a_feeding(at=day(1)), now_at=NOW)
    assert Feedings(notebook).feedings() == ()


def test_a_feeding_draws_from_its_bottle(notebook):
    a_bottled_jar(notebook)
    fed = Feedings(notebook).feed(a_feeding(bottle_id="comf"), now_at=NOW)
    assert (fed.feeding_id, fed.bottle_id) == ("feed-1", "comfrey-1-a")
    assert Bottles(notebook).bottle("comfrey-1-a").left_ml == 180.0


def test_a_feeding_of_more_than_is_left_is_refused_whole(notebook):
    a_bottled_jar(notebook)
    feedings = Feedings(notebook)
    with pytest.raises(NotebookError, match=r"200 mL .* left"):
        feedings.feed(a_feeding(juice_ml=250.0), now_at=NOW)
    assert feedings.feedings() == ()
    feedings.feed(a_feeding(juice_ml=250.0), now_at=NOW, anyway=True)
    bottle = Bottles(notebook).bottle("comfrey-1-a")
    assert (bottle.left_ml, bottle.over_ml) == (0.0, 50.0)


def test_a_feeding_sent_twice_is_one_feeding(notebook):
    a_bottled_jar(notebook)
    feedings = Feedings(notebook)
    assert feedings.feed(a_feeding(), now_at=NOW, token=form("t")) == feedings.feed(
        a_feeding(), now_at=NOW, token=form("t")
    )
    assert Bottles(notebook).bottle("comfrey-1-a").left_ml == 180.0


_FEED = """
import sys
from pathlib import Path
from tests.store.garden import NOW, a_feeding, a_notebook
from station.errors import NotebookError, StoreError
from station.store.feedings import Feedings

with a_notebook(Path(sys.argv[1])) as notebook:
    print("ready", flush=True)
    sys.stdin.readline()
    tried = fed = 0
    while tried < 10:
        try:
            Feedings(notebook).feed(a_feeding(juice_ml=14.0), now_at=NOW)
            fed += 1
        except NotebookError:
            pass
        except StoreError as error:  # a slow disk and a busy neighbour: nobody has a turn by right
            assert error.__cause__.sqlite_errorname == "SQLITE_BUSY"
            continue
        tried += 1
    print(fed)
"""


def test_a_bottle_fed_from_two_processes_at_once_never_gives_more_than_it_holds(tmp_path):
    with a_notebook(tmp_path) as notebook:
        a_bottled_jar(notebook, 200.0)
    feeders = [
        subprocess.Popen(
            [sys.executable, "-c", _FEED, str(tmp_path)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        for _ in range(2)
    ]
    for feeder in feeders:
        assert feeder.stdout.readline() == "ready\n"
    for feeder in feeders:
        feeder.stdin.write("go\n")
        feeder.stdin.flush()
    fed = [int(feeder.communicate(timeout=60)[0]) for feeder in feeders]
    assert sum(fed) == 14  # 200 mL give 14 times 14 mL, whoever draws them
    assert min(fed) >= 4  # one alone can have had no more than its ten
    with a_notebook(tmp_path) as notebook:
        bottle = Bottles(notebook).bottle("comfrey-1-a")
        assert (bottle.left_ml, bottle.over_ml) == (pytest.approx(4.0), 0.0)
        assert len({one.feeding_id for one in Feedings(notebook).feedings()}) == 14


def test_rounds_are_set_skipped_done_and_stopped(notebook):
    a_bottled_jar(notebook)
    rounds = Rounds(notebook)
    made = rounds.set_up(RoundSet("", day(7), Method.LEAF_SPRAY, "Runner beans"), now_at=NOW, token=form("r"))
    assert rounds.set_up(RoundSet("", day(7), Method.LEAF_SPRAY, "Runner beans"), now_at=NOW, token=form("r")) == made
    assert made.id == "runner-beans-1"
    Feedings(notebook).feed(a_feeding(round_id="runner"), now_at=NOW)
    rounds.record(Skipped("runner-beans-1", day(15), "rain"), now_at=NOW)
    changed = rounds.set_up(RoundSet("runner", day(16), Method.DRENCH, "Runner beans", 3, 5), now_at=NOW)
    assert (changed.id, changed.rule.least_days) == ("runner-beans-1", 3)
    rounds.record(Stopped(rounds.name_of("run"), day(20)), now_at=NOW)
    (found,) = rounds.rounds(Feedings(notebook).feedings())
    assert (found.done_at, found.skipped_at, found.stopped_at) == ((day(8),), (day(15),), day(20))
    with pytest.raises(NotebookError, match="not running"):
        rounds.record(Skipped("runner-beans-1", day(21)), now_at=NOW)
    with pytest.raises(NotebookError, match="no round"):
        Feedings(notebook).feed(a_feeding(round_id="tomatoes"), now_at=NOW)


def test_a_trial_is_sown_counted_and_ended(notebook):
    a_bottled_jar(notebook)
    trials = Trials(notebook)
    made = trials.sow(sown(bottle_id="comf"), now_at=NOW, token=form("t"))
    assert trials.sow(sown(bottle_id="comf"), now_at=NOW, token=form("t")) == made
    assert (made.id, made.bottle_id) == ("runner-beans-1", "comfrey-1-a")
    counts = [Counted(made.id, day(12), "s", 15), Counted(made.id, day(12), "p", 11)]
    for _ in range(2):
        found = trials.record(*counts, now_at=NOW, token=form("c"))
    assert {one.arm: one.germinated for one in found.counts} == {"soaked": 15, "plain": 11}
    assert trials.record(Ended(made.id, day(20)), now_at=NOW).ended_at == day(20)
    assert trials.trial("runner").ended_at == day(20)
    assert [one.id for one in trials.trials()] == ["runner-beans-1"]


def test_of_counts_that_do_not_all_fit_none_is_written(notebook):
    trials = Trials(notebook)
    made = trials.sow(sown(), now_at=NOW)
    with pytest.raises(NotebookError, match="where 20 were sown"):
        trials.record(Counted(made.id, day(12), "soaked", 15), Counted(made.id, day(12), "plain", 21), now_at=NOW)
    assert trials.trial(made.id).counts == ()


def test_own_plants_come_and_go(notebook):
    plants = OwnPlants(notebook)
    name = '<b>Lemon balm</b> & "mint" 🌿👩‍🌾 № 7'
    plants.add(own_plant(name, Moisture.DRY), now_at=day(1))
    plants.add(own_plant(name, Moisture.JUICY), now_at=day(2))
    (only,) = plants.plants()
    assert (only.name, only.moisture, only.own) == (name, Moisture.JUICY, True)
    plants.drop("<b>lemon", now_at=day(3))
    assert plants.plants() == ()
    with pytest.raises(NotebookError, match="there is no plant moss"):
        plants.drop("moss", now_at=day(4))


def test_a_disk_that_fails_while_feeding_leaves_stock_and_feedings_alone(notebook):
    a_bottled_jar(notebook)
    with notebook.writing() as connection:
        connection.execute(
            "CREATE TRIGGER broken BEFORE INSERT ON records WHEN new.kind = 'drawn'"
            " BEGIN SELECT raise(ABORT, 'broken'); END"
        )
    with pytest.raises(StoreError):
        Feedings(notebook).feed(a_feeding(), now_at=NOW)
    assert Feedings(notebook).feedings() == ()
    assert Bottles(notebook).bottle("comfrey-1-a").left_ml == 200.0


def test_a_notebook_of_the_first_format_is_brought_up_to_date(tmp_path):
    with a_notebook(tmp_path) as notebook:
        a_strained_jar(notebook)
    with sqlite3.connect(tmp_path / "notebook.db") as old:
        old.execute("DROP TABLE records")
        old.execute("DROP TABLE way_tests")
        old.execute("PRAGMA user_version = 1")
    old.close()
    with a_notebook(tmp_path) as notebook:
        assert Bottles(notebook).bottles() == ()
        assert notebook.jar("comfrey-1").strained_at == day(6)


def test_of_two_changes_within_one_second_the_second_counts(notebook):
    jar_id = a_strained_jar(notebook)
    notebook.record(Judged(jar_id, day(7), Judgement.TOO_LATE), now_at=NOW)
    assert notebook.record(Judged(jar_id, day(7), Judgement.RIGHT), now_at=NOW).judgement is Judgement.RIGHT
    rounds = Rounds(notebook)
    made = rounds.set_up(RoundSet("", day(7), Method.DRENCH, "beans", 9, 9), now_at=NOW)
    assert rounds.set_up(RoundSet(made.id, day(7), Method.DRENCH, "beans", 5, 5), now_at=NOW).rule.least_days == 5
    assert rounds.record(Stopped(made.id, day(7)), now_at=NOW).stopped_at is not None
    plants = OwnPlants(notebook)
    plants.add(own_plant("moss", Moisture.DRY), now_at=NOW)
    plants.drop("moss", now_at=NOW)
    assert plants.plants() == ()
    plants.add(own_plant("moss", Moisture.JUICY), now_at=NOW)
    assert [one.moisture for one in plants.plants()] == [Moisture.JUICY]


def test_a_count_typed_too_high_is_taken_back_and_made_anew(notebook):
    trials = Trials(notebook)
    made = trials.sow(sown(), now_at=NOW)
    trials.record(Counted(made.id, day(10), "soaked", 3), now_at=NOW)
    trials.record(Counted(made.id, day(12), "soaked", 19), Counted(made.id, day(12), "plain", 5), now_at=NOW)
    with pytest.raises(NotebookError, match="--take-back"):
        trials.record(Counted(made.id, day(13), "soaked", 9), now_at=NOW)
    for _ in range(2):
        found = trials.record(CountTakenBack(made.id, day(13), day(12)), now_at=NOW, token=form("b"))
    assert [(one.arm, one.germinated) for one in found.counts] == [("soaked", 3)]
    with pytest.raises(NotebookError, match="has no count of"):
        trials.record(CountTakenBack(made.id, day(13), day(12)), now_at=NOW)
    found = trials.record(Counted(made.id, day(12), "soaked", 9), Counted(made.id, day(12), "plain", 5), now_at=NOW)
    assert {(one.arm, one.germinated) for one in found.last_counts} == {("soaked", 9), ("plain", 5)}
    assert trials.trial(made.id) == found


def test_a_feeding_typed_wrong_is_taken_back_and_its_juice_returns(notebook):
    a_bottled_jar(notebook)
    feedings = Feedings(notebook)
    Rounds(notebook).set_up(RoundSet("", day(7), Method.LEAF_SPRAY, "beans"), now_at=NOW)
    right = feedings.feed(a_feeding(juice_ml=10.0), now_at=NOW)
    wrong = feedings.feed(a_feeding(juice_ml=150.0, round_id="beans"), now_at=NOW)
    for _ in range(2):
        assert feedings.take_back("feed-2", now_at=NOW, token=form("b")) == wrong
    assert feedings.feedings() == (right,)
    assert Bottles(notebook).bottle("comfrey-1-a").left_ml == 190.0
    assert Rounds(notebook).rounds(feedings.feedings())[0].done_at == ()
    with pytest.raises(NotebookError, match="feed-2 was taken back"):
        feedings.take_back("feed-2", now_at=NOW)
    assert feedings.feed(a_feeding(), now_at=NOW).feeding_id == "feed-3"


def test_a_soak_that_was_taken_back_has_no_seeds_to_take_out(notebook):
    feedings = Feedings(notebook)
    feedings.feed(a_feeding(bottle_id="", method=Method.SEED_SOAK), now_at=NOW)
    feedings.take_back("feed-1", now_at=NOW)
    with pytest.raises(NotebookError, match="feed-1 was taken back"):
        feedings.take_out(TakenOut("feed-1", day(9)), now_at=NOW)


def test_juice_returns_to_a_bottle_that_gave_more_than_it_had(notebook):
    a_bottled_jar(notebook)
    feedings = Feedings(notebook)
    feedings.feed(a_feeding(juice_ml=250.0), now_at=NOW, anyway=True)
    feedings.take_back("feed-1", now_at=NOW)
    bottle = Bottles(notebook).bottle("comfrey-1-a")
    assert (bottle.left_ml, bottle.over_ml, bottle.drawn_ml) == (200.0, 0.0, 0.0)


def test_more_juice_than_the_jar_holds_is_refused_unless_it_is_meant(notebook):
    jar_id = a_strained_jar(notebook)
    bottles = Bottles(notebook)
    for juice_ml, fills in ((5000.0, []), (None, [Fill(600.0), Fill(600.0)]), (100.0, [Fill(1200.0)])):
        with pytest.raises(NotebookError, match="which holds 1 L"):
            bottles.bottle_jar(jar_id, fills, day(6.5), now_at=NOW, juice_ml=juice_ml)
    assert bottles.bottles() == ()
    bottles.bottle_jar(jar_id, [Fill(1200.0)], day(6.5), now_at=NOW, anyway=True)
    assert notebook.jar(jar_id).juice_ml == 1200.0
