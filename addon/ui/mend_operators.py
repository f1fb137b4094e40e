# SPDX-License-Identifier: GPL-3.0-or-later
"""Mends of the finding that is read, or of what was asked: each for itself, undone in one step."""

from typing import Any

import bpy

from ...analysis.cause import Cause
from ...analysis.causes.advice import caution
from ..causes import mends
from ..causes.select import select_key
from ..sampling.scene_facts import time_stretch
from . import last_check
from .asked_session import asked_here
from .causes_session import chosen_finding
from .changes import why_old

LOOP = "double_frame"
NOTHING_READ = "Pick a finding whose cause is known."
TOO_LITTLE = "Mending this key alone does not clear the finding: follow the advice."
TOO_LITTLE_ASKED = "Mending this key alone changes little of it: look at the other keys too."
NOTHING_ASKED = "Ask what makes a part move so first."


def _subject(
    context: bpy.types.Context, *, asked: bool
) -> tuple[bpy.types.Object | None, Cause | None]:
    """The rig that was checked, and the first cause of the finding that is read, or of what was
    asked."""
    check = last_check.last_check()
    told = asked_here(context) if asked else chosen_finding(context)
    if check is None or told is None or not told.causes:
        return None, None
    return check.rig_in(context.scene), told.causes[0]


class _OfKey:
    """What is done to the key of the first cause of the finding that is read, or of what was asked.

    mend   the mend that it is; empty for whatever the cause tells
    """

    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012 - Blender reads this from the class
    mend = ""
    asked = False

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only while the answers are about keys that are still there; says why not."""
        why = why_old(context) or cls.why_not(context)
        if why:
            cls.poll_message_set(why.rstrip("."))  # type: ignore[attr-defined]
        return not why

    @classmethod
    def why_not(cls, context: bpy.types.Context) -> str:
        """Why the key cannot be mended so, as a sentence; or empty."""
        rig, cause = _subject(context, asked=cls.asked)
        if rig is None or cause is None:
            return NOTHING_ASKED if cls.asked else NOTHING_READ
        if cls.mend and cause.mend != cls.mend:
            return "The cause of this finding is mended otherwise."
        if not cause.is_mended:
            return caution(cause) or (TOO_LITTLE_ASKED if cls.asked else TOO_LITTLE)
        return mends.why_not(rig, cause, stretch=time_stretch(context.scene))

    def execute(self: Any, context: bpy.types.Context) -> set[str]:
        """Mend it, and say what was done."""
        rig, cause = _subject(context, asked=self.asked)
        assert rig is not None
        assert cause is not None
        told = mends.apply(rig, cause, stretch=time_stretch(context.scene))
        self.report({"INFO"}, f"{told} Press Check to measure again.")
        return {"FINISHED"}


class PLUMBLINE_OT_smooth_key(_OfKey, bpy.types.Operator):
    """Make the handles of the key that causes this finding smooth, and the curve on both sides"""

    bl_idname = "plumbline.smooth_key"
    bl_label = "Smooth Handles"
    mend = "smooth"


class PLUMBLINE_OT_move_key(_OfKey, bpy.types.Operator):
    """Give the key that causes this finding the values that are suggested"""

    bl_idname = "plumbline.move_key"
    bl_label = "Move Key to Suggestion"
    mend = "move"


class PLUMBLINE_OT_retime_key(_OfKey, bpy.types.Operator):
    """Move the key that causes this finding to the frame that is suggested"""

    bl_idname = "plumbline.retime_key"
    bl_label = "Move Key in Time"
    mend = "retime"


class PLUMBLINE_OT_spread_key(_OfKey, bpy.types.Operator):
    """Let the switch that causes this finding come on over some frames, by smooth handles"""

    bl_idname = "plumbline.spread_key"
    bl_label = "Spread Switch"
    mend = "spread"


class PLUMBLINE_OT_unwind_key(_OfKey, bpy.types.Operator):
    """Take out the whole turns that the keys of this finding jump by; the poses stay"""

    bl_idname = "plumbline.unwind_key"
    bl_label = "Unwind Rotation"
    mend = "unwind"


OF_MEND: dict[str, Any] = {
    each.mend: each
    for each in (
        PLUMBLINE_OT_smooth_key,
        PLUMBLINE_OT_move_key,
        PLUMBLINE_OT_retime_key,
        PLUMBLINE_OT_spread_key,
        PLUMBLINE_OT_unwind_key,
    )
}


class PLUMBLINE_OT_mend_asked(_OfKey, bpy.types.Operator):
    """Mend the key that makes what you asked about, as the line above says"""

    bl_idname = "plumbline.mend_asked"
    bl_label = "Mend Asked Key"
    asked = True


class _Select(_OfKey):
    """Selects the key instead."""

    @classmethod
    def why_not(cls, context: bpy.types.Context) -> str:
        """Why there is nothing to select."""
        rig, cause = _subject(context, asked=cls.asked)
        if rig is None or cause is None:
            return NOTHING_ASKED if cls.asked else NOTHING_READ
        if context.mode not in ("OBJECT", "POSE"):
            return "Go to Object Mode or Pose Mode first."
        if rig.library is not None or not rig.visible_get():
            return "Show the rig first; one that is linked has no poses to select."
        return mends.why_gone(rig, cause)

    def execute(self: Any, context: bpy.types.Context) -> set[str]:
        """Select them."""
        rig, cause = _subject(context, asked=self.asked)
        assert rig is not None
        assert cause is not None
        select_key(context, rig, cause)
        return {"FINISHED"}


class PLUMBLINE_OT_select_key(_Select, bpy.types.Operator):
    """Select the control and the key that cause this finding, and no other key of the rig"""

    bl_idname = "plumbline.select_key"
    bl_label = "Select Key"


class PLUMBLINE_OT_select_asked_key(_Select, bpy.types.Operator):
    """Select the control and the key that make what you asked about, and no other key of the rig"""

    bl_idname = "plumbline.select_asked_key"
    bl_label = "Select Key"
    asked = True


class PLUMBLINE_OT_play_loop(bpy.types.Operator):
    """End the range that plays before the frames that repeat its beginning"""

    bl_idname = "plumbline.play_loop"
    bl_label = "Set Range to Loop"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only for a finding that says where the loop ends."""
        why = why_old(context)
        if not why and _loop_end(context) is None:
            why = "Pick a finding of frames that a loop repeats."
        if why:
            cls.poll_message_set(why.rstrip("."))
        return not why

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Set the end of the range, or of the preview range where that is on."""
        last = _loop_end(context)
        assert last is not None
        self.report({"INFO"}, f"{mends.play_loop(context.scene, last)} Press Check to measure it.")
        return {"FINISHED"}


def _loop_end(context: bpy.types.Context) -> float | None:
    finding = chosen_finding(context)
    if finding is None or finding.check != LOOP or finding.suggestion is None:
        return None
    return finding.suggestion.frame
