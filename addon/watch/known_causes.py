# SPDX-License-Identifier: GPL-3.0-or-later
"""Causes that are still right: those of findings that are the same in all their numbers."""

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


def _plain(finding: Finding) -> Finding:
    return replace(finding, causes=(), suggestion=None, clears=(), after=None, intended=None)


def _tied(finding: Finding, names: set[str]) -> Finding:
    """A finding that names no other one that is gone."""
    clears = tuple(each for each in finding.clears if each in names)
    return replace(finding, clears=clears, after=finding.after if finding.after in names else None)
