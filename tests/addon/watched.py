# SPDX-License-Identifier: GPL-3.0-or-later
"""A shot that Watch reads: a biped with much that moves it, its reading, and an edit."""

from math import inf

import bpy
import numpy as np
import rigs

from analysis.in_steps import at_once

LAST = 24


def reader(ext):
    """What reads the biped: in full, or again from what was read before."""
    resample, key_numbers = ext.addon.watch.resample, ext.addon.sampling.key_numbers

    def go(last=None):
        bpy.context.view_layer.update()
        scene, rig = bpy.context.scene, bpy.data.objects["porter"]
        keys = key_numbers.keys_in(scene)
        span = (scene.frame_start, scene.frame_end)
        return at_once(resample.reading_in_steps(scene, rig, span, keys, last, seconds=inf))

    return go


def assert_same_clip(one, other):
    for name, value in vars(one).items():
        if isinstance(value, np.ndarray):
            assert value.tobytes() == getattr(other, name).tobytes(), name
        else:
            assert value == getattr(other, name), name


def held_biped():
    """A biped with a key each 4 frames and others between, a shin on IK to a keyed goal, a pole in
    its hand, and a crate that bears weight."""
    rig = rigs.biped()
    rigs.key(rig, "location", [(0, 0, 0), (0.1, 0, 0), (0.3, 0, 0)])
    goal = bpy.data.objects.new("goal", None)
    bpy.context.scene.collection.objects.link(goal)
    rigs.key(goal, "location", [(0.1, 0, 0.1), (0.1, -0.2, 0.2), (0.1, -0.4, 0.1)])
    ik = rig.pose.bones["shin.L"].constraints.new("IK")
    ik.target, ik.chain_count = goal, 2
    rigs.boathook(rig)
    rigs.cube("crate")["plumbline_bears_weight"] = True
    for item in (rig, goal):
        for curve in rigs.fcurves(item):
            for frame in range(1, LAST + 1, 4):
                curve.keyframe_points.insert(frame, curve.evaluate(frame))
            for key in curve.keyframe_points:
                key.handle_left_type = key.handle_right_type = "AUTO_CLAMPED"
            curve.update()
    rigs.set_range(1, LAST)
    return rig


def move_a_key(name="head", at=2):
    """Move a key of a bone, as it is on frame 9."""
    path = f'pose.bones["{name}"].rotation_euler'
    curve = next(c for c in rigs.fcurves(bpy.data.objects["porter"]) if c.data_path == path)
    curve.keyframe_points[at].co_ui.y += 0.1
    curve.update()
    curve.id_data.update_tag()
