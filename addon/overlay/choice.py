# SPDX-License-Identifier: GPL-3.0-or-later
"""What is to be drawn, as one small value: while it stays equal, nothing is built anew."""

from dataclasses import dataclass
from typing import Any

from ..ui.last_check import LastCheck
from ..ui.listed import times_listed

# How a camera draws what lies further away: as large, or smaller.
FLAT, DEEP = "flat", "deep"
_Listed = tuple[tuple[str, ...], tuple[int, ...], int]
_listed: dict[str, Any] = {}


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


# What was chosen last, by `camera`.
_known: dict[str, Choice] = {}


def choice_of(session: Any, check: LastCheck, camera: str = "") -> Choice:
    """Read the session; costs some microseconds, and gives the same object while it is the same."""
    trails, read = session.trails, session.active
    titles, quiet, count = _listed_of(session)
    shown = [False] * len(titles)
    if titles:
        trails.parts.foreach_get("shown", shown)
    choice = Choice(
        serial=check.serial,
        titles=tuple(title for title, each in zip(titles, shown, strict=True) if each),
        finding=read if 0 <= read < count else -1,
        with_finding=trails.finding,
        quiet=quiet,
        camera=camera,
    )
    known = _known.get(camera)
    if known == choice:
        return known
    _known[camera] = choice
    return choice


def _listed_of(session: Any) -> _Listed:
    """Titles of the parts, the findings that are kept as intended, and how many there are."""
    parts, findings = session.trails.parts, session.findings
    key = (times_listed(), len(parts), len(findings))
    if _listed.get("key") != key:
        quiet = tuple(n for n, line in enumerate(findings) if line.reason)
        _listed["key"] = key
        _listed["held"] = tuple(item.title for item in parts), quiet, len(findings)
    held: _Listed = _listed["held"]
    return held


def span_of(session: Any, playhead: float) -> tuple[float, float] | None:
    """First and last frame to draw; None for all of them."""
    trails = session.trails
    if trails.span == "whole":
        return None
    return playhead - trails.before, playhead + trails.after
