"""Every scenario brings exactly the alerts that stand beside it, and the same ones when it is played again."""

import pytest

from sim.expected import differences
from sim.play import played
from sim.scenario import load, names

AGAIN_DAYS = 4.0
"""How much of each is played a second time: every fault and the first alerts come within it."""

KITCHEN = "ordinary-kitchen"
SCENARIOS = [pytest.param(name, marks=pytest.mark.long) if name == KITCHEN else name for name in names()]
"""The kitchen's thirty days are played each time with a grower in it, in `test_notifications`."""


@pytest.mark.parametrize("name", SCENARIOS)
def test_a_scenario_brings_its_alerts_and_no_others_twice_alike(name: str) -> None:
    scenario = load(name)
    first, again = played(scenario), played(scenario, AGAIN_DAYS)
    assert differences(scenario.expected, first.raised) == ()
    assert again.raised == [one for one in first.raised if one.after_s <= AGAIN_DAYS * 86400]
    notified = [(change.at, change.alert.id) for change in first.notified]
    assert [(change.at, change.alert.id) for change in again.notified] == notified[: len(again.notified)]
