# SPDX-License-Identifier: GPL-3.0-or-later
"""Causes among the answers: kept with the last check, and which lines fold under which."""

from typing import Any

import bpy

from ...analysis import Finding, Shot
from . import last_check
from .folding import leaders_of
from .session import is_here, session_of


def store_causes(session: Any, shot: Shot) -> None:
    """Show the causes of the findings that are listed; raises ValueError for other findings."""
    last_check.retell(shot)
    lines = session.findings
    for line in lines:
        line.folds = 0
    for line, finding, leader in zip(lines, shot.findings, leaders_of(shot.findings), strict=True):
        line.leader = leader
        line.mend = finding.suggestion.text if finding.suggestion else ""
        if leader >= 0:
            lines[leader].folds += 1
    session.folding = any(line.folds for line in lines)
    if 0 <= session.active < len(lines) and lines[session.active].leader >= 0:
        lines[lines[session.active].leader].open = True  # what is read stays in sight
    session.explained, session.progress = True, -1.0


def chosen_finding(context: bpy.types.Context) -> Finding | None:
    """The finding that is picked in the list, as the last check of this scene has it."""
    check, session = last_check.last_check(), session_of(context)
    if check is None or not len(session.findings) or not is_here(context):
        return None
    findings = check.examination.shot.findings
    return findings[min(session.active, len(findings) - 1)] if findings else None


def all_findings() -> tuple[Finding, ...]:
    """The findings of the last check."""
    check = last_check.last_check()
    return () if check is None else check.examination.shot.findings
