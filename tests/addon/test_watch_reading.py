# SPDX-License-Identifier: GPL-3.0-or-later
"""A shot that is read and judged again after an edit gives the bits of a full check."""

import random

import bpy
import numpy as np
import pytest
import rigs
from watched import LAST, assert_same_clip, held_biped, move_a_key, reader

from analysis.memory import Memory
from analysis.pipeline import examine


@pytest.fixture
def read(ext):
    return reader(ext)


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
        frame = chance.randint(1, LAST)
        curve.keyframe_points.insert(frame, curve.evaluate(frame) + chance.uniform(-0.1, 0.1))
    elif kind == "interpolation":
        key.interpolation = chance.choice(("CONSTANT", "LINEAR", "BOUNCE"))
    else:
        curve.mute = not curve.mute
    curve.update()
    curve.id_data.update_tag()


def test_forty_edits_give_the_answers_of_a_full_check(read):
    chance, memory = random.Random(7), Memory()
    rig = held_biped()
    _clip, last = read()
    few = 0
    for number in range(40):
        item = chance.choice((rig, rig, rig, bpy.data.objects["goal"]))
        edit(chance, chance.choice(rigs.fcurves(item)))
        clip, last = read(last)
        expected, _full = read()
        assert_same_clip(clip, expected)
        if number % 13 == 5:  # judging takes its time
            assert repr(examine(clip, memory=memory).shot) == repr(examine(expected).shot)
        few += last.sampled < LAST
    assert few >= 25


def test_only_frames_around_a_key_are_read_and_a_few_that_should_be_as_they_were(read, ext):
    held_biped()
    rigs.set_range(1, 60)
    _clip, last = read()
    move_a_key()
    _clip, again = read(last)
    most = ext.addon.watch.resample.SENTINELS
    # The handles of the keys beside it move along: two keys to either side.
    assert 15 <= again.sampled <= 15 + most
    # What is worked out of curves is known by who they are.
    pairs = list(zip(last.curves, again.curves, strict=True))
    others = [one.control for one, other in pairs if one is not other]
    assert set(others) == {"head"}
    assert len(others) < len(pairs)
    _clip, again = read(again)
    assert 0 < again.sampled <= most


def pose_a_bone():
    bpy.data.objects["porter"].pose.bones["spine"].rotation_euler.x = 0.3


def move_the_parent():
    parent = bpy.data.objects.new("cart", None)
    bpy.context.scene.collection.objects.link(parent)
    bpy.data.objects["porter"].parent = parent
    parent.location.z = 0.5


def rest_otherwise():
    rig = bpy.data.objects["porter"]
    bpy.context.view_layer.objects.active = rig
    bpy.ops.object.mode_set(mode="EDIT")
    rig.data.edit_bones["hand.R"].tail.x -= 0.1
    bpy.ops.object.mode_set(mode="OBJECT")


def constrain():
    made = bpy.data.objects["porter"].pose.bones["neck"].constraints.new("LIMIT_ROTATION")
    made.use_limit_x, made.min_x, made.owner_space = True, 0.2, "LOCAL"


def move_the_pole():
    bpy.data.objects["boathook"].location.z += 0.2


def move_the_crate():
    bpy.data.objects["crate"].location.z -= 0.2


@pytest.mark.parametrize(
    "change",
    [pose_a_bone, move_the_parent, rest_otherwise, constrain, move_the_pole, move_the_crate],
)
def test_what_is_changed_without_keys_has_all_frames_read(read, change):
    held_biped()
    _clip, last = read()
    change()
    move_a_key()
    clip, again = read(last)
    assert again.sampled == LAST
    assert_same_clip(clip, read()[0])


def follow_briefly(name, bone, target, subtarget=""):
    """A bone copies where something stands, on two frames far from the keys that are moved."""
    made = bpy.data.objects[name].pose.bones[bone].constraints.new("COPY_LOCATION")
    made.target, made.subtarget = target, subtarget
    made.driver_add("influence").driver.expression = "50 < frame < 53"


def test_what_shows_on_two_frames_alone_has_all_frames_read(read):
    rig, goods = held_biped(), rigs.cube("goods")
    goods.parent = cart = rigs.cube("cart")
    mate, rack = rigs.biped("mate"), rigs.cube("rack")
    mate.animation_data_clear()
    follow_briefly("porter", "hand.R", goods)
    follow_briefly("porter", "forearm.L", mate, "hand.L")
    follow_briefly("porter", "head", rack)
    rig["knob"] = 0.1
    knob = rig.pose.bones["chest"].driver_add("location", 0).driver
    made = knob.variables.new()
    made.name, made.targets[0].id, made.targets[0].data_path = "knob", rig, '["knob"]'
    knob.expression = "knob if 50 < frame < 53 else 0"
    rigs.set_range(1, 60)
    _clip, again = read()
    for change in (
        lambda: setattr(cart, "location", (0.3, 0.2, 0.1)),
        lambda: setattr(rack, "delta_location", (0.0, 0.0, 0.2)),
        lambda: setattr(mate.pose.bones["hand.L"], "location", (0.0, 0.1, 0.0)),
        lambda: rig.__setitem__("knob", 0.3),
        lambda: setattr(rig.data.bones["neck"], "inherit_scale", "NONE"),
        lambda: setattr(rig.pose.bones["shin.L"], "use_ik_limit_x", True),
    ):
        change()
        move_a_key()
        clip, again = read(again)
        assert again.sampled == 60
        assert_same_clip(clip, read()[0])
    bpy.context.scene.frame_set(51)
    move_a_key()
    _clip, again = read(again)
    assert again.sampled < 30


def test_keys_in_a_strip_have_all_frames_read(read):
    rig = held_biped()
    action = rig.animation_data.action
    rigs.push_to_strip(rig, scale=1.5)
    _clip, last = read()
    curves = action.fcurves if hasattr(action, "fcurves") else None
    if curves is None:
        curves = action.layers[0].strips[0].channelbags[0].fcurves
    for curve in curves:
        curve.keyframe_points[1].co_ui.y += 0.1
        curve.update()
    clip, again = read(last)
    assert again.sampled == LAST
    assert_same_clip(clip, read()[0])


def test_sentinels_are_spread_over_what_did_not_change(ext):
    changed = np.zeros(30, dtype=bool)
    changed[10:16] = True
    assert ext.addon.watch.resample.sentinels_of(changed) == [0, 7, 21, 29]
    changed[12:] = False
    assert ext.addon.watch.resample.sentinels_of(changed) == [0, 14, 15, 29]
    assert ext.addon.watch.resample.sentinels_of(np.ones(3, dtype=bool)) == []


def test_zeros_are_read_without_a_sign(ext):
    rig, sampling = rigs.biped(), ext.addon.sampling
    head = rig.pose.bones["head"]
    head["nod"] = -0.0
    head.keyframe_insert('["nod"]', frame=1)
    channels = sampling.channels.plan_channels(rig, sampling.curves.read_curves(rig))
    reader = sampling.channels.ChannelReader(rig, channels, 1)
    head["nod"], head.rotation_euler = -0.0, (-0.0, -0.0, 0.5)
    reader.read(0, rig)
    assert 0.5 in reader.values
    assert not np.signbit(reader.values[reader.values == 0.0]).any()
