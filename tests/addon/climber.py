# SPDX-License-Identifier: GPL-3.0-or-later
"""A figure on IK hands and feet that climbs a ladder of rungs, one rung every two seconds."""

import bpy
import rigs
from mathutils import Vector

# Metres: where the rungs lie and how thick they are, from rung to rung, how far in front.
RUNG_M, APART_M, AHEAD_M = 0.03, 0.3, 0.4
RUNGS = range(1, 10)
# Frames from rung to rung, at 24 a second, and how many rungs are climbed.
ROUND, ROUNDS = 48, 3
# When each limb moves up, in frames of a round, and how far it comes away from the ladder.
MOVES = {
    "hand_ik.R": (2, 11, 0.08),
    "foot_ik.L": (14, 24, 0.18),
    "hand_ik.L": (26, 35, 0.08),
    "foot_ik.R": (38, 47, 0.18),
}


def bar(name, size, middle):
    """A box of a mesh around a place."""
    half = [0.5 * side for side in size]
    corners = [(x, y, z) for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)]
    faces = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    mesh = bpy.data.meshes.new(name)
    mesh.from_pydata([[a * b for a, b in zip(half, c, strict=True)] for c in corners], [], faces)
    made = bpy.data.objects.new(name, mesh)
    made.location = middle
    bpy.context.scene.collection.objects.link(made)
    return made


def rungs():
    """The rungs; the upper face of rung n lies n times .3 m high."""
    return [
        bar(f"rung {n}", (0.5, RUNG_M, RUNG_M), (0.0, -AHEAD_M, APART_M * n - 0.5 * RUNG_M))
        for n in RUNGS
    ]


def rails():
    """The two rails beside the rungs."""
    top = APART_M * (RUNGS[-1] + 1)
    return [
        bar(f"rail {side}", (0.04, 0.06, top), (sign * 0.27, -AHEAD_M, 0.5 * top))
        for side, sign in (("L", 1.0), ("R", -1.0))
    ]


def climber(slip_m=0.0, slips="foot_ik.L"):
    """The figure, keyed; one foot or hand may slip off along its rung in its second stay."""
    bones = dict(rigs.BIPED)
    for side in "LR":
        for limb in ("hand", "foot"):
            bones[f"{limb}_ik.{side}"] = (None, *bones[f"{limb}.{side}"][1:])
    rig = rigs.armature("climber", bones)
    pose = rig.pose.bones
    for side in "LR":
        for bone, limb in (("forearm", "hand"), ("shin", "foot")):
            ik = pose[f"{bone}.{side}"].constraints.new("IK")
            ik.target, ik.subtarget, ik.chain_count = rig, f"{limb}_ik.{side}", 2
            ik.use_stretch = False
            turn = pose[f"{limb}.{side}"].constraints.new("COPY_ROTATION")
            turn.target, turn.subtarget = rig, f"{limb}_ik.{side}"
    length = ROUND * ROUNDS
    for at in range(0, length + 1, 12):
        put(pose["hips"], 1 + at, (0.0, -0.12, 1.0 + APART_M * at / ROUND))
    for name, (start, stop, away) in MOVES.items():
        place = first_place(name)
        put(pose[name], 1, place)
        for n in range(ROUNDS):
            shift = slip_m if name == slips and n == 1 else 0.0
            put(pose[name], 1 + ROUND * n + start, place)
            up = place + Vector((0.0, away, 0.5 * APART_M))
            put(pose[name], 1 + ROUND * n + (start + stop) // 2, up)
            place = place + Vector((0.0, 0.0, APART_M))
            put(pose[name], 1 + ROUND * n + stop, place)
            if shift:
                put(pose[name], 1 + ROUND * n + stop + 12, place)
                put(pose[name], 1 + ROUND * n + stop + 16, place + Vector((shift, 0.0, 0.0)))
                place = place + Vector((shift, 0.0, 0.0))
        put(pose[name], 1 + length, place)
    for curve in rigs.fcurves(rig):
        for point in curve.keyframe_points:
            point.handle_left_type = point.handle_right_type = "AUTO_CLAMPED"
    rigs.set_range(1, 1 + length)
    bpy.context.scene.render.fps = 24
    return rig


def first_place(name):
    """Where a control is at first: wrists before the fifth rung, soles on the first one."""
    sign = 1.0 if name.endswith("L") else -1.0
    if name.startswith("hand"):
        return Vector((sign * 0.2, -AHEAD_M + 0.03, 5 * APART_M))
    # The ball of the foot is .15 before the ankle and .06 lower: it lies 2 cm beyond the rung.
    return Vector((sign * 0.1, -AHEAD_M + 0.13, APART_M + 0.06))


def put(bone, frame, place):
    """Key a control without parents on a place in the armature."""
    rest = bone.bone.matrix_local
    bone.location = rest.to_3x3().inverted() @ (Vector(place) - rest.translation)
    bone.keyframe_insert("location", frame=frame)
