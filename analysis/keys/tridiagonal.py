# SPDX-License-Identifier: GPL-3.0-or-later
"""Systems of equations in which each unknown meets its two neighbours, in a ring or a row."""

from collections.abc import Sequence


def solved(
    a: Sequence[float], b: Sequence[float], c: Sequence[float], d: Sequence[float]
) -> list[float]:
    """h (N,) with a[i] h[i-1] + b[i] h[i] + c[i] h[i+1] = d[i], neighbours counted in a ring.

    A row is a ring with a[0] = c[-1] = 0. In a ring the corners are set aside and put back by
    the formula of Sherman and Morrison.
    """
    count = len(b)
    if count == 1:
        return [d[0] / (a[0] + b[0] + c[0])]
    if count == 2:
        return _row([0.0, a[1] + c[1]], b, [a[0] + c[0], 0.0], d)
    corner_top, corner_low = a[0], c[-1]
    if not corner_top and not corner_low:
        return _row(a, b, c, d)
    aside = -b[0]
    ring = [b[0] - aside, *b[1:-1], b[-1] - corner_low * corner_top / aside]
    plain = _row(a, ring, c, d)
    edge = _row(a, ring, c, [aside, *[0.0] * (count - 2), corner_low])
    over = corner_top / aside
    share = (plain[0] + over * plain[-1]) / (1.0 + edge[0] + over * edge[-1])
    return [p - share * e for p, e in zip(plain, edge, strict=True)]


def _row(
    a: Sequence[float], b: Sequence[float], c: Sequence[float], d: Sequence[float]
) -> list[float]:
    """Forwards elimination, backwards substitution."""
    upper, right = [c[0] / b[0]], [d[0] / b[0]]
    for i in range(1, len(b)):
        pivot = b[i] - a[i] * upper[-1]
        upper.append(c[i] / pivot)
        right.append((d[i] - a[i] * right[-1]) / pivot)
    for i in range(len(b) - 2, -1, -1):
        right[i] -= upper[i] * right[i + 1]
    return right
