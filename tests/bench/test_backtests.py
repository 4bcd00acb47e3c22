"""The sweep of backtests runs and prints tables; what they find is held to its goals in tests/sim/test_backtest.py."""

import pytest

from tests.bench import backtests


def test_a_short_year_gives_one_row_of_dates_and_one_for_each_need(capsys: pytest.CaptureFixture[str]) -> None:
    backtests.main(["--years", "ordinary-kitchen", "--days", "12", "--every", "97"])
    dates, learned = (table.splitlines() for table in capsys.readouterr().out.strip().split("\n\n"))
    assert len(dates) == 2 + 1
    assert len(learned) == 2 + len(backtests.NEEDS_DAYS)
    for table in (dates, learned):
        assert len({line.count("|") for line in table}) == 1
        assert all(line.startswith("| year: ordinary-kitchen | 19.") for line in table[2:])
