"""`python -m tests.bench [NAME ...]`: every figure beside a floor program that was measured in the same run."""

import argparse
import json
import sys
from collections.abc import Callable

from tests.bench import delivery, forecast, memory, pages, processor, replay, writes
from tests.bench.report import Report, json_of, machine, machine_text, text_of

BENCHMARKS: dict[str, Callable[[], Report]] = {
    "replay": replay.measured,
    "forecast": forecast.measured,
    "pages": pages.measured,
    "writes": writes.measured,
    "delivery": delivery.measured,
    "memory": memory.measured,
    "processor": processor.measured,
}
QUICK: dict[str, Callable[[], Report]] = {
    "replay": lambda: replay.measured(1000, 2),
    "forecast": lambda: forecast.measured(6, 1),
    "pages": lambda: pages.measured(years=0.1, rounds=20),
    "writes": lambda: writes.measured(60),
    "delivery": lambda: delivery.measured(20),
    "memory": lambda: memory.measured(8.0),
    "processor": lambda: processor.measured(8.0),
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
