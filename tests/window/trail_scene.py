# SPDX-License-Identifier: GPL-3.0-or-later
"""A tiny figure in a long shot, for what is drawn: 24 followed points, 250 frames.

It walks, hops once and stands, before a camera that goes along, zooms and shifts. A foot slips
while it stands, and the hips jump aside on one frame, so that all that can be drawn is in one shot.
"""

import bpy
from mathutils import Vector
from rigs import BIPED, armature, boathook, set_range, spike

FIRST, LAST, FIGURE = 1, 250, "walker"
# A stray key of the hips: it is found, and moved by mouse.
POP_FRAME, POP_M = 101, 0.05
_STEP, _STEPS, _STRIDE_M, _LIFT_M = 16, 12, 0.3, 0.09
_SLIPPING, _SLIP_M = 4, 0.06
# It leaves the floor, is highest, lands: higher than gravity has it in that time.
HOP, _HOP_M, _CROUCH_M = (203, 213, 223), 0.5, 0.1
_WALKED_M = _STEPS * _STRIDE_M

# Beside the biped's: shoulders, toes and another spine bone. With the pole, 24 points are followed.
_SPINE = {
    "spine": (*BIPED["spine"][:2], (0, 0, 1.25)),
    "spine2": ("spine", (0, 0, 1.25), (0, 0, 1.35)),
    "chest": ("spine2", *BIPED["chest"][1:]),
}
_SIDES = {
    f"{name}.{side}": (parent, (sign * head[0], *head[1:]), (sign * tail[0], *tail[1:]))
    for side, sign in (("L", 1), ("R", -1))
    for name, parent, head, tail in (
        ("shoulder", "chest", (0.03, 0, 1.45), (0.2, 0, 1.45)),
        ("upper_arm", f"shoulder.{side}", *BIPED["upper_arm.L"][1:]),
        ("toe", f"foot.{side}", (0.1, -0.15, 0.02), (0.1, -0.22, 0.02)),
    )
}
_GOALS = {f"foot_ik.{side}": (None, *BIPED[f"foot.{side}"][1:]) for side in "LR"}


def build():
    """The figure, its motion and the camera, in an empty file."""
    rig = armature(FIGURE, _bones())
    for bone in rig.pose.bones:
        bone.rotation_mode = "XYZ"
    for number, side in enumerate("LR"):
        _lead_leg(rig, side)
        _key(rig, f"foot_ik.{side}", _foot(number))
    _key(rig, "hips", _hips())
    spike(rig.pose.bones["hips"], "location", 0, POP_FRAME, POP_M)
    _swing_arms(rig.pose.bones)
    boathook(rig)
    _add_camera()
    set_range(FIRST, LAST)
    bpy.context.scene.frame_set(FIRST)


def _bones():
    """Parents before their children; of one name the later counts, in the place of the first."""
    first = {name: BIPED[name] for name in ("hips", "spine")}
    shoulders = {name: bone for name, bone in _SIDES.items() if name.startswith("shoulder")}
    return {**first, **_SPINE, **shoulders, **BIPED, **_SPINE, **_SIDES, **_GOALS}


def _lead_leg(rig, side):
    """The shin reaches for the foot's goal, and the foot lies as that does."""
    reach = rig.pose.bones[f"shin.{side}"].constraints.new("IK")
    turn = rig.pose.bones[f"foot.{side}"].constraints.new("COPY_ROTATION")
    for each in (reach, turn):
        each.target, each.subtarget = rig, f"foot_ik.{side}"
    reach.chain_count = 2


def _foot(number):
    """[(frame, ahead, up)]: it stands while the other one goes, goes in every second step, hops."""
    ahead, found = 0.0, [(FIRST, 0.0, 0.0)]
    for step in range(_STEPS):
        begin, end = FIRST + _STEP * step, FIRST + _STEP * (step + 1)
        if step % 2 == number:
            found.append(((begin + end) // 2, ahead + _STRIDE_M, _LIFT_M))
            ahead += 2 * _STRIDE_M
        elif step == _SLIPPING + 1 - number:
            found.append((end - 10, ahead, 0.0))
            ahead += _SLIP_M
            found.append((end - 4, ahead, 0.0))
        found.append((end, ahead, 0.0))
    return [*found, *_hop(ahead, 0.0)]


def _hips():
    """[(frame, ahead, up)]: evenly along, lowest where a step ends."""
    half = _STEP // 2
    along = [
        (FIRST + half * n, n * _STRIDE_M / 2, -0.02 if n % 2 else -0.05)
        for n in range(2 * _STEPS + 1)
    ]
    return [*along, (HOP[0] - 6, _WALKED_M, -_CROUCH_M), *_hop(_WALKED_M, -0.03)]


def _hop(ahead, up):
    leave, top, land = HOP
    return [
        (leave, ahead, up),
        (top, ahead + 0.2, up + _HOP_M),
        (land, ahead + 0.4, up),
        (LAST, ahead + 0.4, up),
    ]


def _key(rig, bone, places):
    to_bone = rig.data.bones[bone].matrix_local.to_3x3().inverted()
    for frame, ahead, up in places:
        rig.pose.bones[bone].location = to_bone @ Vector((0.0, -ahead, up))
        rig.pose.bones[bone].keyframe_insert("location", frame=frame)


def _swing_arms(bones):
    for side, sign in (("L", 1.0), ("R", -1.0)):
        for step in range(_STEPS + 1):
            arm = bones[f"upper_arm.{side}"]
            arm.rotation_euler = (sign * 1.2, 0.0, 0.4 if step % 2 else -0.4)
            arm.keyframe_insert("rotation_euler", frame=FIRST + _STEP * step)


def _add_camera():
    """It goes along, turns, zooms, and its picture shifts."""
    scene = bpy.context.scene
    camera = bpy.data.objects.new("camera", bpy.data.cameras.new("camera"))
    scene.collection.objects.link(camera)
    scene.camera = camera
    for frame, ahead, turn, lens, shift in (
        (FIRST, 0.5, 1.45, 26.0, 0.0),
        (120, 2.4, 1.6, 34.0, 0.06),
        (LAST, 4.0, 1.5, 28.0, -0.04),
    ):
        camera.location, camera.rotation_euler = (6.5, -ahead, 1.2), (1.5, 0.0, turn)
        camera.data.lens, camera.data.shift_x, camera.data.shift_y = lens, shift, shift / 2
        for path in ("location", "rotation_euler"):
            camera.keyframe_insert(path, frame=frame)
        for path in ("lens", "shift_x", "shift_y"):
            camera.data.keyframe_insert(path, frame=frame)
