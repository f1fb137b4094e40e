# SPDX-License-Identifier: GPL-3.0-or-later
"""Causes among the answers: kept with the last check, and which lines fold under which."""

from typing import Any

import bpy

from ...analysis import Finding, Shot
from . import last_check
from .session import is_here, session_of
from .shown import as_known, fold, said_about, settled


def store_causes(session: Any, shot: Shot) -> None:
    """Show the causes of the findings that are listed; raises ValueError for other findings."""
    last_check.retell(shot)
    check = last_check.last_check()
    if check is not None:  # something may have been kept as intended while the search went on
        last_check.show(settled(check, said_about(check)[0]))
    fold(session, shot)
    session.explained, session.progress = True, -1.0


def chosen_finding(context: bpy.types.Context) -> Finding | None:
    """The finding that is picked in the list, as the last check of this scene has it; None where
    none is."""
    check, session = last_check.last_check(), session_of(context)
    if check is None or not len(session.findings) or not is_here(context):
        return None
    findings = check.examination.shot.findings
    at = min(session.active, len(findings) - 1)
    return findings[at] if at >= 0 else None


def told_finding(context: bpy.types.Context) -> tuple[Finding | None, bool]:
    """The same with what is told of its causes, and whether that is of before the last edits, and
    looked for again."""
    finding, check = chosen_finding(context), last_check.last_check()
    if finding is None or check is None or finding.id not in check.was:
        return finding, False
    return check.was[finding.id], True


def all_findings() -> tuple[Finding, ...]:
    """The findings of the last check, with what is told of their causes."""
    check = last_check.last_check()
    return () if check is None else as_known(check.examination.shot.findings, check.was)
