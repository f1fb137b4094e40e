# SPDX-License-Identifier: GPL-3.0-or-later
"""Answers are marked as old once keys, or what was asked, have changed, and by nothing else."""

import bpy
import pytest
import rigs
from added import select_objects
from drawn import camera, checked_session


@pytest.fixture
def old(ext):
    """Asks, after an update, whether the answers of a biped's check are old."""
    checked_session(ext)

    def ask():
        bpy.context.view_layer.update()
        return ext.addon.ui.changes.why_old(bpy.context)

    assert not ask()
    return ask


KEYS = "Keys have changed: check again."
CLOCK = "The frame rate or the time remapping has changed: check again."
ASKED = "The range, a choice, a part or a declaration has changed: check again."


def head():
    return bpy.data.objects["porter"].pose.bones["head"]


def insert_a_key():
    head().keyframe_insert("rotation_euler", frame=12)


def move_a_key():
    curve = rigs.fcurves(bpy.data.objects["porter"])[0]
    curve.keyframe_points[1].co.y += 0.1
    curve.update()


def delete_a_key():
    insert_a_key()
    bpy.context.view_layer.update()
    bpy.ops.plumbline.check()
    head().keyframe_delete("rotation_euler", frame=12)


@pytest.mark.parametrize("change", [insert_a_key, move_a_key, delete_a_key])
def test_changed_keys_make_answers_old_until_the_next_check(old, change):
    change()
    assert old() == KEYS
    bpy.ops.plumbline.check()
    assert not old()


def declare_an_event():
    bpy.ops.plumbline.declare_event(kind="hit", first=3, last=5)


def write_an_event():
    bpy.data.objects["porter"]["plumbline_events"] = '[{"frames": [3, 5]}]'


def shorten_the_range():
    bpy.context.scene.frame_end = 30


def play_a_preview():
    scene = bpy.context.scene
    scene.use_preview_range, scene.frame_preview_start, scene.frame_preview_end = True, 5, 30


def choose_a_loop():
    bpy.context.window_manager.plumbline.cycle = "yes"


def choose_a_stage():
    bpy.context.window_manager.plumbline.stage = "spline"


def choose_the_picture():
    bpy.context.window_manager.plumbline.space = "camera"


def tell_the_height():
    bpy.context.window_manager.plumbline.height_m = 1.9


def play_faster():
    bpy.context.scene.render.fps = 30


def scale_the_units():
    bpy.context.scene.unit_settings.scale_length = 0.01


def bear_weight():
    crate = rigs.cube("crate")
    select_objects(crate)
    bpy.ops.plumbline.bear_weight()


def follow_an_object():
    select_objects(rigs.cube("crate"))
    bpy.ops.plumbline.follow()


@pytest.mark.parametrize(
    "change",
    [
        declare_an_event,
        write_an_event,
        shorten_the_range,
        play_a_preview,
        choose_a_loop,
        choose_a_stage,
        choose_the_picture,
        tell_the_height,
        play_faster,
        scale_the_units,
        bear_weight,
        follow_an_object,
    ],
)
def test_changed_questions_make_answers_old_until_the_next_check(old, change):
    change()
    assert old() == (CLOCK if change is play_faster else ASKED)
    if change == choose_the_picture:
        camera()
    bpy.ops.plumbline.check()
    assert not old()


def test_an_event_that_is_changed_or_taken_back_makes_them_old(old):
    rig = bpy.data.objects["porter"]
    declare_an_event()
    bpy.ops.plumbline.check()
    rig["plumbline_events"] = rig["plumbline_events"].replace("5.0", "6.0")
    assert old() == ASKED
    bpy.ops.plumbline.check()
    bpy.ops.plumbline.take_event_back(index=0)
    assert old() == ASKED
    bpy.ops.plumbline.check()
    assert not old()


def test_what_is_turned_back_is_not_old(old):
    shorten_the_range()
    declare_an_event()
    assert old()
    bpy.context.scene.frame_end = 40
    bpy.ops.plumbline.take_event_back(index=0)
    assert not old()


def test_keys_are_told_first(old):
    shorten_the_range()
    insert_a_key()
    assert old() == KEYS


def test_the_panel_is_drawn_anew_once_a_range_has_changed(old, ext, monkeypatch):
    drawn = []
    monkeypatch.setattr(ext.addon.ui.changes, "redraw_viewports", drawn.append)
    bpy.context.scene.frame_set(7)
    assert drawn == []
    shorten_the_range()
    bpy.context.view_layer.update()
    bpy.context.scene.frame_set(8)
    assert len(drawn) == 1


def play():
    for frame in (2, 9, 30):
        bpy.context.scene.frame_set(frame)


def pose_without_keys():
    head().rotation_euler.x += 0.4


def select_and_move_another():
    other = bpy.data.objects.new("crate", None)
    bpy.context.scene.collection.objects.link(other)
    other.select_set(True)
    other.location.x = 2.0


def bake_a_sphere():
    bpy.ops.plumbline.bake_sphere()
    bpy.ops.plumbline.bake_sphere()


def follow_with_a_sphere_turned_upright():
    bpy.ops.plumbline.follow_sphere()
    for axis in ("SIDE", "AHEAD"):
        bpy.ops.plumbline.turn_upright(axis=axis)


def write_what_is_no_event():
    bpy.data.objects["porter"]["plumbline_events"] = "mine"


@pytest.mark.parametrize(
    "change",
    [
        *(play, pose_without_keys, select_and_move_another, bake_a_sphere),
        *(follow_with_a_sphere_turned_upright, write_what_is_no_event),
    ],
)
def test_what_leaves_keys_and_questions_alone_leaves_the_answers_as_they_are(old, change):
    change()
    assert not old()


def test_keys_of_another_scene_are_no_matter(old):
    first, other = bpy.context.scene, bpy.data.scenes.new("other")
    bpy.context.window.scene = other
    rigs.biped("sailor").pose.bones["head"].keyframe_insert("location", frame=7)
    assert not old()
    bpy.context.window.scene = first
    assert not old()


def test_without_a_check_nothing_is_old(ext):
    rigs.biped()
    insert_a_key()
    bpy.context.view_layer.update()
    assert not ext.addon.ui.changes.why_old(bpy.context)
