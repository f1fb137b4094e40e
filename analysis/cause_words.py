# SPDX-License-Identifier: GPL-3.0-or-later
"""Causes in the words of the panel and of the terminal."""

from collections.abc import Sequence

from .basis import Body
from .cause import Cause
from .finding import Finding
from .parts import label, split_part
from .words import frame_text

# Causes beyond these, and those of a smaller share, stand in the JSON alone; what no single key
# explains is told besides, where it is as much.
MOST_CAUSES, LEAST_SHARE = 3, 0.05


def cause_text(cause: Cause) -> str:
    """`torso, location, key 34 (72 %): linear key: enters at 3.1 cm a frame, leaves at 0.4`."""
    if cause.control is None:
        if cause.share >= 1.0 - LEAST_SHARE:
            return f"{cause.title} explains it: several may make it together"
        return f"{cause.title} explains the rest ({cause.share * 100.0:.0f} %)"
    told = f"{cause.title} ({cause.share * 100.0:.0f} %)"
    return f"{told}: {cause.why}" if cause.why else told


def told_causes(causes: Sequence[Cause]) -> tuple[Cause, ...]:
    """Those that are read: the first few, and last what no single key explains."""
    keyed = [c for c in causes if c.control is not None and c.share >= LEAST_SHARE]
    rest = [c for c in causes if c.control is None and c.share >= LEAST_SHARE]
    return (*keyed[:MOST_CAUSES], *rest)


def place_text(finding: Finding) -> str:
    """Where a finding's first cause is: `torso, frame 34`; the finding itself where it has none."""
    first = finding.causes[0] if finding.causes else None
    if first is None or first.control is None:
        return f"{finding.title}, frame {frame_text(finding.peak_frame)}"
    if first.frame is None:
        return first.control
    return f"{first.control}, frame {frame_text(first.frame)}"


def asked_text(body: Body, frame: float) -> str:
    """What was asked about: `left hand, frame 34`; a prop and a bone go by their own names."""
    part = body.part
    named = part is None or split_part(part)[0] == "prop" or body.added
    return f"{body.name if named or part is None else label(part)}, frame {frame_text(frame)}"


def clears_text(finding: Finding, findings: Sequence[Finding]) -> str:
    """`Mend torso, frame 34: 7 of 12 lines go.`; empty where no other line goes with it."""
    here = {each.id for each in findings}
    others = {each for each in finding.clears if each in here and each != finding.id}
    if not others or finding.after in here:  # the line that it folds under says so
        return ""
    return f"Mend {place_text(finding)}: {len(others) + 1} of {len(findings)} lines go."


def goes_with_text(finding: Finding, findings: Sequence[Finding]) -> str:
    """`It goes once torso, frame 34, is mended.`; empty for a finding that stands by itself."""
    leader = next((each for each in findings if each.id == finding.after), None)
    if leader is None or leader.id == finding.id:
        return ""
    return f"It goes once {place_text(leader)}, is mended."
