# SPDX-License-Identifier: GPL-3.0-or-later
"""Causes that are still right: those of findings that are the same in all their numbers; and those
that others had, until a search tells them again."""

from collections.abc import Mapping
from dataclasses import replace

from ...analysis import Finding, Shot


def with_known_causes(shot: Shot, before: Shot) -> tuple[Shot, bool]:
    """A shot's findings with the causes that the same ones had before; and whether all are the
    same, and no other has gone."""
    known = {each.id: each for each in before.findings}
    findings, found = [], 0
    for finding in shot.findings:
        was = known.get(finding.id)
        if was is not None and _plain(was) == _plain(finding):
            found += 1
            finding = replace(
                finding,
                causes=was.causes,
                suggestion=was.suggestion,
                clears=was.clears,
                after=was.after,
            )
        findings.append(finding)
    names = {each.id for each in findings}
    tied = tuple(_tied(each, names) for each in findings)
    return replace(shot, findings=tied), found == len(findings) == len(known)


def causes_before(
    shot: Shot, before: Shot, was: Mapping[str, Finding], *, explained: bool
) -> dict[str, Finding]:
    """By ids, the findings of a shot whose causes are not known now, as they stood when these were.

    shot       with the causes that are still right
    before     the shot before it; explained: whether all its causes were known
    was        the same of that one
    """
    known = {} if explained else dict(was)
    known |= {each.id: each for each in before.findings if explained or each.causes}
    lacking = (each.id for each in shot.findings if not each.causes)
    return {name: known[name] for name in lacking if name in known}


def _plain(finding: Finding) -> Finding:
    return replace(finding, causes=(), suggestion=None, clears=(), after=None, intended=None)


def _tied(finding: Finding, names: set[str]) -> Finding:
    """A finding that names no other one that is gone."""
    clears = tuple(each for each in finding.clears if each in names)
    return replace(finding, clears=clears, after=finding.after if finding.after in names else None)
