"""Exact tests of two counts: could the difference be chance?

Both take (a germinated of m) against (b germinated of n). `greater` asks whether the first arm's share is larger.
"""

import math
from functools import lru_cache

from station.domain.shares import check_count

_TIE = 1.0 + 1e-7
"""Tables as likely as the one seen count as tied in spite of rounding."""
_NEGLIGIBLE = 1e-18
"""Terms below this part of a sum can no longer move it."""
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
    return min(1.0, _tail(a, m, a + b, n))


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


def _tail(least: int, m: int, both: int, n: int) -> float:
    """Chance of `least` or more germinated in the first arm when `both` germinated in all.

    Summed outwards from the likeliest table, each from its neighbour, until nothing more is added.
    """
    first, last = max(least, both - n, 0), min(m, both)
    if first > last:
        return 0.0
    start = max(first, (m + 1) * (both + 1) // (m + n + 2))
    found = chance = likeliest = _table(start, m, both, n)
    for x in range(start, last):
        chance *= (m - x) * (both - x) / ((x + 1) * (n - both + x + 1))
        if chance < found * _NEGLIGIBLE:
            break
        found += chance
    chance = likeliest
    for x in range(start, first, -1):
        chance *= x * (n - both + x) / ((m - x + 1) * (both - x + 1))
        if chance < found * _NEGLIGIBLE:
            break
        found += chance
    return found


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
    tails = _tails_within(fisher_greater(a, m, b, n) * _TIE, m, n)
    grid = [step / _GRID for step in range(1, _GRID)]
    chances = [_chance(share, tails) for share in grid]
    peaks = sorted(range(len(grid)), key=lambda index: -chances[index])[:3]
    return min(1.0, max(_peak(grid[index], tails) for index in peaks))


def boschloo_two_sided(a: int, m: int, b: int, n: int) -> float:
    """Return Boschloo's two-sided probability: twice the smaller of the two one-sided ones."""
    return min(1.0, 2.0 * min(boschloo_greater(a, m, b, n), boschloo_greater(b, n, a, m)))


def _tails_within(seen: float, m: int, n: int) -> list[float]:
    """For each number germinated in all: the chance of a table of it that is as extreme as what was seen.

    Those tables are an upper tail. Fisher's probability falls with the first count and rises with the second, so from
    one number to the next the tail begins where it did or one further on.
    """
    tails, least = [], 0
    for both in range(m + n + 1):
        tail = _tail(least, m, both, n)
        if tail > seen:
            least += 1
            tail = _tail(least, m, both, n)
        tails.append(tail)
    return tails


def _chance(share: float, tails: list[float]) -> float:
    """Chance of anything as extreme as what was seen, if both arms germinate at `share` (0 to 1, ends excluded).

    All seeds together are one binomial count, and given that count the first arm's is hypergeometric: one sum, outwards
    from the likeliest count. No tail is above what was seen, so the terms left out are small beside it.
    """
    total, odds = len(tails) - 1, share / (1.0 - share)
    middle = min(total, int((total + 1) * share))
    chance = likeliest = binomial(middle, total, share)
    found, least = likeliest * tails[middle], likeliest * _NEGLIGIBLE
    for both in range(middle, total):
        chance *= odds * (total - both) / (both + 1)
        if chance < least:
            break
        found += chance * tails[both + 1]
    chance = likeliest
    for both in range(middle, 0, -1):
        chance *= both / (odds * (total - both + 1))
        if chance < least:
            break
        found += chance * tails[both - 1]
    return found


def binomial(count: int, total: int, share: float) -> float:
    """Return the chance of `count` of `total` at a share above 0 and below 1."""
    return math.exp(_log_choose(total, count) + count * math.log(share) + (total - count) * math.log1p(-share))


def _peak(share: float, tails: list[float]) -> float:
    """The highest chance near a grid point, by golden section over its two neighbouring steps."""
    golden = (math.sqrt(5.0) - 1.0) / 2.0
    low, high = max(share - 1.0 / _GRID, 1e-9), min(share + 1.0 / _GRID, 1.0 - 1e-9)
    for _ in range(_REFINE):
        left, right = high - golden * (high - low), low + golden * (high - low)
        if _chance(left, tails) < _chance(right, tails):
            low = left
        else:
            high = right
    return max(_chance(one, tails) for one in (share, (low + high) / 2.0))
