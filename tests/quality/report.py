# SPDX-License-Identifier: GPL-3.0-or-later
"""The bench's figures as rows: recall a cell, findings on clean motion a set and check."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from . import promises
from .intervals import binomial_interval, poisson_upper
from .plant import KINDS
from .work import CellResult, CleanResult

ALL = "all"
# The row of a check over all clean sets, cycles left out: they have a count of their own.
EVERY_SET, CYCLES = "every set", "cycles"


def is_cycles(which: str) -> bool:
    """Whether a row is of the set of cycles or of a family of it."""
    return which.partition("/")[0] == CYCLES


@dataclass(frozen=True)
class Recall:
    """How many of a cell's faults were found, and how near; sizes in `unit`.

    median_error, high_error   samples from a finding's peak to the fault: half of the cases,
                               and 95 %, are no further off; None where nothing was found
    already, comparable        cases with a finding near there without the fault, of so many
    registered                 False where the check does not exist yet
    planned                    cases of a full run; there are fewer where clips lack places
    headline                   whether the size is the one that counts: the smallest promised
    median_aside_deg           half of the directions that are said are no further off than this,
                               seen from above; None where no direction is planted or said
    """

    check: str
    kind: str
    part: str
    size: float
    unit: str
    set: str
    half: str
    promised: bool
    cases: int
    found: int
    right_part: int
    median_error: float | None
    high_error: float | None
    already: int
    comparable: int
    registered: bool
    planned: int
    headline: bool
    median_aside_deg: float | None = None

    @property
    def interval(self) -> tuple[float, float]:
        """95 % interval of the share that is found."""
        return binomial_interval(self.found, self.cases)

    @property
    def falls_short(self) -> bool:
        """Whether less is found than is promised."""
        return self.promised and self.found < promises.RECALL * self.cases


@dataclass(frozen=True)
class Rate:
    """The findings of one check, or of all, on a clean set; clips_with: clips that have some."""

    check: str
    set: str
    half: str
    clips: int
    seconds: float
    events: int
    majors: int
    clips_with: int

    @property
    def per_10_s(self) -> float:
        """Findings in ten seconds."""
        return 10.0 * self.events / self.seconds if self.seconds else 0.0

    @property
    def upper(self) -> float:
        """95 % upper bound of that rate."""
        return 10.0 * poisson_upper(self.events) / self.seconds if self.seconds else 0.0

    @property
    def falls_short(self) -> bool:
        """Whether more is found than is allowed."""
        if is_cycles(self.set) and self.check in promises.OF_CYCLES:
            return self.clips_with > promises.OF_CYCLES[self.check] * self.clips
        if self.check == ALL:
            majors = 10.0 * self.majors / self.seconds if self.seconds else 0.0
            return self.per_10_s > promises.ALL_PER_10_S or majors > promises.MAJOR_PER_10_S
        return self.set == EVERY_SET and self.per_10_s > promises.PER_10_S.get(self.check, np.inf)


def recalls(results: Sequence[CellResult], registered: Sequence[str]) -> list[Recall]:
    """A row a cell, in the cells' order."""
    return [_recall(result, registered) for result in results]


def _recall(result: CellResult, registered: Sequence[str]) -> Recall:
    cell, kind = result.cell, KINDS[result.cell.kind]
    aside = [o.aside_deg for o in result.outcomes if o.aside_deg is not None]
    errors = [o.frame_error for o in result.outcomes if o.frame_error is not None]
    return Recall(
        check=kind.check,
        kind=kind.name,
        part=cell.part,
        size=cell.size,
        unit=kind.unit,
        set=cell.set,
        half=cell.half,
        promised=cell.promised,
        cases=len(result.outcomes),
        found=sum(o.found for o in result.outcomes),
        right_part=sum(o.right_part for o in result.outcomes),
        median_error=float(np.median(errors)) if errors else None,
        high_error=float(np.percentile(errors, 95)) if errors else None,
        already=sum(bool(o.already) for o in result.outcomes),
        comparable=sum(o.already is not None for o in result.outcomes),
        registered=kind.check in registered,
        planned=cell.cases,
        headline=cell.headline,
        median_aside_deg=float(np.median(aside)) if aside else None,
    )


def rates(results: Sequence[CleanResult], checks: Sequence[str]) -> list[Rate]:
    """For each set and half: a row a check, and one for all together; then for every set."""
    rows = []
    sets = list(dict.fromkeys(r.set for r in results))
    for which, half in sorted({(r.set, r.half) for r in results}, key=_place_in(sets)):
        ours = [r for r in results if (r.set, r.half) == (which, half)]
        rows += [_rate(which, ours, check) for check in (*checks, ALL)]
    for half in sorted({r.half for r in results if not is_cycles(r.set)}):
        ours = [r for r in results if r.half == half and not is_cycles(r.set)]
        rows += [_rate(EVERY_SET, ours, check) for check in (*checks, ALL)]
    return rows


def _place_in(sets: Sequence[str]) -> Callable[[tuple[str, str]], tuple[int, str]]:
    """The order of rows: as the sets come, A before B."""
    return lambda row: (sets.index(row[0]), row[1])


def _rate(which: str, ours: Sequence[CleanResult], check: str) -> Rate:
    found = [[a for a in r.alarms if check in (a.check, ALL)] for r in ours]
    return Rate(
        check=check,
        set=which,
        half=ours[0].half,
        clips=len(ours),
        seconds=sum(r.seconds for r in ours),
        events=sum(map(len, found)),
        majors=sum(a.severity == "major" for each in found for a in each),
        clips_with=sum(map(bool, found)),
    )
