"""Timing several programs in turn, so that a busy moment of the machine falls on all of them alike."""

import time
from collections.abc import Callable, Sequence


def interleaved(rounds: int, programs: Sequence[Callable[[], object]]) -> list[list[float]]:
    """Run every program once a round, one after the other.

    Returns:
        For each program, the seconds of the wall clock that each of its runs took.
    """
    taken: list[list[float]] = [[] for _ in programs]
    for _ in range(rounds):
        for runs, program in zip(taken, programs, strict=True):
            runs.append(seconds(program))
    return taken


def seconds(program: Callable[[], object]) -> float:
    """Return how long one run takes, in seconds of the wall clock."""
    start_s = time.perf_counter()
    program()
    return time.perf_counter() - start_s
