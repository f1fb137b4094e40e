# SPDX-License-Identifier: GPL-3.0-or-later
"""Mends that the user asks for, one at a time: the range of a loop, and the key of a cause.

Each changes what it says and nothing else; that it can be undone is the operators' part.
"""

import math
from collections.abc import Callable
from typing import Any

import bpy

from ...analysis.cause import Cause
from ...analysis.causes.edit_words import held_text, turn_text, values_text
from ...analysis.words import frame_text
from ..sampling.curves import Source
from .key_places import SAME_FRAME, KeyPlace, keys_at, keys_of, source_of


def why_not(rig: bpy.types.Object, cause: Cause, *, stretch: float = 1.0) -> str:
    """Why a cause cannot be mended here, as a sentence; empty where it can.

    `stretch` is the scene's time remapping, scene frames for one frame of animation.
    """
    if cause.mend not in _MENDS:
        return f"{cause.title} has no mend of its own, expected a key: mend it by hand."
    if why := why_gone(rig, cause):
        return why
    source, places = source_of(rig, cause), keys_of(rig, cause)
    assert source is not None
    if not source.action.is_editable or source.action.override_library is not None:
        return (
            f"The action {source.action.name!r} is linked from another file, expected one of this "
            "file: mend it there."
        )
    if cause.mend in ("move", "unwind"):
        return _why_not_moved(rig, source, cause, stretch)
    if cause.mend in ("retime", "spread"):
        return _why_not_retimed(source, cause, places, stretch) or _why_locked(places)
    return _why_locked(places)


def why_gone(rig: bpy.types.Object, cause: Cause) -> str:
    """Why the key of a cause cannot be found, as a sentence; empty where it can."""
    if keys_of(rig, cause):
        return ""
    if cause.control is None or cause.action_frame is None:
        return "No key is known to cause this finding, expected one: mend it by hand."
    if source_of(rig, cause) is None:
        return (
            f"{cause.title} is in no action that {rig.name!r} plays now, expected the keys of the "
            "last check: check again, or mend it where it is."
        )
    return f"The key is gone ({cause.title}), expected the keys of the last check: check again."


def apply(rig: bpy.types.Object, cause: Cause, *, stretch: float = 1.0) -> str:
    """Mend a cause's key as `cause.mend` says; returns what was done, in words.

    Only where `why_not` has nothing to say.
    """
    source = source_of(rig, cause)
    assert source is not None
    return _MENDS[cause.mend](rig, source, cause, stretch)


def play_loop(scene: bpy.types.Scene, last: float) -> str:
    """End the range that plays (the preview range where that is on) on a frame; says so."""
    end = round(last)
    if scene.use_preview_range:
        scene.frame_preview_end = end
        return f"The preview range plays {scene.frame_preview_start} to {end}."
    scene.frame_end = end
    return f"The scene plays {scene.frame_start} to {end}."


def _why_locked(places: list[KeyPlace]) -> str:
    for place in places:
        curve = place.fcurve
        if curve.lock or (curve.group is not None and curve.group.lock):
            return (
                f"The curve of {place.named} is locked, expected one that may change: unlock it "
                "first."
            )
    return ""


def _why_not_moved(rig: bpy.types.Object, source: Source, cause: Cause, stretch: float) -> str:
    if not cause.edits:
        return f"{cause.title} has no values to move to, expected some: mend it by hand."
    places = []
    for edit in cause.edits:
        frame = _in_action(source, cause, edit.frame, stretch)
        found = keys_at(rig, source, edit.control, edit.channel, frame)
        if not found:
            return (
                f"{edit.control} has no key at {frame_text(edit.frame)} on {edit.channel}, "
                "expected the keys of the last check: check again."
            )
        places += found
    return _why_locked(places)


def _why_not_retimed(source: Source, cause: Cause, places: list[KeyPlace], stretch: float) -> str:
    if cause.to_frame is None:
        return f"{cause.title} has no frame to go to, expected one: mend it by hand."
    frame = _in_action(source, cause, cause.to_frame, stretch)
    for place in places:
        keys, at = place.fcurve.keyframe_points, place.at
        before = keys[at - 1].co.x if at else -math.inf
        after = keys[at + 1].co.x if at + 1 < len(keys) else math.inf
        if not before + SAME_FRAME < frame < after - SAME_FRAME:
            return (
                f"Another key of {cause.control} is in the way of frame "
                f"{frame_text(cause.to_frame)}, expected none: move or delete that one first."
            )
    return ""


def _in_action(source: Source, cause: Cause, frame: float, stretch: float) -> float:
    """A frame of the scene as one of the action, counted from the cause's key."""
    assert cause.frame is not None
    assert cause.action_frame is not None
    return cause.action_frame + (frame - cause.frame) / (source.scale * stretch)


def _smooth(rig: bpy.types.Object, _source: Source, cause: Cause, _stretch: float) -> str:
    for place in keys_of(rig, cause):
        keys = place.fcurve.keyframe_points
        # A key says how the segment after it goes.
        for at in range(max(place.at - 1, 0), place.at + 1):
            keys[at].interpolation = "BEZIER"
        keys[place.at].handle_left_type = keys[place.at].handle_right_type = "AUTO_CLAMPED"
        place.fcurve.update()
    return f"{cause.title}: its handles are smooth."


def _move(rig: bpy.types.Object, source: Source, cause: Cause, stretch: float) -> str:
    for edit in cause.edits:
        frame = _in_action(source, cause, edit.frame, stretch)
        for place in keys_at(rig, source, edit.control, edit.channel, frame):
            place.key.co_ui = (place.key.co.x, _held(edit.channel, edit.after))
            place.fcurve.update()
    return f"{cause.title}: {_moved_text(cause)}."


def _moved_text(cause: Cause) -> str:
    if cause.mend == "unwind":
        return "the turn is taken out of it and those after it"
    if held := held_text(cause.edits):
        return f"held {held}"
    here = [e for e in cause.edits if abs(e.frame - (cause.frame or 0.0)) < SAME_FRAME]
    turn = turn_text(here)
    return (f"turned by {turn}" if turn else values_text(here)) or "its values are mended"


def _held(channel: str, shown: float) -> float:
    """A value as Blender holds it: fields show Euler angles in degrees."""
    return math.radians(shown) if channel.startswith("rotation_euler") else shown


def _retime(rig: bpy.types.Object, source: Source, cause: Cause, stretch: float) -> str:
    assert cause.to_frame is not None
    frame = _in_action(source, cause, cause.to_frame, stretch)
    for place in keys_of(rig, cause):
        place.key.co_ui = (frame, place.key.co.y)
        place.fcurve.update()
    return f"{cause.title} is at {frame_text(cause.to_frame)} now."


def _spread(rig: bpy.types.Object, source: Source, cause: Cause, stretch: float) -> str:
    """Its own frame or a later one, and a smooth way there from the key before."""
    assert cause.to_frame is not None
    frame = _in_action(source, cause, cause.to_frame, stretch)
    for place in keys_of(rig, cause):
        place.key.co_ui = (frame, place.key.co.y)
        keys = place.fcurve.keyframe_points
        keys[place.at - 1].interpolation = "BEZIER"
        for key in (keys[place.at - 1], keys[place.at]):
            key.handle_left_type = key.handle_right_type = "AUTO_CLAMPED"
        place.fcurve.update()
    return f"{cause.title} is reached smoothly at {frame_text(cause.to_frame)} now."


_MENDS: dict[str, Callable[[Any, Any, Cause, float], str]] = {
    "smooth": _smooth,
    "move": _move,
    "retime": _retime,
    "spread": _spread,
    "unwind": _move,
}
