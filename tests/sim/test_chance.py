import math
from itertools import pairwise
from statistics import fmean, pstdev

from sim.chance import Wander, stream


def wandered(step_s: float, steps: int) -> list[float]:
    wander = Wander(stream(1, "test"), memory_s=600.0)
    return [wander.step(step_s) for _ in range(steps)]


def test_a_stream_repeats_itself_by_seed_and_name() -> None:
    assert [stream(1, "a").random() for _ in range(3)] == [stream(1, "a").random()] * 3
    assert len({stream(1, "a").random(), stream(1, "b").random(), stream(2, "a").random()}) == 3


def test_a_wandering_value_keeps_its_mean_and_spread_at_any_step() -> None:
    for step_s in (60.0, 900.0):
        values = wandered(step_s, 40_000)
        assert abs(fmean(values)) < 0.1
        assert abs(pstdev(values) - 1.0) < 0.05


def test_a_wandering_value_forgets_with_its_memory() -> None:
    # The autocorrelation of an Ornstein-Uhlenbeck process after time t is exp(-t / memory).
    values = wandered(300.0, 40_000)
    pairs = pairwise(values)
    assert abs(fmean(a * b for a, b in pairs) - math.exp(-0.5)) < 0.03
