# SPDX-License-Identifier: GPL-3.0-or-later
"""What the strip is to show now, read from the session: nothing here needs the GPU."""

from dataclasses import replace

import bpy
import numpy as np

from ...analysis.pipeline import Examination
from ...analysis.spacing_strip import SpacingStrip, speed_in, strip_of
from ...analysis.trails import Spot, finding_spot, lead_title, usual_spot
from ...analysis.words import frame_text
from ..overlay.choice import Choice, choice_of
from ..overlay.wanted import Wanted
from ..ui.last_check import LastCheck
from ..ui.session import session_of
from .shapes import nearest

_strip: dict[Choice, SpacingStrip] = {}
# What is wanted before the camera, and the same in the world.
_in_world: list[tuple[Wanted, Wanted]] = []


def in_world(context: bpy.types.Context, now: Wanted, check: LastCheck) -> Wanted:
    """What is wanted, with the choice as it would be where trails stand in the world."""
    if not now.choice.camera:
        return now
    if not _in_world or _in_world[0][0] is not now:
        _in_world[:] = [(now, replace(now, choice=choice_of(session_of(context), check)))]
    return _in_world[0][1]


def strip_shown(check: LastCheck, choice: Choice) -> SpacingStrip:
    """The chart of a choice, built when it is new."""
    if choice not in _strip:
        _strip.clear()
        examination = check.examination
        spot = spot_of(examination, choice)
        _strip[choice] = strip_of(examination, spot, read=choice.finding, quiet=choice.quiet)
    return _strip[choice]


def spot_of(examination: Examination, choice: Choice) -> Spot:
    """The point that shows the finding that is read, else the first picked part, else the lead."""
    if choice.with_finding and choice.finding >= 0:
        return finding_spot(examination, examination.shot.findings[choice.finding])
    title = choice.titles[0] if choice.titles else lead_title(examination)
    return usual_spot(examination, title)


def forget() -> None:
    """Drop the arrays."""
    _strip.clear()
    _in_world.clear()


def told_at(strip: SpacingStrip, frame: float) -> str:
    """What stands at the playhead: its frame, and how fast the step is that leads to it."""
    at = nearest(strip, frame)
    if at is None:
        return ""
    number, speed = frame_text(strip.frames[at]), strip.speed[at]
    if speed != speed:  # not known
        return f"f {number}: begins" if at == 0 else f"f {number}: not known"
    return f"f {number}: {speed_in(float(speed), strip.full)}"


def told_full(strip: SpacingStrip) -> str:
    """How fast the chart is high, and whether anything stands out of it."""
    if strip.full <= 0.0:
        return "stands still"
    cut = bool(np.nanmax(strip.speed) > strip.full)
    return f"{'cut at' if cut else 'top'} {speed_in(strip.full, strip.full)}"
