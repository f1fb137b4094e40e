# SPDX-License-Identifier: GPL-3.0-or-later
"""What tells of all keys that move a rig, as a text that can be kept in a file.

`key_numbers` says the same for as long as Blender runs: those numbers are others in another run.
Names of blocks are left out, so that renaming one changes nothing.
"""

from collections.abc import Iterator
from hashlib import blake2b
from typing import Any

import bpy

from .curve_numbers import all_fcurves, each_strip, told_of_curve
from .reach import Reach

_STRIP = (
    *("mute", "frame_start", "frame_end", "action_frame_start", "action_frame_end"),
    *("scale", "repeat", "use_reverse", "blend_type", "extrapolation", "blend_in", "blend_out"),
)


def key_text(rig: bpy.types.Object) -> str:
    """A text that is another one once keys, or the strips that play them, have changed: of the rig
    and of all that it hangs on."""
    told = sorted(_text(each) for block in Reach(rig).blocks for each in _of_block(block))
    return _text(told)


def _of_block(block: Any) -> Iterator[Any]:
    """What a block plays, by itself and in strips."""
    data = getattr(block, "animation_data", None)
    if data is None:
        return
    if data.action is not None and not data.use_tweak_mode:
        yield "action", _of_action(data.action, getattr(data, "action_slot", None))
    for track in data.nla_tracks:
        for strip in each_strip(track.strips):
            lies = [getattr(strip, name) for name in _STRIP]
            keyed = [told_of_curve(0, fcurve) for fcurve in strip.fcurves]
            still = None if strip.use_animated_influence else strip.influence
            played: list[str] = []
            if strip.action is not None:
                played = _of_action(strip.action, getattr(strip, "action_slot", None))
            yield "strip", track.mute, track.is_solo, lies, keyed, still, played


def _of_action(action: Any, slot: Any) -> list[str]:
    handle = 0 if slot is None else slot.handle
    # Where actions have slots, none of them plays without one.
    plays = slot is not None or not hasattr(action, "layers")
    curves = ((at, fcurve) for at, fcurve in all_fcurves(action) if plays and at == handle)
    return sorted(_text(told_of_curve(0, fcurve)) for _at, fcurve in curves)


def _text(told: Any) -> str:
    return blake2b(repr(told).encode(), digest_size=16).hexdigest()
