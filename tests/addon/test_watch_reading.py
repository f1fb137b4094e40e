# SPDX-License-Identifier: GPL-3.0-or-later
"""A shot that is read again after an edit is the same bits as one that is read in full."""

import random
from math import inf

import bpy
import numpy as np
import pytest
import rigs

from analysis.in_steps import at_once


@pytest.fixture
def read(ext):
    """Reads the biped: in full, or again from what was read before."""

    watch, key_numbers = ext.addon.watch, ext.addon.sampling.key_numbers

    def go(last=None):
        bpy.context.view_layer.update()
        scene, rig = bpy.context.scene, bpy.data.objects["porter"]
        keys = key_numbers.keys_in(scene)
        span = (scene.frame_start, scene.frame_end)
        steps = watch.resample.reading_in_steps(scene, rig, span, keys, last, seconds=inf)
        return at_once(steps)

    return go


def assert_same_clip(one, other):
    for name, value in vars(one).items():
        if isinstance(value, np.ndarray):
            assert value.tobytes() == getattr(other, name).tobytes(), name
        else:
            assert value == getattr(other, name), name


def held_biped():
    """A biped with keys each 4 frames, IK, a pole that it holds, a crate that bears weight."""
    rig = rigs.biped()
    rigs.key(rig, "location", [(0, 0, 0), (0.1, 0, 0), (0.3, 0, 0)])
    ik = rig.pose.bones["shin.L"].constraints.new("IK")
    goal = bpy.data.objects.new("goal", None)
    bpy.context.scene.collection.objects.link(goal)
    rigs.key(goal, "location", [(0.1, 0, 0.1), (0.1, -0.2, 0.2), (0.1, -0.4, 0.1)])
    ik.target, ik.chain_count = goal, 2
    rigs.boathook(rig)
    rigs.cube("crate")["plumbline_bears_weight"] = True
    for item in (rig, goal):
        for curve in rigs.fcurves(item):
            for frame in range(1, 41, 4):
                curve.keyframe_points.insert(frame, curve.evaluate(frame))
            auto_clamped(curve)
    return rig


def auto_clamped(curve):
    for key in curve.keyframe_points:
        key.handle_left_type = key.handle_right_type = "AUTO_CLAMPED"
    curve.update()


def edit(chance, curve):
    """Do something to a curve that an animator does."""
    key = chance.choice(list(curve.keyframe_points))
    kind = chance.choice(("value", "time", "handle", "delete", "insert", "interpolation", "mute"))
    if kind == "value":
        key.co_ui.y += chance.uniform(-0.1, 0.1)
    elif kind == "time":
        key.co_ui.x += chance.choice((-1.0, -0.4, 1.0))
    elif kind == "handle":
        key.handle_right_type = "FREE"
        key.handle_right.y += chance.uniform(-0.1, 0.1)
    elif kind == "delete":
        curve.keyframe_points.remove(key)
    elif kind == "insert":
        frame = chance.randint(1, 40)
        curve.keyframe_points.insert(frame, curve.evaluate(frame) + chance.uniform(-0.1, 0.1))
    elif kind == "interpolation":
        key.interpolation = chance.choice(("CONSTANT", "LINEAR", "BOUNCE"))
    else:
        curve.mute = not curve.mute
    curve.update()
    curve.id_data.update_tag()
    return kind


def test_forty_edits_give_the_bits_of_a_full_reading(read):
    chance = random.Random(7)
    rig = held_biped()
    _clip, last = read()
    few = 0
    for _ in range(40):
        item = chance.choice((rig, rig, rig, bpy.data.objects["goal"]))
        edit(chance, chance.choice(rigs.fcurves(item)))
        clip, last = read(last)
        expected, _full = read()
        assert_same_clip(clip, expected)
        few += last.sampled < 40
    assert few >= 25
