# SPDX-License-Identifier: GPL-3.0-or-later
"""A ball's edited path is handed back exactly, through whatever stands between world and control.

What is compared with is the scene itself, stepped by the test.
"""

import math

import bpy
import numpy as np
import pytest
import rigs
from digest import difference, digest
from handed import ball_on, hand, heads, keyed, off, path, places_of, thinned

LIMIT_M = 1e-4
FRAMES = [1, 10, 20, 31, 40]


def carried():
    """A biped under a parent that is scaled, turned and animated, keyed in its own action."""
    rig = rigs.biped()
    cart = bpy.data.objects.new("cart", None)
    bpy.context.scene.collection.objects.link(cart)
    cart.scale, cart.rotation_euler = (1.3, 0.8, 1.1), (0.2, 0.1, 0.7)
    rigs.key(cart, "location", [(0, 0, 0), (1, 0.3, 0), (2, 0, 0.1)])
    rigs.key(cart, "rotation_euler", [(0.2, 0.1, 0.7), (0.3, 0.1, 0.2), (0.1, 0, 0.9)])
    rig.parent = cart
    rig.location = (0.3, 0.2, 0.0)
    return rig


def limited():
    """A limit that is not reached."""
    rig = carried()
    limit = rig.pose.bones["hips"].constraints.new("LIMIT_LOCATION")
    limit.use_max_z, limit.max_z = True, 3.0
    return rig


def half_copied():
    """A moving object counts for half of the place."""
    rig = carried()
    copy = rig.pose.bones["hips"].constraints.new("COPY_LOCATION")
    copy.target, copy.influence = moving(), 0.5
    return rig


def child_of():
    rig = carried()
    rig.pose.bones["hips"].constraints.new("CHILD_OF").target = moving()
    return rig


def moving():
    item = bpy.data.objects.new("rider", None)
    bpy.context.scene.collection.objects.link(item)
    rigs.key(item, "location", [(0, 0, 0.2), (0.3, 0.1, 0.4), (0.2, 0, 0)])
    item.rotation_euler = (0.0, 0.3, 0.2)
    return item


def by_a_bone_parent():
    """Its parent hangs on a bone of another rig."""
    crane = rigs.armature("crane", {"jib": (None, (0, 0, 1), (1, 0, 1))})
    crane.pose.bones["jib"].rotation_mode = "XYZ"
    rigs.key(crane.pose.bones["jib"], "rotation_euler", [(0, 0, 0), (0, 0.4, 0.2), (0, 0, 0.5)])
    rig = rigs.biped()
    rig.parent, rig.parent_type, rig.parent_bone = crane, "BONE", "jib"
    return rig


def partly_inherited():
    """The control hangs on a bone that turns and grows, of which it takes neither."""
    bones = {"mover": (None, (0, 0, 0), (0, 0.3, 0.1)), **rigs.BIPED}
    bones["hips"] = ("mover", *rigs.BIPED["hips"][1:])
    rig = rigs.armature("porter", bones)
    rigs.key(rig.pose.bones["hips"], "location", [(0, 0, 0), (0.05, 0.02, 0.4), (0, 0, 0.8)])
    mover = rig.pose.bones["mover"]
    mover.rotation_mode = "XYZ"
    rigs.key(mover, "rotation_euler", [(0, 0, 0), (0.2, 0.1, 0.5), (0, 0, 1.0)])
    mover.scale = (1.2, 0.9, 1.1)
    rig.data.bones["hips"].use_inherit_rotation = False
    rig.data.bones["hips"].inherit_scale = "NONE"
    rig.data.bones["hips"].use_local_location = False
    rigs.set_range(1, 40)
    return rig


SETUPS = [carried, limited, half_copied, child_of, by_a_bone_parent, partly_inherited]


def lifted(sphere):
    """Keys on some frames, one of them moved by 20 cm."""
    places = thinned(sphere, FRAMES)
    places[2] += (0.12, 0.0, 0.16)
    keyed(sphere, FRAMES, places)


@pytest.mark.parametrize("setup", SETUPS)
def test_through_what_stands_between(setup):
    rig = setup()
    sphere = ball_on(rig)
    lifted(sphere)
    handed = hand(sphere, rig)
    assert off(sphere, rig, "hips", FRAMES).max() < LIMIT_M
    # What is told of the frames between is what is there, to what float32 gives away.
    gaps = off(sphere, rig, "hips", range(1, 41))
    assert handed.between_m == pytest.approx(gaps.max(), abs=2e-6)
    assert gaps[int(handed.between_frame) - 1] == pytest.approx(gaps.max(), abs=2e-6)
    assert handed.between_m < 0.05
    assert handed.keys == len(FRAMES)


@pytest.mark.parametrize("setup", SETUPS)
def test_on_every_frame(setup):
    rig = setup()
    sphere = ball_on(rig)
    lifted(sphere)
    handed = hand(sphere, rig, keys="EVERY")
    assert off(sphere, rig, "hips", range(1, 41)).max() < 2e-5
    assert handed.between_frame is None
    assert handed.keys == 40
    for curve in location_curves(rig, "hips"):
        assert [point.co.x for point in curve.keyframe_points] == list(range(1, 41))
        assert {point.interpolation for point in curve.keyframe_points} == {"LINEAR"}


def location_curves(rig, bone):
    path = f'pose.bones["{bone}"].location'
    return [curve for curve in rigs.fcurves(rig) if curve.data_path == path]


@pytest.mark.parametrize("top", [1.02, 1.0205, 1.025])
def test_close_under_a_limit_there_is_still_a_way_down(top):
    """The rig's hips rise to 1.02."""
    rig = rigs.biped()
    limit = rig.pose.bones["hips"].constraints.new("LIMIT_LOCATION")
    limit.use_max_z, limit.max_z = True, top
    sphere = ball_on(rig)
    places = thinned(sphere, FRAMES)
    places[1:4, 2] -= 0.2
    keyed(sphere, FRAMES, places)
    hand(sphere, rig)
    assert off(sphere, rig, "hips", range(1, 41)).max() < LIMIT_M


@pytest.mark.parametrize("kind", ["BEZIER", "LINEAR", "CONSTANT", "SINE", "BACK", "BOUNCE"])
def test_between_keys_it_goes_as_the_ball(kind):
    """A rig that stands still, turned and scaled: then every kind of curve is carried over."""
    rig = rigs.biped()
    rig.rotation_euler, rig.scale = (0.3, 0.2, 0.9), (1.5, 1.5, 1.5)
    sphere = ball_on(rig)
    places = thinned(sphere, FRAMES) + np.arange(15.0).reshape(5, 3) % 4 * 0.05
    keyed(sphere, FRAMES, places, interpolation=kind, handles="AUTO")
    hand(sphere, rig)
    assert off(sphere, rig, "hips", np.arange(1, 40.1, 0.5)).max() < 1e-5
    kinds = {p.interpolation for c in location_curves(rig, "hips") for p in c.keyframe_points}
    assert kinds == {kind}


@pytest.mark.parametrize("kind", ["AUTO", "AUTO_CLAMPED", "VECTOR"])
def test_handles_that_blender_sets_stay_so_where_they_can(kind):
    """Turned by a quarter, an axis of the control is one of the ball; by less, a mixture."""
    for turn, clamped in ((math.pi / 2, True), (0.5, False)):
        bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
        rig = rigs.biped()
        rig.rotation_euler.z = turn
        sphere = ball_on(rig)
        places = thinned(sphere, FRAMES) + np.arange(15.0).reshape(5, 3) % 4 * 0.05
        keyed(sphere, FRAMES, places, handles=kind)
        hand(sphere, rig)
        assert off(sphere, rig, "hips", range(1, 41)).max() < 1e-5
        points = [
            point for curve in location_curves(rig, "hips") for point in curve.keyframe_points
        ]
        kinds = {point.handle_left_type for point in points}
        expected = kind in ("AUTO", "VECTOR") or (kind == "AUTO_CLAMPED" and clamped)
        assert (kinds == {kind}) == expected, kinds


def test_axes_with_keys_and_handles_of_their_own():
    """Where the control's axes are the ball's, each may go as it likes."""
    rig = rigs.biped()
    sphere = ball_on(rig)
    thinned(sphere, FRAMES)
    height = rigs.fcurves(sphere)[2].keyframe_points
    height.remove(height[1])
    height[1].handle_left_type = height[1].handle_right_type = "FREE"
    height[1].handle_left, height[1].handle_right = (14.0, 1.4), (28.0, 0.9)
    rigs.fcurves(sphere)[2].update()
    handed = hand(sphere, rig)
    assert handed.keys == len(FRAMES)
    assert off(sphere, rig, "hips", range(1, 41)).max() < 1e-5


def test_an_easing_is_not_cut_by_another_axis_keys():
    rig = rigs.biped()
    sphere = ball_on(rig)
    keyed(sphere, FRAMES, thinned(sphere, FRAMES), interpolation="ELASTIC")
    points = places_of(sphere)[2].keyframe_points
    points.remove(points[1])
    points[1].co.y += 0.2
    hand(sphere, rig)
    assert off(sphere, rig, "hips", np.arange(1, 40.1, 0.5)).max() < 1e-5
    # The control's Y goes up as the ball's Z.
    assert [len(curve.keyframe_points) for curve in location_curves(rig, "hips")] == [5, 4, 5]


def test_another_timing():
    """All keys elsewhere in time, between frames too."""
    rig = carried()
    sphere = ball_on(rig)
    places = thinned(sphere, FRAMES)
    frames = [4, 8.25, 12.5, 26, 34.75]
    keyed(sphere, frames, places)
    handed = hand(sphere, rig)
    assert off(sphere, rig, "hips", frames).max() < LIMIT_M
    assert handed.frames == (4.0, 34.75)
    hand(sphere, rig, keys="EVERY")
    assert off(sphere, rig, "hips", range(4, 35)).max() < 2e-5


def test_with_time_remapped_and_another_unit():
    rig = rigs.biped()
    scene = bpy.context.scene
    scene.render.frame_map_old, scene.render.frame_map_new = 100, 150
    scene.unit_settings.system, scene.unit_settings.scale_length = "METRIC", 0.01
    rig.scale = (100.0, 100.0, 100.0)
    rigs.set_range(1, 60)
    sphere = ball_on(rig)
    frames = [2, 10, 20, 38]
    places = thinned(sphere, frames)
    places[2, 2] += 20.0
    keyed(sphere, frames, places)
    hand(sphere, rig)
    found = heads(rig, ["hips"], 1.5 * np.array(frames))[:, 0]
    assert np.abs(found - path(sphere, frames)).max() * 0.01 < LIMIT_M


def test_keys_outside_stay_and_so_does_what_is_there():
    rig = rigs.biped()
    rigs.set_range(10, 30)
    before = heads(rig, ["hips"], range(1, 50))[:, 0]
    sphere = ball_on(rig)
    frames = [10, 14, 20, 25, 30]
    places = thinned(sphere, frames)
    places[2, 2] += 0.2
    keyed(sphere, frames, places)
    hand(sphere, rig)
    after = heads(rig, ["hips"], range(1, 50))[:, 0]
    outside = np.r_[0:10, 29:49]
    assert np.abs(after - before)[outside].max() < 1e-5
    for curve in location_curves(rig, "hips"):
        assert [point.co.x for point in curve.keyframe_points] == [1, *frames, 40]
    assert off(sphere, rig, "hips", frames).max() < LIMIT_M


@pytest.mark.parametrize("kind", ["AUTO", "AUTO_CLAMPED", "VECTOR", "ALIGNED", "FREE"])
@pytest.mark.parametrize("keys", ["BALL", "EVERY"])
def test_handles_outside_that_look_at_keys_inside_change_nothing_there(kind, keys):
    """Blender sets automatic handles by the neighbours, some by all keys of a curve."""
    rig = rigs.biped()
    heights = np.random.default_rng(5).normal(0.0, 0.2, (3, 14))
    for curve, values in zip(location_curves(rig, "hips"), heights, strict=True):
        points = curve.keyframe_points
        points.clear()
        points.add(14)
        for n, (point, value) in enumerate(zip(points, values, strict=True)):
            point.co = (6 * n - 10, value)
            point.handle_left, point.handle_right = (6 * n - 12, value), (6 * n - 8, value + 0.1)
            point.handle_left_type = point.handle_right_type = kind
            point.interpolation = "BEZIER" if n % 4 else "LINEAR"
        curve.update()
    rigs.set_range(15, 32)
    outside = [*range(-15, 16), *range(32, 75)]
    before = heads(rig, ["hips"], outside)
    sphere = ball_on(rig)
    frames = [15, 20, 24, 32]
    places = thinned(sphere, frames)
    places[1:3, 2] += 0.2
    keyed(sphere, frames, places)
    hand(sphere, rig, keys=keys)
    assert np.abs(heads(rig, ["hips"], outside) - before).max() < 1e-5
    assert off(sphere, rig, "hips", range(15, 33)).max() < 1e-4


def test_where_the_range_begins_elsewhere_the_way_there_is_smooth():
    rig = rigs.biped()
    rigs.set_range(10, 30)
    sphere = ball_on(rig)
    frames = [10, 20, 30]
    keyed(sphere, frames, thinned(sphere, frames) + (0.0, 0.0, 0.2))
    hand(sphere, rig)
    steps = np.diff(heads(rig, ["hips"], np.arange(1, 40.1, 0.25))[:, 0], axis=0)
    assert np.abs(np.diff(steps, axis=0)).max() < 0.002


def test_a_control_without_keys_gets_some():
    rig = rigs.biped()
    sphere = ball_on(rig)
    rig.animation_data_clear()
    lifted(sphere)
    hand(sphere, rig)
    assert off(sphere, rig, "hips", FRAMES).max() < LIMIT_M


def test_the_object_itself_may_be_the_control():
    rig = rigs.biped()
    rig.rotation_euler = (0.0, 0.0, 0.5)
    sphere = ball_on(rig)
    on = {"what": "root", "joint": "hips", "control": ""}
    on["points"] = {"0": {"bone": "hips", "at": 0.0, "share": 1.0}}
    sphere["plumbline_sphere_on"] = on
    lifted(sphere)
    handed = hand(sphere, rig)
    assert handed.control == "porter"
    assert off(sphere, rig, "hips", FRAMES).max() < LIMIT_M
    assert len(location_curves(rig, "hips")[0].keyframe_points) == 3


def test_a_cycle_goes_on():
    rig = rigs.biped()
    for curve in location_curves(rig, "hips"):
        curve.modifiers.new("CYCLES")
    sphere = ball_on(rig)
    lifted(sphere)
    hand(sphere, rig)
    assert off(sphere, rig, "hips", FRAMES).max() < LIMIT_M
    later = heads(rig, ["hips"], [10 + 39, 20 + 39])[:, 0]
    assert np.abs(later - path(sphere, [10, 20])).max() < LIMIT_M


def test_no_rotation_key_and_nothing_else_changes():
    rig = carried()
    sphere = ball_on(rig)
    lifted(sphere)
    bpy.context.view_layer.update()
    before, curves = digest(), told_of_others(rig)
    hand(sphere, rig)
    bpy.context.view_layer.update()
    assert told_of_others(rig) == curves
    changed = difference(before, digest())
    # The ball knows that its rig goes as it does, and keeps its own keys.
    ball = "objects[porter root sphere]"
    tells = 'actions[porter root sphere]["plumbline_sphere_as_baked"]'
    mine = ("actions[porterAction].", "objects[porter].", "porter/hips.", ball, tells)
    others = sorted(name for name in changed if not name.startswith(mine))
    assert others == []


def told_of_others(rig):
    """All keys but those of the control's location."""
    mine = location_curves(rig, "hips")
    return [
        (
            curve.data_path,
            curve.array_index,
            [(*p.co, *p.handle_left) for p in curve.keyframe_points],
        )
        for curve in rigs.fcurves(rig)
        if curve not in mine
    ]
