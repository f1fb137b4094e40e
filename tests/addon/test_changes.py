# SPDX-License-Identifier: GPL-3.0-or-later
"""Answers are marked as old once keys have changed, and by nothing else."""

import bpy
import pytest
import rigs
from drawn import checked_session


@pytest.fixture
def old(ext):
    """Asks, after an update, whether the answers of a biped's check are old."""
    checked_session(ext)

    def ask():
        bpy.context.view_layer.update()
        return ext.addon.ui.changes.is_old(ext.addon.ui.last_check.last_check())

    assert not ask()
    return ask


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
    assert old()
    bpy.ops.plumbline.check()
    assert not old()


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


def declare_an_event():
    bpy.ops.plumbline.declare_event(kind="hit", first=3, last=5)


@pytest.mark.parametrize(
    "change", [play, pose_without_keys, select_and_move_another, bake_a_sphere, declare_an_event]
)
def test_what_leaves_the_keys_alone_leaves_the_answers_as_they_are(old, change):
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
    assert not ext.addon.ui.changes.is_old(ext.addon.ui.last_check.last_check())
