# SPDX-License-Identifier: GPL-3.0-or-later
"""Lines that go with another one's cause fold under it: which are shown, and in which order."""

from collections.abc import Sequence
from typing import Any

from ...analysis.finding import Finding


def leaders_of(findings: Sequence[Finding]) -> list[int]:
    """For each finding the number of the line that it folds under; -1 where it stands alone.

    One that goes with a line which goes with a third folds under the third: there is one level.
    """
    places = {finding.id: number for number, finding in enumerate(findings)}
    after = [places.get(finding.after or "", -1) for finding in findings]
    return [_top(after, number) for number in range(len(after))]


def _top(after: Sequence[int], number: int) -> int:
    """The end of a chain; -1 for a line that is in a ring, or that leads itself."""
    at, passed = after[number], {number}
    while at >= 0 and at not in passed and after[at] >= 0:
        passed.add(at)
        at = after[at]
    return -1 if at in passed else at


def order_of(lines: Sequence[Any]) -> list[int]:
    """The place of each line, with those that fold under one right after it."""
    keys = [(line.leader, 1, n) if line.leader >= 0 else (n, 0, n) for n, line in enumerate(lines)]
    places = [0] * len(keys)
    for place, number in enumerate(sorted(range(len(keys)), key=keys.__getitem__)):
        places[number] = place
    return places
