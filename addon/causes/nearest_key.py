# SPDX-License-Identifier: GPL-3.0-or-later
"""The key of a control that is nearest to a scene frame, in whichever action or strip plays it."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import bpy
import numpy as np

from ...analysis.curves import Curve
from ..sampling.curves import (
    Source,
    bone_of,
    object_control,
    playing_fcurves,
    playing_sources,
)
from .key_places import SAME_FRAME, KeyPlace

# A moment that falls so little short of a strip's next round is its beginning.
_SAME_ROUND = 1e-6


@dataclass(frozen=True)
class NearKey:
    """A key of a control: on one frame of one action, in all channels that have one there.

    frame    scene frame on which it plays, in the round of the strip that was asked about
    places   the curves and their keys
    """

    source: Source
    frame: float
    places: tuple[KeyPlace, ...]

    def is_on(self, frame: float) -> bool:
        """Whether it plays on this scene frame, or between it and the next (a scaled strip)."""
        return abs(self.frame - frame) <= 0.5 + SAME_FRAME


def most_direct(curves: Iterable[Curve], joint: str, also: str = "") -> str | None:
    """The control whose keys move a joint and the fewest others; None where no curve moves it.

    Of several alike the one that bears the joint's name, then the first by name. Where a joint is
    told `also`, that has to go along: a pole turns an arm and leaves the hand where it is.
    """
    driven: dict[str, set[str]] = {}
    for curve in curves:
        if not curve.owner:
            driven.setdefault(curve.control, set()).update(curve.drives)
    fit = [control for control, joints in driven.items() if {joint, also or joint} <= joints]
    return min(fit, key=lambda each: (len(driven[each]), each != joint, each), default=None)


def nearest_key(
    owner: bpy.types.Object, control: str, frame: float, *, stretch: float = 1.0
) -> NearKey | None:
    """The nearest key of a control to a scene frame; None where no curve of it plays.

    `stretch` is the scene's time remapping, see `scene_facts.time_stretch`. Of several layers
    the one that plays on that frame counts, and of those the nearest key.
    """
    found = []
    for source in playing_sources(owner):
        moment = frame / stretch
        first, last = source.frames or (-math.inf, math.inf)
        asked = action_time(source, moment)
        for fcurve in playing_fcurves(owner, source):
            if len(fcurve.keyframe_points) and _control_of(owner, fcurve) == control:
                at, key_frame = _nearest(fcurve, asked)
                away = (key_frame - asked) * source.scale
                off = max(first - moment, moment - last, 0.0)
                found.append((off > 0.0, abs(away) + off, source, fcurve, at, key_frame, away))
    if not found:
        return None
    _out, _far, source, _curve, _at, action_frame, away = min(found, key=lambda each: each[:2])
    alike = tuple(
        KeyPlace(fcurve, at, control)
        for _o, _f, of, fcurve, at, key_frame, _a in found
        if of is source and abs(key_frame - action_frame) < SAME_FRAME
    )
    held = frame if source.frames is None else _inside(source, frame / stretch) * stretch
    return NearKey(source, held + away * stretch, alike)


def action_time(source: Source, moment: float) -> float:
    """The action's frame that plays at a frame of animation; a strip holds its ends."""
    if source.frames is None:
        return (moment - source.offset) / source.scale
    first, last = source.frames
    moment = _inside(source, moment)
    if source.rounds != 1.0 and source.round_frames > 0.0:
        number = math.floor((moment - first) / source.round_frames + _SAME_ROUND)
        if moment == last and round(source.rounds) == source.rounds:
            number = round(source.rounds) - 1  # the end of the last round
        moment -= number * source.round_frames
    return (moment - source.offset) / source.scale


def _inside(source: Source, moment: float) -> float:
    assert source.frames is not None
    return min(max(moment, source.frames[0]), source.frames[1])


def _control_of(owner: Any, fcurve: Any) -> str:
    return bone_of(fcurve.data_path) or object_control(owner)


def _nearest(fcurve: Any, asked: float) -> tuple[int, float]:
    """The number and the action frame of a curve's nearest key."""
    points = np.zeros(2 * len(fcurve.keyframe_points), dtype=np.float32)
    fcurve.keyframe_points.foreach_get("co", points)
    at = int(np.abs(points[::2] - asked).argmin())
    return at, float(points[2 * at])
