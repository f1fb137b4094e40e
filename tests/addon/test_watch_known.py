# SPDX-License-Identifier: GPL-3.0-or-later
"""What Watch knows of a rig from before an edit, and what makes that old."""

from dataclasses import replace

import bpy
import pytest
import rigs
from watched import assert_same_clip, held_biped, move_a_key, reader


@pytest.fixture
def read(ext):
    return reader(ext)


@pytest.fixture
def keys_read(ext, monkeypatch):
    """Notes the path of each curve whose keys are read."""
    noted = []
    known_curves = ext.addon.watch.known_curves
    key_fields = known_curves.key_fields

    def noting(fcurve):
        noted.append(fcurve.data_path)
        return key_fields(fcurve)

    monkeypatch.setattr(known_curves, "key_fields", noting)
    return noted


def test_keys_of_curves_that_are_as_they_were_are_not_read_again(read, keys_read):
    held_biped()
    _clip, last = read()
    move_a_key()
    clip, again = read(last)
    assert keys_read == ['pose.bones["head"].rotation_euler']
    assert again.skeleton is last.skeleton
    assert again.reach is last.reach
    assert_same_clip(clip, read()[0])


def edit_bones(change):
    """Do something to the bones of the armature."""
    rig = bpy.data.objects["porter"]
    bpy.context.view_layer.objects.active = rig
    bpy.ops.object.mode_set(mode="EDIT")
    change(rig.data.edit_bones)
    bpy.ops.object.mode_set(mode="OBJECT")


def add_a_bone():
    def add(bones):
        made = bones.new("antenna")
        made.head, made.tail, made.parent = (0, 0, 1.8), (0, 0, 2.0), bones["head"]

    edit_bones(add)


def remove_a_bone():
    edit_bones(lambda bones: bones.remove(bones["hand.L"]))


def hang_a_bone_elsewhere():
    edit_bones(lambda bones: setattr(bones["head"], "parent", bones["chest"]))


def rest_otherwise():
    edit_bones(lambda bones: setattr(bones["forearm.R"].tail, "z", 1.3))


def rename_a_bone():
    bpy.data.objects["porter"].data.bones["head"].name = "skull"


def swap_names():
    bones = bpy.data.objects["porter"].data.bones
    bones["hand.L"].name = "swap"
    bones["hand.R"].name = "hand.L"
    bones["swap"].name = "hand.R"


def deform_no_more():
    bpy.data.objects["porter"].data.bones["spine"].use_deform = False


def constrain():
    made = bpy.data.objects["porter"].pose.bones["neck"].constraints.new("COPY_ROTATION")
    made.target, made.subtarget = bpy.data.objects["porter"], "hand.L"


def turn_in_another_order():
    bpy.data.objects["porter"].pose.bones["head"].rotation_mode = "ZYX"


def mute_a_group():
    curve = rigs.fcurves(bpy.data.objects["porter"])[0]
    (curve.group or curve).mute = True


def rename_the_action():
    bpy.data.objects["porter"].animation_data.action.name = "march"


def play_another_action():
    data = bpy.data.objects["porter"].animation_data
    slot = getattr(data, "action_slot", None)
    data.action = data.action.copy()
    if slot is not None:
        data.action_slot = data.action.slots[0]
    for curve in rigs.fcurves(bpy.data.objects["porter"])[:3]:
        curve.keyframe_points[1].co_ui.y += 0.2
        curve.update()


def make_a_number_whole():
    rig = bpy.data.objects["porter"]
    rig["grip"] = 1


CHANGES = [
    add_a_bone,
    remove_a_bone,
    hang_a_bone_elsewhere,
    rest_otherwise,
    rename_a_bone,
    swap_names,
    deform_no_more,
    constrain,
    turn_in_another_order,
    mute_a_group,
    rename_the_action,
    play_another_action,
    make_a_number_whole,
]


@pytest.mark.parametrize("change", CHANGES)
def test_what_is_known_is_no_older_than_the_rig(read, change):
    rig = held_biped()
    rig["grip"] = 0.5
    rig.keyframe_insert('["grip"]', frame=3)
    _clip, last = read()
    change()
    clip, again = read(last)
    assert_same_clip(clip, read()[0])
    name = "skull" if "skull" in rig.pose.bones else "head"
    for _ in range(2):
        move_a_key(name)
        clip, again = read(again)
        assert_same_clip(clip, read()[0])


def test_undo_and_redo_are_read_as_they_are(read, ext):
    held_biped()
    _clip, last = read()
    bpy.ops.ed.undo_push(message="before")
    move_a_key()
    edit_bones(lambda bones: setattr(bones["forearm.R"].tail, "z", 1.3))
    bpy.ops.ed.undo_push(message="edited")
    _clip, last = read(last)
    for way in (bpy.ops.ed.undo, bpy.ops.ed.redo):
        way()
        last = replace(last, reach=None, links=None)  # as after each undo, see `readings`
        clip, last = read(last)
        assert_same_clip(clip, read()[0])


@pytest.mark.skipif(bpy.app.version < (4, 4, 0), reason="actions have no slots")
def test_curves_of_one_path_in_two_slots_are_told_apart(read):
    rig, goal = held_biped(), bpy.data.objects["goal"]
    action = rig.animation_data.action
    own = [(c.data_path, c.array_index) for c in rigs.fcurves(rig)]
    goal.animation_data.action = action
    goal.animation_data.action_slot = action.slots.new("OBJECT", "goal")
    rigs.key(goal, "location", [(0.1, 0, 0.1), (0.1, -0.3, 0.3), (0.1, -0.4, 0.1)], (1, 9, 17))
    assert ("location", 0) in own
    _clip, last = read()
    for item in (goal, rig, goal):
        curve = next(c for c in rigs.fcurves(item) if c.data_path == "location")
        curve.keyframe_points[1].co_ui.y += 0.1
        curve.update()
        action.update_tag()
        clip, last = read(last)
        assert_same_clip(clip, read()[0])


def test_all_fields_that_keys_fill_are_named(ext):
    key_fields = ext.addon.sampling.key_fields
    curve = rigs.fcurves(rigs.biped())[0]
    told = set(key_fields.key_fields(curve))
    curve.keyframe_points[0].interpolation = "ELASTIC"
    told |= set(key_fields.key_fields(curve))
    assert told == set(key_fields.NAMES)


def test_a_curve_is_the_one_that_is_known_to_the_bit_alone(read, ext):
    held_biped()
    clip, _reading = read()
    with_same_curves = ext.addon.watch.known_curves.with_same_curves
    copies = tuple(replace(each) for each in clip.meta.curves)
    first = copies[0]
    signed = replace(first, values=(-0.0, *first.values[1:]))
    zero = replace(first, values=(0.0, *first.values[1:]))
    known = (zero, *copies[1:])
    read_now = replace(clip, meta=replace(clip.meta, curves=(signed, *clip.meta.curves[1:])))
    curves = with_same_curves(read_now, known).meta.curves
    assert curves[0] is signed
    assert all(one is other for one, other in zip(curves[1:], known[1:], strict=True))


def test_a_skeleton_that_hangs_on_the_first_pose_is_read_again(ext):
    read_skeleton = ext.addon.sampling.skeleton.read_skeleton
    names = {name: f"b{n}" for n, name in enumerate(rigs.BIPED)}
    bones = {names[b]: (names.get(p), head, tail) for b, (p, head, tail) in rigs.BIPED.items()}
    rig = rigs.armature("nameless", bones)
    asked = []

    def place():
        asked.append(True)
        return rig.matrix_world

    first = read_skeleton(rig, place)
    assert asked
    assert read_skeleton(rig, place, known=first) is not first
    named = rigs.biped()
    first = read_skeleton(named, place)
    assert read_skeleton(named, place, known=first) is first
    assert read_skeleton(named, place, added=("neck",), known=first) is not first
    assert read_skeleton(named, place, told={"head": "neck"}, known=first) is not first
    assert read_skeleton(named, place, ("neck",), known=first) is not first


def test_all_that_keys_tell_is_named(ext):
    """A field that is not would be lost where keys are known."""
    told, curve = ext.addon.sampling.key_fields, next(iter(rigs.fcurves(held_biped())))
    assert set(told.key_fields(curve)) < set(told.NAMES)
    curve.keyframe_points[0].interpolation = "BACK"  # tells its easing as well
    assert set(told.key_fields(curve)) == set(told.NAMES)
