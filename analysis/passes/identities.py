# SPDX-License-Identifier: GPL-3.0-or-later
"""The ids of a pass: findings inherit theirs, new ones get some that nobody has."""

from collections.abc import Collection
from dataclasses import dataclass, replace

from ..finding import Finding, Shot
from .kept import Kept, Pass, Said, kept_of
from .match import match
from .times import TimeMap


@dataclass(frozen=True, eq=False)
class Known:
    """Findings with their ids, in the order of the shot.

    was    by id the finding of the pass before
    back   ids of those that had gone away in an earlier pass
    """

    findings: tuple[Finding, ...]
    was: dict[str, Kept]
    back: frozenset[str]


def recognised(shot: Shot, before: Pass, said: Said, time: TimeMap) -> Known:
    """The findings of a shot under the ids of the pass before."""
    there = [*before.findings, *before.unseen]
    ids = {each.id for each in (*there, *before.fixed)}
    # What was kept on purpose is remembered for longer than the passes are.
    lost = [each.finding for each in said.intended if each.finding.id not in ids]
    gone = [*before.fixed, *lost]
    olds = [*there, *gone]
    news = [kept_of(each, shot) for each in shot.findings]
    found = match(olds, len(gone), news, time, shot.fps)
    taken = {each.id for each in olds}
    findings = []
    for n, finding in enumerate(shot.findings):
        name = olds[found[n]].id if n in found else _free(finding.id, taken)
        taken.add(name)
        findings.append(replace(finding, id=name))
    return Known(
        findings=tuple(findings),
        was={olds[m].id: olds[m] for m in found.values() if m < len(there)},
        back=frozenset(olds[m].id for m in found.values() if len(there) <= m),
    )


def _free(wanted: str, taken: Collection[str]) -> str:
    """An id that nobody has: `pop:head:34`, else `pop:head:34:2`."""
    name, number = wanted, 1
    while name in taken:
        number += 1
        name = f"{wanted}:{number}"
    return name
