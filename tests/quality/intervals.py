# SPDX-License-Identifier: GPL-3.0-or-later
"""Exact confidence intervals of shares and of rates, in the standard library alone.

Clopper & Pearson 1934, Biometrika 26:404-413 (shares); Garwood 1936, Biometrika 28:437-442
(Poisson counts). The bounds are where the tail's probability meets its level, by bisection.
"""

import math
from collections.abc import Callable

LEVEL = 0.95
_ROUNDS = 200


def binomial_interval(found: int, cases: int, level: float = LEVEL) -> tuple[float, float]:
    """Lower and upper bound of a share that was seen as `found` of `cases`, two-sided."""
    if cases == 0:
        return 0.0, 1.0
    tail = (1.0 - level) / 2.0
    low, high = 0.0, 1.0
    if found > 0:
        low = _root(lambda p: 1.0 - binomial_at_most(found - 1, cases, p) - tail, 0.0, 1.0)
    if found < cases:
        high = _root(lambda p: tail - binomial_at_most(found, cases, p), 0.0, 1.0)
    return low, high


def poisson_upper(events: int, level: float = LEVEL) -> float:
    """One-sided upper bound of the mean of a count that was seen as `events`."""
    most = 10.0 + 2.0 * events + 10.0 * math.sqrt(events)
    return _root(lambda mean: (1.0 - level) - _poisson_at_most(events, mean), 0.0, most)


def poisson_at_least(least: int, mean: float) -> float:
    """How likely a count of `least` or more is where `mean` is expected."""
    return 1.0 - _poisson_at_most(least - 1, mean)


def _root(rising: Callable[[float], float], low: float, high: float) -> float:
    """Where a rising function crosses 0."""
    for _ in range(_ROUNDS):
        middle = 0.5 * (low + high)
        if rising(middle) < 0.0:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def binomial_at_most(most: int, cases: int, p: float) -> float:
    """How likely `most` or fewer of so many cases are, each with probability p."""
    if p <= 0.0 or p >= 1.0:
        return 1.0 if p <= 0.0 or most >= cases else 0.0
    logs = (
        math.lgamma(cases + 1)
        - math.lgamma(k + 1)
        - math.lgamma(cases - k + 1)
        + k * math.log(p)
        + (cases - k) * math.log1p(-p)
        for k in range(most + 1)
    )
    return min(math.fsum(math.exp(each) for each in logs), 1.0)


def _poisson_at_most(most: int, mean: float) -> float:
    if mean <= 0.0 or most < 0:
        return 0.0 if most < 0 else 1.0
    logs = (k * math.log(mean) - mean - math.lgamma(k + 1) for k in range(most + 1))
    return min(math.fsum(math.exp(each) for each in logs), 1.0)
