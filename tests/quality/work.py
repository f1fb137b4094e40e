# SPDX-License-Identifier: GPL-3.0-or-later
"""The bench's work: cells and clean clips, shared among processes."""

import multiprocessing
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache

from analysis import Settings
from analysis.checks import REGISTRY

from .case import Case
from .cells import Cell, planted_cases
from .faults.cameras import filmed_case
from .plant import KINDS
from .score import Alarm, Outcome, alarms, score
from .sets import clean_cases

CAMERA_CHECK = "camera_jump"


@dataclass(frozen=True)
class CellResult:
    """How the faults of one cell fared."""

    cell: Cell
    outcomes: tuple[Outcome, ...]


@dataclass(frozen=True)
class CleanResult:
    """What was found on one clean clip; cycle: whether it plays as a loop."""

    case: str
    set: str
    half: str
    seconds: float
    cycle: bool
    alarms: tuple[Alarm, ...]


def registered() -> tuple[str, ...]:
    """The checks that there are."""
    return tuple(check.info.name for check in REGISTRY)


def run_cells(cells: Sequence[Cell], share: float, jobs: int) -> list[CellResult]:
    """Plant and score the cells' faults, or the stated share of them."""
    _build(cell.set for cell in cells)
    found = _in_processes(_score_cell, [(cell, share) for cell in cells], jobs)
    return [CellResult(cell, each) for cell, each in zip(cells, found, strict=True)]


def run_clean(sets: Sequence[str], halves: str, share: float, jobs: int) -> list[CleanResult]:
    """Ask all checks on the clean clips of some sets, or on every n-th clip of each."""
    names = [
        (which, case.half, number)
        for which in sets
        for number, case in enumerate(cases_of(which))
        if case.half in halves
    ]
    return list(_in_processes(_check_clean, _every(names, share), jobs))


@cache
def cases_of(which: str) -> tuple[Case, ...]:
    """The clean cases of a set, or of a family of it (`cycles/cut`), built once a process."""
    name, _, family = which.partition("/")
    if family:
        return tuple(case for case in cases_of(name) if family in case.name.split("/"))
    return tuple(clean_cases([name]))


def _build(sets: Iterable[str]) -> None:
    """Build sets before processes fork, so that these share them."""
    for which in dict.fromkeys(sets):
        cases_of(which)


def _every(names: list[tuple[str, str, int]], share: float) -> list[tuple[str, int]]:
    """A share of the clips (set, half, number): every n-th of each set and half, one at least."""
    step = max(round(1.0 / share), 1)
    kept: list[tuple[str, int]] = []
    seen: dict[tuple[str, str], int] = {}
    for which, half, number in names:
        count = seen.get((which, half), 0)
        if count % step == 0:
            kept.append((which, number))
        seen[which, half] = count + 1
    return kept


def _score_cell(task: tuple[Cell, float]) -> tuple[Outcome, ...]:
    cell, share = task
    planted = planted_cases(cell, cases_of(cell.set), cell.numbers(share))
    cycle = KINDS[cell.kind].cycle
    return tuple(score(case, each, cycle=cycle) for case, each in planted)


def _check_clean(task: tuple[str, int]) -> CleanResult:
    which, number = task
    case = cases_of(which)[number]
    return CleanResult(
        case=case.name,
        set=case.reported,
        half=case.half,
        seconds=case.seconds,
        cycle=bool(case.clip.meta.cycle),
        alarms=(*alarms(case, Settings()), *_camera_alarms(case)),
    )


def _camera_alarms(case: Case) -> list[Alarm]:
    """What is found of a clean camera that films the clip: the clips come without one."""
    if CAMERA_CHECK not in registered():
        return []
    return alarms(filmed_case(case), Settings(checks=(CAMERA_CHECK,)))


def _in_processes(function, tasks: Sequence[tuple], jobs: int) -> Iterable:
    """The function's results in the tasks' order; results do not depend on the processes."""
    if jobs <= 1 or len(tasks) < 2:
        return [function(task) for task in tasks]
    with multiprocessing.Pool(jobs) as pool:
        return pool.map(function, tasks, chunksize=1)
