"""Chance that repeats: named streams of one seed, and a value that wanders about its mean."""

import math
from random import Random


def stream(seed: int, name: str) -> Random:
    """Return the random numbers of one thing: the same for the same seed and name, whatever else draws."""
    return Random(f"{seed}/{name}")


class Wander:
    """A value of mean 0 and standard deviation 1 that forgets itself in time (Ornstein-Uhlenbeck), exact at any step.

    Args:
        random: where its chance comes from.
        memory_s: time constant of forgetting, seconds, above 0.
    """

    __slots__ = ("_gauss", "_keep", "_kick", "_memory_s", "_span_s", "value")

    def __init__(self, random: Random, memory_s: float) -> None:
        self._gauss = random.gauss
        self._memory_s = memory_s
        self._span_s = self._keep = self._kick = 0.0
        self.value = self._gauss(0.0, 1.0)

    def step(self, span_s: float) -> float:
        """Let `span_s` seconds go by and return the value."""
        if span_s != self._span_s:
            self._span_s = span_s
            self._keep = math.exp(-span_s / self._memory_s)
            self._kick = math.sqrt(1.0 - self._keep * self._keep)
        self.value = self._keep * self.value + self._kick * self._gauss(0.0, 1.0)
        return self.value
