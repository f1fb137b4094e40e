# SPDX-License-Identifier: GPL-3.0-or-later
"""What is to be drawn, as one small value: while it stays equal, nothing is built anew."""

from dataclasses import dataclass
from typing import Any

from ..ui.last_check import LastCheck

# How a camera draws what lies further away: as large, or smaller.
FLAT, DEEP = "flat", "deep"


@dataclass(frozen=True)
class Choice:
    """serial       of the check that is drawn
    titles       the picked parts, in fixing order
    finding      index of the finding that is read, or -1
    with_finding whether the part that shows it is drawn as well
    quiet        indices of the findings that are kept as intended
    camera       FLAT or DEEP, as the camera of now draws what is placed before it;
                 empty where trails stand in the world
    """

    serial: int
    titles: tuple[str, ...]
    finding: int
    with_finding: bool
    quiet: tuple[int, ...] = ()
    camera: str = ""


def choice_of(session: Any, check: LastCheck, camera: str = "") -> Choice:
    """Read the session; costs some microseconds."""
    trails = session.trails
    read = session.active if 0 <= session.active < len(session.findings) else -1
    return Choice(
        serial=check.serial,
        titles=tuple(item.title for item in trails.parts if item.shown),
        finding=read,
        with_finding=trails.finding,
        quiet=tuple(n for n, line in enumerate(session.findings) if line.reason),
        camera=camera,
    )


def span_of(session: Any, playhead: float) -> tuple[float, float] | None:
    """First and last frame to draw; None for all of them."""
    trails = session.trails
    if trails.span == "whole":
        return None
    return playhead - trails.before, playhead + trails.after
