# SPDX-License-Identifier: GPL-3.0-or-later
"""A baked ball says when its rig has moved on, and says it no more once that is taken back."""

import bpy
import pytest
import rigs
from command_line import save


@pytest.fixture
def why(ext):
    def asked():
        bpy.context.view_layer.update()
        return ext.addon.sphere.since.why_moved_on(bpy.context, ball())

    return asked


def ball():
    return next(item for item in bpy.context.scene.objects if "plumbline_sphere_of" in item)


def baked():
    """A rig in the pose that its keys give it, and its ball."""
    rig = rigs.biped()
    bpy.context.scene.frame_set(1)
    assert bpy.ops.plumbline.bake_sphere() == {"FINISHED"}
    return rig


def moved_on(ext):
    return ext.addon.sphere.since.MOVED_ON


def key_of(rig, part="hips"):
    return next(curve for curve in rigs.fcurves(rig) if part in curve.data_path).keyframe_points[1]


def test_a_key_that_moves_is_told_until_it_is_back(ext, why):
    rig = baked()
    assert why() == ""
    before = key_of(rig).co.y
    key_of(rig).co.y = before + 0.5
    rig.animation_data.action.update_tag()
    assert why() == moved_on(ext)
    key_of(rig).co.y = before
    rig.animation_data.action.update_tag()
    assert why() == ""
    key_of(rig, "head").co.y += 0.5
    rig.animation_data.action.update_tag()
    assert why() == moved_on(ext)
    bpy.ops.plumbline.bake_sphere()
    assert why() == ""


def test_keys_of_the_ball_and_the_playhead_are_nothing_new(why):
    baked()
    for frame in (1, 7, 40, 41, 300):
        bpy.context.scene.frame_set(frame)
        assert why() == ""
    bpy.context.scene.frame_set(7, subframe=0.5)
    assert why() == ""
    key_of(ball(), "location").co.y += 0.5
    ball().animation_data.action.update_tag()
    assert why() == ""


def test_a_hidden_rig_is_looked_at_as_well(ext, why):
    rig = baked()
    bpy.ops.plumbline.hide_rest()
    assert rig.hide_get()
    for frame in (1, 7, 40):
        bpy.context.scene.frame_set(frame)
        assert why() == ""
    rig.location.x = 0.4
    assert why() == moved_on(ext)
    rig.hide_viewport = True  # Blender does not work out where it stands
    bpy.context.scene.frame_set(12)
    assert why() == ""


def test_what_moves_it_without_keys_is_told_where_it_shows(ext, why):
    rig = baked()
    rig.location.x = 0.4
    assert why() == moved_on(ext)
    rig.location.x = 0.0
    assert why() == ""
    limit = rig.pose.bones["hips"].constraints.new("LIMIT_LOCATION")
    limit.use_max_y, limit.max_y = True, -5.0
    assert why() == moved_on(ext)
    limit.mute = True
    assert why() == ""


def test_other_actions_strips_and_keys_of_parents_are_told(ext, why):
    rig = baked()
    strip = rigs.push_to_strip(rig)
    bpy.ops.plumbline.bake_sphere()
    assert why() == ""
    strip.scale = 1.5
    assert why() == moved_on(ext)
    strip.scale = 1.0
    assert why() == ""
    cart = bpy.data.objects.new("cart", None)
    bpy.context.scene.collection.objects.link(cart)
    rig.parent = cart
    rigs.key(cart, "location", [(0, 0, 0), (1, 0.3, 0), (2, 0, 0.1)])
    bpy.context.scene.frame_set(1)
    bpy.ops.plumbline.bake_sphere()
    assert why() == ""
    key_of(cart, "location").co.y += 0.01
    cart.animation_data.action.update_tag()
    assert why() == moved_on(ext)


def test_another_session_says_the_same(ext, why, tmp_path):
    rig = baked()
    path = save(tmp_path / "walk.blend")
    bpy.ops.wm.open_mainfile(filepath=str(path), load_ui=False)
    assert why() == ""
    rig = bpy.data.objects["porter"]
    rig.animation_data.action.name = "renamed"
    assert why() == ""
    key_of(rig).handle_left_type = key_of(rig).handle_right_type = "FREE"
    key_of(rig).handle_left.y += 0.3
    rig.animation_data.action.update_tag()
    assert why() == moved_on(ext)


def test_undo_takes_it_back(ext, why):
    rig = baked()
    bpy.ops.ed.undo_push(message="baked")
    assert why() == ""
    key_of(rig).co.y += 0.5
    rig.animation_data.action.update_tag()
    assert why() == moved_on(ext)
    bpy.ops.ed.undo_push(message="moved")
    bpy.ops.ed.undo()
    assert why() == ""
    bpy.ops.ed.redo()
    assert why() == moved_on(ext)


def test_keys_are_compared_only_where_something_was_touched(ext, why, monkeypatch):
    rig, asked = baked(), []
    since = ext.addon.sphere.since
    plain = since.key_text
    monkeypatch.setattr(since, "key_text", lambda rig: asked.append(rig) or plain(rig))
    for frame in range(1, 6):
        bpy.context.scene.frame_set(frame)
        assert why() == ""
    assert len(asked) <= 1
    key_of(rig).co.y += 0.5
    rig.animation_data.action.update_tag()
    for _ in range(5):
        assert why() == since.MOVED_ON
    assert len(asked) <= 2


def test_a_ball_that_follows_or_has_lost_its_rig_says_nothing(why):
    rig = baked()
    bpy.data.objects.remove(rig)
    assert why() == ""
    bpy.ops.plumbline.remove_sphere()
    rigs.biped()
    bpy.ops.plumbline.follow_sphere()
    assert why() == ""
