# SPDX-License-Identifier: GPL-3.0-or-later
"""Handles' equations solved between limits, as Blender does it (tridiagonal_solve_with_limits)."""

from collections import Counter

from .tridiagonal import solved

# How often an unknown that was locked at a limit is let go again.
_RELEASES = 2


class System:
    """a[i] h[i-1] + b[i] h[i] + c[i] h[i+1] = d[i], and low[i] <= h[i] <= high[i]."""

    def __init__(self, count: int, low: list[float], high: list[float]) -> None:
        self.a, self.b, self.c, self.d = ([0.0] * count for _ in range(4))
        self.low, self.high = low, high

    @property
    def rows(self) -> tuple[list[float], ...]:
        """The four lists of coefficients."""
        return self.a, self.b, self.c, self.d

    def shorten(self) -> None:
        """Drop the last unknown: in a ring it is the first again."""
        for row in self.rows:
            row.pop()

    def copied(self) -> "System":
        """The same system, whose equations change by themselves."""
        other = System(len(self.a), self.low, self.high)
        for row, own in zip(other.rows, self.rows, strict=True):
            row[:] = own
        return other

    def lock(self, i: int, value: float) -> None:
        """Let h[i] be a value."""
        for row, number in zip(self.rows, (0.0, 1.0, 0.0, value), strict=True):
            row[i] = number

    def restore(self, i: int, free: "System") -> None:
        """Let h[i] be found again, by the equation of another system."""
        for row, other in zip(self.rows, free.rows, strict=True):
            row[i] = other[i]


def solve_within(system: System) -> list[float]:
    """Unknowns that keep their limits as well as they can."""
    free = system.copied()
    locked, released = set[int](), Counter[int]()
    while True:
        heights = solved(system.a, system.b, system.c, system.d)
        beyond = [
            (i, min(max(height, low), high))
            for i, (height, low, high) in enumerate(
                zip(heights, system.low, system.high, strict=True)
            )
            if not low <= height <= high
        ]
        # Those that would go too far come first: those that would turn back often follow them.
        for i, limit in [each for each in beyond if each[1] != 0.0] or beyond:
            system.lock(i, limit)
            locked.add(i)
        if not beyond:
            loose = [i for i in locked if released[i] < _RELEASES and _comes_back(free, heights, i)]
            for i in loose:
                system.restore(i, free)
                locked.remove(i)
                released[i] += 1
            if not loose:
                return heights


def _comes_back(free: System, heights: list[float], i: int) -> bool:
    """Whether a locked unknown would move off its limit if it were let go."""
    after = heights[(i + 1) % len(heights)]
    held = free.a[i] * heights[i - 1] + free.b[i] * heights[i] + free.c[i] * after
    way = (free.d[i] - held) * free.b[i]
    return (way > 0.0 and heights[i] < free.high[i]) or (way < 0.0 and heights[i] > free.low[i])
