"""`jarside backtest`: how far off a calendar date and the forecast would have been."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from station.cli.frame import json_option, print_json
from station.cli.words import Within
from station.domain.figures import counted

if TYPE_CHECKING:
    from sim.backtest import Backtest, Score


@click.command()
@click.argument("log", type=click.Path(path_type=Path))
@click.option("--shift-temp", "shift_c", type=float, default=0.0, metavar="C", help="As if the shelf were warmer by C.")
@click.option("--learn", type=click.IntRange(0, 50), default=0, help="After so many judged jars of the same plant.")
@click.option(
    "--true-need",
    type=Within(2, 15),
    default=5.5,
    show_default=True,
    help="The plant's true need, days at 20 °C.",
)
@click.option("--skip-bad", is_flag=True, help="Leave out rows that cannot be used.")
@json_option
def backtest(log: Path, shift_c: float, learn: int, true_need: float, *, skip_bad: bool, as_json: bool) -> None:
    """Try the forecast on a log: many virtual jars, a calendar date against the strain date, and the 80 % range.

    What the jars truly do follows the simulator's ferment, not the station's line; each has a need of its own.

    Example: jarside backtest winter.csv --learn 8 --true-need 6.6
    """
    from sim.backtest import Plan
    from sim.backtest import backtest as run
    from station.cli.progress import counting
    from station.store.log_files import read_log

    plan = Plan(need_days=true_need, learn=learn, shift_temp_c=shift_c)
    with counting("trying", "jars") as on_progress:
        found = run(read_log(log, skip_bad=skip_bad), plan, lambda done, _: on_progress(done))
    if as_json:
        print_json(_as_json(found))
    else:
        click.echo(backtest_text(found))


def _as_json(found: "Backtest") -> dict[str, Any]:
    return {
        "jars": found.jars,
        "mean_temp_c": round(found.mean_temp_c, 2),
        "calendar": _score_json(found.calendar),
        "forecast": {
            "packing": _score_json(found.packing),
            "half": _score_json(found.half),
            "near": _score_json(found.near),
        },
        "range": {"coverage": round(found.spread.coverage, 3), "mean_width_h": round(found.spread.mean_width_h, 2)},
    }


def _score_json(score: "Score") -> dict[str, float]:
    return {"mae_h": round(score.mae_h, 2), "bias_h": round(score.bias_h, 2)}


def backtest_text(found: "Backtest") -> str:
    """Return the scores as a table: hours off on average, and how much too late or too early of it."""
    rows = [
        ("packing + 5.5 days", found.calendar),
        ("forecast at packing", found.packing),
        ("half way", found.half),
        ("at 80 % of its time", found.near),
    ]
    lines = [f"{counted(found.jars, 'jar')}, at {found.mean_temp_c:.1f} °C on average; how wrong each date was:"]
    lines += [f"{name:<20} {score.mae_h:>5.1f} h, {_lean(score.bias_h)}" for name, score in rows]
    spread = found.spread
    lines.append(
        f"ready within the 80 % range: {spread.coverage:.0%}; it is {spread.mean_width_h:.0f} h wide on average"
    )
    return "\n".join(lines)


def _lean(bias_h: float) -> str:
    """Say to which side dates are wrong on the whole."""
    if abs(bias_h) < 0.05:
        return "as often too early as too late"
    return f"on the whole {abs(bias_h):.1f} h too {'late' if bias_h > 0.0 else 'early'}"
