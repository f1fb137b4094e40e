# SPDX-License-Identifier: GPL-3.0-or-later
"""What a list of findings is sorted and filtered by: how big each one is, and where it is."""

from collections.abc import Iterable

from .finding import Finding
from .parts import ARM, LEG, TRUNK, split_part

# Groups of parts, the body first; `rest` is props, cameras, tails, and what has no part.
GROUPS = ("body", "head", "legs", "arms", "rest")
_HEAD = ("neck", "head")


def times_over(finding: Finding) -> float:
    """How many times a finding's amount is over its limit; endless where nothing is allowed.

    Amounts have units of their own (cm, degrees, frames); their limits are what an audience just
    tolerates of each, so the ratio is what can be compared.
    """
    return finding.amount / finding.limit if finding.limit > 0.0 else float("inf")


def bigness(finding: Finding) -> tuple[bool, float]:
    """Sort key, biggest last: what is major is bigger than all that is minor, then `times_over`."""
    return (finding.severity == "major", times_over(finding))


def places_by_size(findings: Iterable[Finding]) -> list[int]:
    """For each finding its place when the biggest is first, from 0; ties stay in order."""
    sizes = [bigness(finding) for finding in findings]
    order = sorted(range(len(sizes)), key=lambda n: (not sizes[n][0], -sizes[n][1]))
    places = [0] * len(sizes)
    for place, number in enumerate(order):
        places[number] = place
    return places


def group_of(finding: Finding) -> str:
    """The group of parts that a finding is in: one of `GROUPS`."""
    if finding.part is None:
        return "body" if finding.is_whole_figure else "rest"
    kind, _side = split_part(finding.part)
    if kind in _HEAD:
        return "head"
    for group, kinds in (("body", TRUNK), ("legs", LEG), ("arms", ARM)):
        if kind in kinds:
            return group
    return "rest"
