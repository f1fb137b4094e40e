# SPDX-License-Identifier: GPL-3.0-or-later
"""Cells: one kind of fault of one size on one part, in one half of one clean set."""

import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from .case import Case
from .faults import CAPTURED
from .plant import KINDS, plant
from .planted import Planted

# Cases of the smallest size that must be found, and of the others, which show a curve.
CASES, CURVE_CASES = 150, 30
# Captured motion resampled, and armed motion, is there twice: each time with half of the cases.
RESAMPLED = ("captured_24", "captured_30", "armed_24/captured", "armed_30/captured")
RESAMPLED += ("armed_24/keyed", "armed_30/keyed")
# So often another place, or another clip, is drawn before a case is given up.
DRAWS = 40
SEED = 20240617


@dataclass(frozen=True)
class Cell:
    """What is planted, and where."""

    kind: str
    part: str
    size: float
    set: str
    half: str

    @property
    def check(self) -> str:
        """The check that is to find it."""
        return KINDS[self.kind].check

    @property
    def least(self) -> float:
        """The smallest planted size that the project promises to find here, or infinity."""
        kind = KINDS[self.kind]
        if self.part not in kind.promised or self.set in kind.unpromised:
            return float("inf")
        captured, keyed = kind.promised[self.part]
        promised = captured if self.set in CAPTURED else keyed
        return min(size for size in kind.sizes[self.part] if size >= promised)

    @property
    def promised(self) -> bool:
        """Whether the project promises to find faults of this size here."""
        return self.size >= self.least

    @property
    def headline(self) -> bool:
        """Whether this size is the smallest promised one, or is promised by itself."""
        return self.size == self.least or (KINDS[self.kind].each_size and self.promised)

    @property
    def cases(self) -> int:
        """How many faults are planted in a full run."""
        if not self.headline:
            return CURVE_CASES
        return CASES // 2 if self.set in RESAMPLED else CASES

    def numbers(self, share: float) -> range:
        """Which of its cases belong to a share: every n-th, the same ones each time."""
        return range(0, self.cases, max(round(1.0 / share), 1))


def all_cells(
    checks: Sequence[str] | None, kinds: Sequence[str] | None, sets: Sequence[str], halves: str
) -> list[Cell]:
    """The cells of some checks (or all), kinds (or all), sets and halves, in a fixed order."""
    return [
        Cell(kind.name, part, size, which, half)
        for kind in KINDS.values()
        if (checks is None or kind.check in checks) and (kinds is None or kind.name in kinds)
        for part, sizes in kind.sizes.items()
        for size in sizes
        for which in kind.sets
        if which.partition("/")[0] in sets
        for half in halves
    ]


def planted_cases(
    cell: Cell, cases: Sequence[Case], which: Sequence[int]
) -> Iterator[tuple[Case, Planted]]:
    """A cell's faults of some numbers, each with its clean case; fewer where clips lack places.

    cases   those of the cell's set
    """
    ours = [case for case in cases if case.half == cell.half]
    if not ours:
        return
    weights = np.array([len(case.clip.frames) for case in ours], dtype=np.float64)
    weights /= weights.sum()
    for number in which:
        rng = np.random.default_rng([SEED, zlib.crc32(repr(cell).encode()), number])
        for _ in range(DRAWS):
            case = ours[int(rng.choice(len(ours), p=weights))]
            found = plant(case, cell.kind, cell.size, cell.part, rng)
            if found is not None:
                yield case, found
                break
