# SPDX-License-Identifier: GPL-3.0-or-later
"""The active action becomes a strip on a track of its own, as Blender's Push Down Action does it.

Blender's operator needs a window with the NLA editor in it; this needs none. A strip ends where
its keys end: where curves go on beyond them (cycles, linear extrapolation), it is made as long as
what anybody looks at, so that nothing moves otherwise than before.
"""

from typing import Any

from ...sampling.curves import action_fcurves


def push_down(data: Any, seen: tuple[float, float]) -> None:
    """Push the active action of an animation data-block down, where there is one.

    seen   frames of animation from the first to the last that anybody looks at
    """
    action, slot = data.action, getattr(data, "action_slot", None)
    if action is None:
        return
    goes_on = any(_goes_on(curve) for curve in action_fcurves(action, slot))
    strip = data.nla_tracks.new().strips.new(action.name, int(action.frame_range[0]), action)
    if slot is not None:
        strip.action_slot = slot
    strip.use_sync_length = strip.use_auto_blend = False
    first, last = float(strip.action_frame_start), float(strip.action_frame_end)
    if goes_on and data.action_extrapolation == "HOLD":
        first, last = min(first, seen[0]), max(last, seen[1])
    lay(strip, first, last)
    strip.blend_type = data.action_blend_type
    strip.extrapolation = data.action_extrapolation
    if data.action_influence < 1.0:
        strip.use_animated_influence = True
        strip.influence = data.action_influence
        # Blender gives an animated influence a key of its own, with what was there before.
        for curve in strip.fcurves:
            for key in curve.keyframe_points:
                key.co_ui = (key.co.x, data.action_influence)
            curve.update()
    data.action = None


def lay(strip: Any, first: float, last: float) -> None:
    """Let a strip play its action's frames from first to last, on just these."""
    # Neither end may pass the other on the way, so the first one takes two attempts.
    strip.action_frame_start = first
    strip.action_frame_end = last
    strip.action_frame_start = first
    strip.frame_end_raw, strip.frame_start_raw = last, first
    strip.scale, strip.repeat = 1.0, 1.0


def _goes_on(curve: Any) -> bool:
    """Whether a curve changes beyond its keys."""
    return curve.extrapolation == "LINEAR" or any(not each.mute for each in curve.modifiers)
