"""Alerts under a clock that is set back or comes right: no answer is lost, and no call about a jar is repeated."""

from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from sim.clocks import ClockFaults, Jump, ManualClock
from station.alerts import Happening
from station.domain.alert import AlertKind
from station.domain.packing import Cover, Packing
from station.ports import Answer
from station.store.notebook import Notebook
from tests.builders import START
from tests.daemon.test_delivery import NEVER
from tests.daemon.world import Stand, a_stand, steady


def happened(stand: Stand) -> list[tuple[str, str]]:
    changes = [change for judged in stand.judged for change in judged.changes]
    return [(str(change.alert.kind), str(change.happening)) for change in changes]


def test_an_answer_by_a_clock_that_was_set_back_is_heard(tmp_path: Path) -> None:
    """A power cut sets a machine without a battery clock back by up to an hour: before the alert was raised."""
    stand = a_stand(tmp_path, steady(12.0), faults=ClockFaults(jumps=(Jump(2400.0, -1800.0),))).live(45)
    (alert,) = stand.station.memory.alerts
    assert stand.clock.now() < alert.raised_at
    with Notebook.open(tmp_path / "notebook.db") as grower:
        grower.answer(Answer(alert.id, stand.clock.now()))
    stand.live(3).end()
    assert happened(stand) == [("cold", Happening.RAISED), ("cold", Happening.ACKNOWLEDGED)]


@pytest.mark.parametrize("begins", [timedelta(days=-9), timedelta(days=3)])
def test_what_was_put_off_before_the_time_was_known_is_put_off_for_as_long_as_was_said(
    begins: timedelta, tmp_path: Path
) -> None:
    faults = ClockFaults(begins_at=START + begins, syncs=3600.0)
    stand = a_stand(tmp_path, steady(12.0), faults=faults, quiet=NEVER).live(40)
    (alert,) = stand.station.memory.alerts
    with Notebook.open(tmp_path / "notebook.db") as grower:
        grower.answer(Answer(alert.id, stand.clock.now(), stand.clock.now() + timedelta(hours=2)))
    stand.live(130)
    assert happened(stand) == [("cold", one) for one in (Happening.RAISED, Happening.PUT_OFF, Happening.REMINDED)]
    told_at = [change.at for judged in stand.judged for change in judged.changes if change.notify]
    assert told_at[1:] == [START + timedelta(minutes=160)]
    stand.end()


QUICK: dict[str, Any] = {"quiet": NEVER, "limits": {"hot_c": 35}, "strain": {"need_warm_days": 2.0}}
"""At 29 °C a jar is then ready within little more than a day, and called for on its first evening."""


CALLS = (AlertKind.STRAIN, AlertKind.COVER)


def after_a_power_cut(stand: Stand, begins: timedelta) -> Stand:
    """Go on in another boot, whose clock is wrong by `begins` for its first five minutes."""
    faults = ClockFaults(begins_at=stand.clock.now() + begins, syncs=300.0)
    clock = ManualClock(stand.clock.now() + timedelta(minutes=30), faults)
    clock.reboot()
    return a_stand(stand.folder, steady(29.0), clock=clock, **QUICK)


@pytest.mark.parametrize("begins", [timedelta(0), timedelta(hours=-1), timedelta(days=-40)])
def test_a_power_cut_repeats_no_call_about_a_jar(begins: timedelta, tmp_path: Path) -> None:
    stand = a_stand(tmp_path, steady(29.0), **QUICK)
    with Notebook.open(tmp_path / "notebook.db") as grower:
        grower.pack("mint", START, 1000.0, now_at=START)
        stand.live(800)
        at = stand.clock.now()
        grower.pack("comfrey", at, 1000.0, now_at=at, packing=Packing(cover=Cover.TIGHT_LID))
    stand.live(20).end()
    told = {alert.id for alert in stand.station.memory.alerts if alert.kind in CALLS}
    assert len(told) == 2

    again = after_a_power_cut(stand, begins).live(120)
    again.end()
    assert happened(again) == []
    assert {alert.id for alert in again.station.memory.alerts if alert.kind in CALLS} == told
