# SPDX-License-Identifier: GPL-3.0-or-later
"""Which cases a run has, and how they are shared out. Standard library only."""

import zlib
from collections.abc import Sequence
from dataclasses import dataclass

from .bases import BASES, Base
from .kinds import KINDS

TRIPLE = "triple"
EACH_TRIPLE = 4  # cases in a base; of each kind one, and
SECOND = 5  # a second one of so many of the eight kinds, in each base of others
# How much longer a case takes in a base: an evaluated Rigify human against the porter.
_COST = {"rigify": 2.5, "porter": 1.0}


@dataclass(frozen=True)
class Task:
    """One case: the number'th of a kind in a base."""

    base: Base
    kind: str
    number: int


def tasks(
    *, half: str = "AB", kinds: Sequence[str] | None = None, share: float = 1.0
) -> list[Task]:
    """The cases that are asked for; a share of them is the same share each time."""
    wanted = [*KINDS, TRIPLE] if kinds is None else list(kinds)
    return [
        task
        for base in BASES
        if base.half in half
        for kind in wanted
        if kind == TRIPLE or not base.long
        for number in range(_cases(base, kind))
        for task in (Task(base, kind, number),)
        if _drawn(task) < share
    ]


def _cases(base: Base, kind: str) -> int:
    if kind == TRIPLE:
        return EACH_TRIPLE
    turn = BASES.index(base) + tuple(KINDS).index(kind)
    return 2 if turn % len(KINDS) < SECOND else 1


def _drawn(task: Task) -> float:
    text = f"{task.base.name}, {task.kind}, {task.number}"
    return (zlib.crc32(text.encode()) & 0xFFFFFF) / float(1 << 24)


def shared_out(cases: Sequence[Task], jobs: int) -> list[list[Task]]:
    """Whole bases to each of so many processes, the dearest first to whoever has least."""
    by_base: dict[Base, list[Task]] = {}
    for task in cases:
        by_base.setdefault(task.base, []).append(task)
    hands: list[list[Task]] = [[] for _ in range(jobs)]
    costs = [0.0] * jobs
    for base, each in sorted(by_base.items(), key=lambda item: -_cost(item[0], item[1])):
        least = costs.index(min(costs))
        hands[least] += each
        costs[least] += _cost(base, each)
    return [hand for hand in hands if hand]


def _cost(base: Base, each: Sequence[Task]) -> float:
    return _COST[base.rig] * (len(each) + 3.0)
