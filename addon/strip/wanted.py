# SPDX-License-Identifier: GPL-3.0-or-later
"""What the strip is to show now, read from the session: nothing here needs the GPU."""

from dataclasses import dataclass
from typing import Any

import bpy
import numpy as np

from ...analysis.pipeline import Examination
from ...analysis.spacing_strip import SpacingStrip, speed_in, strip_of
from ...analysis.trails import Spot, finding_spot, lead_title, usual_spot
from ...analysis.words import frame_text
from ..overlay.choice import Choice, choice_of, span_of
from ..overlay.look import Look, look_of
from ..ui import last_check
from ..ui.last_check import LastCheck
from ..ui.preferences import is_imperial
from .shapes import nearest

_strip: dict[Choice, SpacingStrip] = {}


@dataclass(frozen=True)
class Wanted:
    """choice    which check, part and finding
    span      the frames that trails are drawn over, None for all
    playhead  the current frame
    fades     whether frames after it are told apart
    look      colours and sizes
    imperial  speeds are told in feet
    """

    choice: Choice
    span: tuple[float, float] | None
    playhead: float
    fades: bool
    look: Look
    imperial: bool


def wanted(session: Any, context: bpy.types.Context) -> Wanted | None:
    """What to draw in the context's scene; None where the strip is off, or it was not checked."""
    check, scene = last_check.last_check(), context.scene
    if check is None or not (session.trails.show and session.spacing.strip):
        return None
    if not check.is_of(scene):
        return None
    playhead = float(scene.frame_current_final)
    return Wanted(
        choice=choice_of(session, check),
        span=span_of(session, playhead),
        playhead=playhead,
        fades=session.trails.fade_ahead,
        look=look_of(context),
        imperial=is_imperial(context),
    )


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
