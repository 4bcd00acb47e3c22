"""The benchmarks run and say what they ought to say; how fast anything was is no matter here."""

import json

import pytest

from tests.bench import __main__ as bench
from tests.bench import replay
from tests.bench.report import Goal, Line, Report, json_of, number, text_of


def test_every_figure_stands_beside_its_floor() -> None:
    report = replay.measured(count=60, rounds=1)
    assert [line.unit for line in report.lines].count("readings/s") == 4
    for line in report.lines:
        assert line.figure > 0.0
        assert line.floor > 0.0
        assert line.what in text_of(report)
        assert line.goal is None or line.goal.text(line.unit) in text_of(report)


@pytest.mark.parametrize(
    ("goal", "met"),
    [
        (Goal("at least", 20.0), True),
        (Goal("at least", 21.0), False),
        (Goal("at most", 20.0), True),
        (Goal("at most", 19.9), False),
        (Goal("at most", 2.0, "ratio"), True),
        (Goal("at most", 1.9, "ratio"), False),
        (Goal("at least", 2.1, "ratio"), False),
    ],
)
def test_a_goal_is_met_by_the_figure_or_by_its_ratio_to_the_floor(goal: Goal, met: bool) -> None:
    line = Line("a page", 20.0, "ms", 10.0, goal)
    assert line.met is met
    assert ("MISSED" in text_of(Report("pages", "once", "a bare page", (line,)))) is not met


def test_programs_get_figure_floor_ratio_and_goal() -> None:
    line = Line("a page", 3.0, "ms", 2.0, Goal("at most", 2.0, "ratio"), "small")
    written = json.loads(json.dumps(json_of(Report("pages", "once", "a bare page", (line, Line("b", 1.0, "MB", 4.0))))))
    assert written["lines"][0] == {
        "what": "a page",
        "figure": 3.0,
        "unit": "ms",
        "floor": 2.0,
        "ratio": 1.5,
        "goal": {"side": "at most", "value": 2.0, "of": "ratio"},
        "met": True,
        "note": "small",
    }
    assert written["lines"][1]["met"] is None


@pytest.mark.parametrize(
    ("value", "text"), [(34344.4, "34,344"), (100.0, "100"), (1.8249, "1.82"), (0.018, "0.018"), (0.0, "0")]
)
def test_a_number_has_the_digits_that_say_something(value: float, text: str) -> None:
    assert number(value) == text


def test_only_what_was_asked_for_runs(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    report = Report("writes", "once", "a file", (Line("stored", 12.0, "MB a day", 6.0),))
    monkeypatch.setattr(bench, "BENCHMARKS", {"replay": lambda: pytest.fail("not asked"), "writes": lambda: report})
    assert bench.main(["writes", "--json"]) == 0
    written = json.loads(capsys.readouterr().out)
    assert [one["name"] for one in written["reports"]] == ["writes"]
    assert set(written["machine"]) == {"python", "machine", "cores", "load"}


def test_an_unknown_benchmark_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        bench.main(["weather"])
    assert ended.value.code == 2
    assert "weather" in capsys.readouterr().err
