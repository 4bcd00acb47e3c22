"""Exact tests of two counts: could the difference be chance?

Both take (a germinated of m) against (b germinated of n). `greater` asks whether the first arm's share is larger.
"""

import math
from functools import lru_cache

from station.domain.shares import check_count

_TIE = 1.0 + 1e-7
"""Tables as likely as the one seen count as tied in spite of rounding."""
_GRID = 240
_REFINE = 40


def fisher_greater(a: int, m: int, b: int, n: int) -> float:
    """Return Fisher's one-sided probability of at least `a` in the first arm, given the margins.

    Raises:
        NotebookError: the counts cannot be.

    Source: Fisher 1935, the hypergeometric tail.
    """
    check_count(a, m)
    check_count(b, n)
    return min(1.0, sum(_table(x, m, a + b, n) for x in range(a, min(m, a + b) + 1)))


def fisher_two_sided(a: int, m: int, b: int, n: int) -> float:
    """Return Fisher's two-sided probability: all tables that are as likely as the one seen, or less.

    Raises:
        NotebookError: the counts cannot be.
    """
    check_count(a, m)
    check_count(b, n)
    seen = _table(a, m, a + b, n) * _TIE
    tables = (_table(x, m, a + b, n) for x in range(max(0, a + b - n), min(m, a + b) + 1))
    return min(1.0, sum(chance for chance in tables if chance <= seen))


def _table(x: int, m: int, both: int, n: int) -> float:
    """Chance of x germinated in the first arm when `both` germinated in all."""
    return math.exp(_log_choose(m, x) + _log_choose(n, both - x) - _log_choose(m + n, both))


@lru_cache(maxsize=4096)
def _log_choose(total: int, count: int) -> float:
    return math.lgamma(total + 1) - math.lgamma(count + 1) - math.lgamma(total - count + 1)


def boschloo_greater(a: int, m: int, b: int, n: int) -> float:
    """Return Boschloo's one-sided probability: Fisher's as the measure, at the least favourable common share.

    More sensitive than Fisher's test when the numbers sown, but not those germinated, were fixed beforehand.

    Args:
        a, m, b, n: counts; meant for up to a few hundred seeds.

    Raises:
        NotebookError: the counts cannot be.

    Source: Boschloo 1970. The maximum over the common share is sought on a grid and refined around its best points.
    """
    seen = fisher_greater(a, m, b, n) * _TIE
    most = _most_in_second(seen, m, n)
    grid = [step / _GRID for step in range(1, _GRID)]
    chances = [_chance(share, most, m, n) for share in grid]
    peaks = sorted(range(len(grid)), key=lambda index: -chances[index])[:3]
    return min(1.0, max(_peak(grid[index], most, m, n) for index in peaks))


def boschloo_two_sided(a: int, m: int, b: int, n: int) -> float:
    """Return Boschloo's two-sided probability: twice the smaller of the two one-sided ones."""
    return min(1.0, 2.0 * min(boschloo_greater(a, m, b, n), boschloo_greater(b, n, a, m)))


def _most_in_second(seen: float, m: int, n: int) -> list[int]:
    """For each count in the first arm, the largest in the second that is as extreme as what was seen; −1 for none.

    Fisher's probability falls with the first count and rises with the second, so the border only climbs.
    """
    most, y = [], -1
    for x in range(m + 1):
        while y < n and fisher_greater(x, m, y + 1, n) <= seen:
            y += 1
        most.append(y)
    return most


def _chance(share: float, most: list[int], m: int, n: int) -> float:
    """Chance of anything as extreme as what was seen, if both arms germinate at `share` (0 to 1, ends excluded)."""
    up_to, total = [], 0.0
    for y in range(n + 1):
        total += binomial(y, n, share)
        up_to.append(total)
    return sum(binomial(x, m, share) * up_to[y] for x, y in enumerate(most) if y >= 0)


def binomial(count: int, total: int, share: float) -> float:
    """Return the chance of `count` of `total` at a share above 0 and below 1."""
    return math.exp(_log_choose(total, count) + count * math.log(share) + (total - count) * math.log1p(-share))


def _peak(share: float, most: list[int], m: int, n: int) -> float:
    """The highest chance near a grid point, by golden section over its two neighbouring steps."""
    golden = (math.sqrt(5.0) - 1.0) / 2.0
    low, high = max(share - 1.0 / _GRID, 1e-9), min(share + 1.0 / _GRID, 1.0 - 1e-9)
    for _ in range(_REFINE):
        left, right = high - golden * (high - low), low + golden * (high - low)
        if _chance(left, most, m, n) < _chance(right, most, m, n):
            low = left
        else:
            high = right
    return max(_chance(one, most, m, n) for one in (share, (low + high) / 2.0))
