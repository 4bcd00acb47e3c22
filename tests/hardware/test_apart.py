"""A part in a process of its own: whatever its driver does, the station gets an answer in time and keeps its memory."""

import gc
import os
import signal
import sys
import tracemalloc
from contextlib import closing
from pathlib import Path

import pytest

from hardware.apart import RESTS_S, Apart, apart
from hardware.parts import Part
from hardware.reasons import Reason
from station.domain.readings import Miss, Sample
from station.errors import SensorError
from tests.hardware.bench import Hand

READY = """echo '{"ready": true}'"""
GOOD = """echo '{"temp_c": 20.5, "rh_pct": 55.0, "saturated": false}'"""


def a_part(hand: Hand, script: str, **changes: float) -> Apart:
    """A part whose reader is a few lines of shell."""
    return Apart("air", 2.1, ("sh", "-c", script), clock_s=hand, **changes)


def settled(part: Apart) -> Sample | Miss:
    """The answer of a part once its reader has started or failed, and a killed one has gone."""
    if part._dying is not None:
        part._dying._process.wait()
    answer = part.sample()
    while isinstance(answer, Miss) and answer.reason is Reason.STARTING:
        answer = part.sample()
    return answer


def held() -> tuple[int, int]:
    """Bytes and open files of this process."""
    gc.collect()
    return tracemalloc.get_traced_memory()[0], len(os.listdir("/proc/self/fd"))


def children() -> list[str]:
    """The processes of this one, by number."""
    return [pid for task in Path("/proc/self/task").iterdir() for pid in (task / "children").read_text().split()]


def test_a_good_reader_answers(hand: Hand):
    with closing(a_part(hand, f"{READY}; while read x; do {GOOD}; done")) as part:
        part.open()
        assert part.sample() == Sample("air", temp_c=20.5, rh_pct=55.0)
        assert part.sample() == Sample("air", temp_c=20.5, rh_pct=55.0)


def test_a_reader_that_blocks_is_a_miss_and_then_a_fresh_device(hand: Hand, tmp_path: Path):
    first_time = f"mkdir {tmp_path}/was-here 2>/dev/null"
    script = f"{READY}; while read x; do {first_time} && exec sleep 60; {GOOD}; done"
    with closing(a_part(hand, script, deadline_s=0.01)) as part:
        part.open()
        assert part.sample() == Miss("air", Reason.HUNG)
        assert children() == [] or part._dying is not None
        hand.wait(10)
        assert settled(part) == Sample("air", temp_c=20.5, rh_pct=55.0)


def test_a_reader_that_dies_is_started_again(hand: Hand):
    with closing(a_part(hand, f"{READY}; read x; {GOOD}")) as part:
        part.open()
        assert isinstance(part.sample(), Sample)
        assert part.sample() == Miss("air", Reason.DIED)
        hand.wait(10)
        assert isinstance(settled(part), Sample)


@pytest.mark.parametrize(
    "rubbish",
    [
        "echo hello",
        "echo '[]'",
        "echo '{}'",
        """echo '{"temp_c": NaN}'""",
        """echo '{"temp_c": true}'""",
        """echo '{"miss": "no such reason"}'""",
        "head -c 5000 /dev/zero",
    ],
)
def test_rubbish_is_a_miss(hand: Hand, rubbish: str):
    with closing(a_part(hand, f"{READY}; while read x; do {rubbish}; done")) as part:
        part.open()
        assert part.sample() == Miss("air", Reason.RUBBISH)


@pytest.mark.parametrize(
    "script",
    [
        pytest.param(f"{READY}; read x; exec sleep 600", id="blocks for ever"),
        pytest.param(f"{READY}; read x; exit 1", id="dies at every read"),
        pytest.param(f"{READY}; read x; echo rubbish; exec sleep 600", id="says rubbish"),
        pytest.param("exit 1", id="dies at once"),
    ],
)
def test_a_day_with_a_dead_part_keeps_memory_files_and_processes_flat(hand: Hand, script: str):
    part = a_part(hand, script, deadline_s=0.001)
    part._open = True  # it was good when the station started
    starts, start = [], part._start
    part._start = lambda: (starts.append(hand.now_s), start())[1]
    tracemalloc.start()
    with closing(part):
        for minute in range(24 * 60):
            for _ in range(6):
                assert isinstance(settled(part), Miss)
                hand.wait(10)
            if minute == 120:
                before = held()
            assert len(children()) <= 1
        after = held()
    tracemalloc.stop()
    assert after[0] - before[0] < 10_000 + 40 * len(starts)  # the list of starts is this test's own
    assert abs(after[1] - before[1]) <= 2  # a reader has two pipes
    assert len(starts) <= len(RESTS_S) + 86_400 / RESTS_S[-1]


def test_a_part_that_comes_back_after_hours_is_found_by_itself(hand: Hand, tmp_path: Path):
    script = f"[ -e {tmp_path}/plugged-in ] || exit 1; {READY}; while read x; do {GOOD}; done"
    with closing(a_part(hand, script)) as part:
        part._open = True
        for _ in range(360):
            settled(part)
            hand.wait(10)
        (tmp_path / "plugged-in").touch()
        waited = 0
        while isinstance(settled(part), Miss):
            hand.wait(10)
            waited += 10
        assert waited <= RESTS_S[-1] + 10


def test_a_process_that_the_kernel_cannot_end_is_not_joined_by_a_second(hand: Hand, monkeypatch: pytest.MonkeyPatch):
    part = a_part(hand, f"{READY}; read x; exec sleep 60", deadline_s=0.001)
    with closing(part):
        part.open()
        assert part.sample() == Miss("air", Reason.HUNG)
        monkeypatch.setattr(part._dying, "gone", lambda: False)
        for _ in range(100):
            hand.wait(100)
            assert part.sample() == Miss("air", Reason.RESTING)


@pytest.mark.parametrize("first", ["exec sleep 60", "exit 1", "exec echo rubbish"])
def test_a_driver_that_hangs_or_dies_at_the_start_does_not_keep_the_station_from_starting(
    hand: Hand, tmp_path: Path, first: str
):
    script = f"mkdir {tmp_path}/was-here 2>/dev/null && {first}; {READY}; while read x; do {GOOD}; done"
    with closing(a_part(hand, script, start_s=0.05)) as part:
        part.open()
        hand.wait(10)
        part._start_s = 30
        assert isinstance(settled(part), Sample)


def test_a_later_start_that_hangs_is_given_up(hand: Hand):
    with closing(a_part(hand, "exec sleep 60", start_s=0.01)) as part:
        part.open()
        hand.wait(1)
        part._dying._process.wait()
        assert part.sample() == Miss("air", Reason.STARTING)
        hand.wait(1)
        assert part.sample() == Miss("air", Reason.HUNG)


def test_a_part_that_cannot_be_opened_says_why(hand: Hand):
    with closing(a_part(hand, """echo '{"what": "air: no pins", "remedy": "Fit some."}'""")) as part:
        with pytest.raises(SensorError) as caught:
            part.open()
        assert (caught.value.what, caught.value.remedy) == ("air: no pins", "Fit some.")
        part._open = True
        assert settled(part) == Miss("air", Reason.REFUSED)


def test_the_real_reader_says_here_that_there_are_no_pins():
    with closing(apart(Part("air", "dht22", pin=17))) as part, pytest.raises(SensorError, match=r"air: .*no such pin"):
        part.open()


def test_the_real_driver_in_a_process_of_its_own():
    command = (sys.executable, "-m", "tests.hardware.scripted_reader", "good", "hang", "good")
    with closing(Apart("air", 2.1, command, deadline_s=10)) as part:
        part.open()
        assert part.sample() == Sample("air", temp_c=35.1, rh_pct=65.2)


def test_a_driver_that_takes_over_sigterm_does_not_end_the_reader():
    """adafruit_dht's pulse helper does so at import; systemd sends SIGTERM to every process of the service."""
    command = (sys.executable, "-m", "tests.hardware.scripted_reader", "takes-sigterm", "good")
    with closing(Apart("air", 2.1, command, deadline_s=10)) as part:
        part.open()
        os.kill(part._link._process.pid, signal.SIGTERM)
        assert isinstance(part.sample(), Sample)


def test_what_a_driver_prints_is_not_taken_for_an_answer():
    command = (sys.executable, "-m", "tests.hardware.scripted_reader", "chatty", "good")
    with closing(Apart("air", 2.1, command, deadline_s=10)) as part:
        part.open()
        assert part.sample() == Sample("air", temp_c=35.1, rh_pct=65.2)


def test_closed_twice_and_asked_after_it_says_so(hand: Hand):
    part = a_part(hand, f"{READY}; while read x; do {GOOD}; done")
    part.open()
    part.close()
    part.close()
    assert part.sample() == Miss("air", Reason.NOT_OPEN)
    assert children() == []
