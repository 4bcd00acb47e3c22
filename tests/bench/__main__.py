"""`python -m tests.bench [NAME ...]`: every figure beside a floor program that was measured in the same run."""

import argparse
import json
import sys
from collections.abc import Callable
from functools import partial
from importlib import import_module

from tests.bench.report import Report, json_of, machine, machine_text, text_of


def _measured(name: str, *how: float) -> Report:
    """Run one benchmark; it is loaded only now, so that no other one's libraries weigh on what it measures."""
    report: Report = import_module(f"tests.bench.{name}").measured(*how)
    return report


BENCHMARKS: dict[str, Callable[[], Report]] = {
    name: partial(_measured, name)
    for name in ("replay", "forecast", "pages", "writes", "delivery", "memory", "processor")
}
QUICK: dict[str, Callable[[], Report]] = {
    "replay": partial(_measured, "replay", 1000, 2),
    "forecast": partial(_measured, "forecast", 6, 1),
    "pages": partial(_measured, "pages", 0.1, 20),
    "writes": partial(_measured, "writes", 60),
    "delivery": partial(_measured, "delivery", 20),
    "memory": partial(_measured, "memory", 8.0),
    "processor": partial(_measured, "processor", 8.0),
}
"""The same in little: to see that they run, not what they find."""


def main(arguments: list[str]) -> int:
    asked = _asked(arguments)
    chosen = QUICK if asked.quick else BENCHMARKS
    reports = []
    if not asked.json:
        print(machine_text(), flush=True)
    for name in asked.names or BENCHMARKS:
        reports.append(chosen[name]())
        if not asked.json:
            print(f"\n{text_of(reports[-1])}", flush=True)
    if asked.json:
        print(json.dumps({"machine": machine(), "reports": [json_of(one) for one in reports]}, indent=2))
    else:
        print(f"\n{machine_text()}")
    return 0


def _asked(arguments: list[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description="Figures beside their floors.")
    parser.add_argument("names", nargs="*", metavar="NAME", choices=[[], *BENCHMARKS], help=", ".join(BENCHMARKS))
    parser.add_argument("--json", action="store_true", help="print JSON for programs")
    parser.add_argument("--quick", action="store_true", help="in little, to see that they run; the figures say nothing")
    return parser.parse_args(arguments)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
