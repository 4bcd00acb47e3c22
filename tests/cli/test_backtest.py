"""What `jarside backtest` says of its dates."""

from sim.backtest import Backtest, RangeScore, Score
from station.cli.backtest_command import backtest_text


def test_a_backtest_says_early_or_late_in_plain_words() -> None:
    scores = (Score(24.0, 12.25), Score(9.0, -0.5), Score(5.0, 0.01))
    text = backtest_text(Backtest(40, 18.0, *scores, Score(5.0, 0.0), RangeScore(0.8, 40.0)))

    _, calendar, packing, half, _, _ = text.splitlines()
    assert "24.0 h, on the whole 12.2 h too late" in calendar
    assert "9.0 h, on the whole 0.5 h too early" in packing
    assert "5.0 h, as often too early as too late" in half
    assert "bias" not in text
