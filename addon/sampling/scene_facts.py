# SPDX-License-Identifier: GPL-3.0-or-later
"""What a scene says without being stepped: its rigs, its range, its rate."""

from pathlib import Path
from typing import Any

import bpy

from ...analysis.errors import PlumblineError
from ...analysis.plain_text import number_text
from ..signals.ours import is_signals
from ..sphere.ours import UPRIGHT_OF

# Blender's MAXFRAME and MINAFRAME.
LAST_FRAME = 1048574
# A longer range does not fit into memory beside a full rig; a quarter of an hour at 24 fps does.
MOST_FRAMES = 25000


def scene_rigs(scene: bpy.types.Scene) -> list[bpy.types.Object]:
    """Armatures with bones in a scene, in the order of their names, local before linked."""
    found = [item for item in scene.objects if is_rig(item)]
    return sorted(found, key=lambda rig: (rig.name, library_path(rig) or ""))


def is_rig(item: bpy.types.Object) -> bool:
    """Whether an object is an armature with bones; all others are plain objects."""
    return item.type == "ARMATURE" and bool(item.data.bones)


def moving_objects(scene: bpy.types.Scene) -> list[bpy.types.Object]:
    """Plain objects of a scene that may move, in the order of their names, local before linked.

    What hangs on a rig or is deformed by one moves with it and is none of them.
    """
    plain: list[Any] = [o for o in scene.objects if o.type != "ARMATURE"]
    items = [o for o in plain if not is_signals(o) and UPRIGHT_OF not in o]
    found = [o for o in items if _may_move(o) and not rig_of(o)]
    return sorted(found, key=lambda item: (item.name, library_path(item) or ""))


def rig_of(item: bpy.types.Object) -> bpy.types.Object | None:
    """The armature that deforms an object or that it hangs on, however far up; or None."""
    for modifier in item.modifiers:
        if modifier.type == "ARMATURE" and modifier.object is not None:
            return modifier.object
    at = item.parent
    while at is not None and at.type != "ARMATURE":
        at = at.parent
    return at


def library_path(block: Any) -> str | None:
    """The file that a block is linked from, as an absolute path; None for the open file's own."""
    if block.library is None:
        return None
    return str(Path(bpy.path.abspath(block.library.filepath)).resolve())


def check_posed(rig: bpy.types.Object) -> None:
    """Raise PlumblineError in one sentence where a rig shows its rest pose on every frame.

    A plain object has no poses.
    """
    if rig.type != "ARMATURE":
        return
    if rig.data.is_editmode:
        raise PlumblineError(
            f"{rig.name!r} is in edit mode, expected its poses: leave edit mode (Tab) first."
        )
    if rig.data.pose_position == "REST":
        raise PlumblineError(
            f"{rig.name!r} is shown in Rest Position, expected its poses: choose Pose Position in "
            "the armature's properties."
        )


def animated_rigs(scene: bpy.types.Scene) -> list[bpy.types.Object]:
    """Those rigs that anything animates: keys, strips, drivers, constraints, a moving parent."""
    return [rig for rig in scene_rigs(scene) if _may_move(rig)]


def _may_move(rig: bpy.types.Object) -> bool:
    """Whether anything animates an object, or what it hangs on; of a rig, also its bones."""
    at: Any = rig
    while at is not None:
        if _has_motion(at) or at.constraints:
            return True
        at = at.parent
    if rig.rigid_body is not None and rig.rigid_body.type == "ACTIVE":
        return True
    if rig.pose is None:
        return False
    return _has_motion(rig.data) or any(bone.constraints for bone in rig.pose.bones)


def _has_motion(block: Any) -> bool:
    data = block.animation_data
    return data is not None and bool(data.action or data.nla_tracks or data.drivers)


def frame_range(scene: bpy.types.Scene) -> tuple[int, int]:
    """The range that plays: the preview range where it is on, else the scene's."""
    if scene.use_preview_range:
        return scene.frame_preview_start, scene.frame_preview_end
    return scene.frame_start, scene.frame_end


def checked_range(first: float, last: float) -> tuple[int, int]:
    """A range of two whole frames or more, not endless; raises PlumblineError in one sentence."""
    span = f"the range {number_text(first)} to {number_text(last)}"
    if max(abs(first), abs(last)) > LAST_FRAME:
        raise PlumblineError(
            f"{span} leaves Blender's time line, expected frames from "
            f"{-LAST_FRAME} to {LAST_FRAME}: choose a range inside the shot."
        )
    if first != int(first) or last != int(last):
        raise PlumblineError(
            f"{span} is not in whole frames, expected frame numbers such as 1 and 48: round it."
        )
    if last < first:
        raise PlumblineError(
            f"{span} ends before it begins, expected a first frame and a later last one: turn it "
            "round."
        )
    if last == first:
        raise PlumblineError(
            f"{span} holds fewer than two frames, expected a first "
            "frame and a later last one: choose a longer range."
        )
    if last - first + 1 > MOST_FRAMES:
        raise PlumblineError(
            f"{span} holds {last - first + 1:.0f} frames, expected "
            f"{MOST_FRAMES} at most: choose a shorter range."
        )
    return int(first), int(last)


def frames_per_second(scene: bpy.types.Scene) -> float:
    """Frames a second, such as 24 or 23.976."""
    return float(scene.render.fps) / float(scene.render.fps_base)


def metres_per_unit(scene: bpy.types.Scene) -> float:
    """Length of a Blender unit. Without a unit system, its scale does not apply."""
    units = scene.unit_settings
    return 1.0 if units.system == "NONE" else float(units.scale_length)


def time_stretch(scene: bpy.types.Scene) -> float:
    """Scene frames for one frame of animation, as time is remapped."""
    return float(scene.render.frame_map_new) / float(scene.render.frame_map_old)
