"""The demo's grower has something to show on every page: bottles, feedings, a round that is due, trials."""

from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from sim.garden import tend
from station.store.bottles import Bottles
from station.store.feedings import Feedings
from station.store.notebook import Notebook
from station.store.rounds import Rounds
from station.store.trials import Trials

NOW = datetime(2026, 5, 20, 13, 20, tzinfo=UTC)


def test_bottles_have_different_levels_and_all_that_was_given_came_out_of_them(tmp_path: Path) -> None:
    with Notebook.open(tmp_path / "notebook.db") as notebook:
        tend(notebook, NOW, ZoneInfo("Europe/Berlin"))
        bottles = Bottles(notebook).bottles()
        given_ml = sum(fed.juice_ml for fed in Feedings(notebook).feedings() if fed.bottle_id == "comfrey-a")
    levels = {round(bottle.left_ml / (bottle.bottle_ml or 1.0), 1) for bottle in bottles if bottle.in_store}
    assert len(levels) >= 3
    comfrey = next(bottle for bottle in bottles if bottle.id == "comfrey-a")
    assert comfrey.left_ml == comfrey.volume_ml - given_ml
    assert all(bottle.over_ml == 0.0 for bottle in bottles)


def test_one_round_is_due_and_one_is_not_a_trial_is_on_and_one_is_over(tmp_path: Path) -> None:
    with Notebook.open(tmp_path / "notebook.db") as notebook:
        tend(notebook, NOW, ZoneInfo("Europe/Berlin"))
        rounds, trials = Rounds(notebook).rounds(Feedings(notebook).feedings()), Trials(notebook).trials()
    due = [(NOW - one.done_at[-1]).days >= one.rule.least_days for one in rounds]
    assert sorted(due) == [False, True]
    assert [trial.ended_at is not None for trial in trials] == [True, False]
    assert all(trial.counts for trial in trials)
