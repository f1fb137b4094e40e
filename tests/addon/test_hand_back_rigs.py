# SPDX-License-Identifier: GPL-3.0-or-later
"""Hand back on rigs of other files, in loops, with shared actions; and balls of all kinds."""

import bpy
import numpy as np
import pytest
import rigs
from command_line import save
from digest import difference, digest
from handed import ball_on, chosen, hand, heads, keyed, off, path, places_of, thinned

FRAMES = [1, 10, 20, 31, 40]


def lifted(rig):
    sphere = ball_on(rig)
    places = thinned(sphere, FRAMES)
    places[2, 2] += 0.2
    keyed(sphere, FRAMES, places)
    return sphere


def from_a_file(tmp_path, *, overridden):
    """A rig that is linked from another file, and perhaps overridden here."""
    rigs.biped()
    file = save(tmp_path / "asset.blend")
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    with bpy.data.libraries.load(str(file), link=True) as (_found, wanted):
        wanted.objects = ["porter"]
    (rig,) = wanted.objects
    if overridden:
        rig = rig.override_create(remap_local_usages=True)
    bpy.context.scene.collection.objects.link(rig)
    bpy.context.view_layer.update()
    rigs.set_range(1, 40)
    return rig


def test_a_linked_rig_is_refused(analysis, tmp_path):
    rig = from_a_file(tmp_path, overridden=False)
    sphere = lifted(rig)
    with pytest.raises(analysis.PlumblineError, match="is linked from another file, expected a"):
        hand(sphere, rig)


def test_an_override_takes_keys_in_an_action_of_its_own(analysis, tmp_path):
    rig = from_a_file(tmp_path, overridden=True)
    sphere = lifted(rig)
    with pytest.raises(analysis.PlumblineError, match="action 'porterAction' is linked from"):
        hand(sphere, rig)
    slot = getattr(rig.animation_data, "action_slot", None)
    rig.animation_data.action = rig.animation_data.action.copy()
    if slot is not None:
        rig.animation_data.action_slot = rig.animation_data.action.slots[0]
    hand(sphere, rig)
    assert off(sphere, rig, "hips", FRAMES).max() < 1e-4


def test_an_override_takes_a_strip_above_a_linked_action(tmp_path):
    rig = from_a_file(tmp_path, overridden=True)
    sphere = lifted(rig)
    hand(sphere, rig, into="STRIP")
    assert off(sphere, rig, "hips", FRAMES).max() < 1e-4


@pytest.mark.parametrize("way", ["hide_viewport", "hide_set", "excluded"])
def test_a_rig_that_is_hidden(way):
    rig = rigs.biped()
    place = bpy.data.collections.new("cast")
    bpy.context.scene.collection.children.link(place)
    bpy.context.scene.collection.objects.unlink(rig)
    place.objects.link(rig)
    bpy.context.view_layer.objects.active = rig
    sphere = lifted(rig)
    layer = bpy.context.view_layer.layer_collection.children["cast"]
    if way == "excluded":
        layer.exclude = True
    elif way == "hide_set":
        rig.hide_set(True)
    else:
        rig.hide_viewport = True
    hand(sphere, rig)
    layer.exclude = rig.hide_viewport = False
    rig.hide_set(False)
    assert off(sphere, rig, "hips", FRAMES).max() < 1e-4


def test_a_rig_that_follows_what_follows_it():
    """The hips hang back after an empty that hangs on the head."""
    rig = rigs.biped()
    empty = bpy.data.objects.new("lantern", None)
    bpy.context.scene.collection.objects.link(empty)
    follow = empty.constraints.new("COPY_LOCATION")
    follow.target, follow.subtarget = rig, "hips"
    reach = rig.pose.bones["hand.R"].constraints.new("COPY_LOCATION")
    reach.target = empty
    sphere = lifted(rig)
    bpy.context.view_layer.update()
    count = {name: len(getattr(bpy.data, name)) for name in ("objects", "actions", "armatures")}
    hand(sphere, rig)
    assert count == {name: len(getattr(bpy.data, name)) for name in count}
    assert off(sphere, rig, "hips", FRAMES).max() < 1e-4
    assert off(sphere, rig, "hand.R", FRAMES).max() < 1e-4


@pytest.mark.skipif(bpy.app.version < (4, 4), reason="actions got slots in 4.4")
def test_an_action_of_two_slots_is_changed_for_one_alone():
    rig = rigs.biped()
    other = rigs.biped("other")
    action = rig.animation_data.action
    slot = action.slots.new("OBJECT", "other")
    other.animation_data.action = action
    other.animation_data.action_slot = slot
    rigs.key(other.pose.bones["hips"], "location", [(0, 0, 0), (0, 0, 1), (1, 0, 0)])
    sphere = lifted(rig)
    before = heads(other, ["hips"], FRAMES)
    hand(sphere, rig)
    assert off(sphere, rig, "hips", FRAMES).max() < 1e-4
    assert np.abs(heads(other, ["hips"], FRAMES) - before).max() < 1e-6


@pytest.mark.skipif(bpy.app.version < (4, 4), reason="actions got slots in 4.4")
def test_an_action_without_a_slot_gets_one():
    rig = rigs.biped()
    sphere = lifted(rig)
    rig.animation_data.action = None
    rig.animation_data.action = bpy.data.actions.new("fresh")
    hand(sphere, rig)
    assert rig.animation_data.action.name == "fresh"
    assert off(sphere, rig, "hips", FRAMES).max() < 1e-4


def test_a_ball_with_few_keys_of_its_own_kind():
    """As it was baked: handles that are free at corners and in line elsewhere."""
    rig = rigs.biped()
    with chosen(keys="NEEDED", error_m=0.002):
        sphere = ball_on(rig)
    count = len(places_of(sphere)[0].keyframe_points)
    assert count < 12
    before = heads(rig, ["hips"], range(1, 41))
    handed = hand(sphere, rig)
    assert handed.keys == count
    assert off(sphere, rig, "hips", np.arange(1, 40.1, 0.5)).max() < 1e-5
    assert np.linalg.norm(heads(rig, ["hips"], range(1, 41)) - before, axis=-1).max() < 0.002


def test_a_ball_that_is_keyed_on_one_axis_alone():
    rig = rigs.biped()
    sphere = lifted(rig)
    for curve in places_of(sphere)[:2]:
        curve.keyframe_points.clear()
        curve.keyframe_points.insert(1, sphere.location[curve.array_index])
    handed = hand(sphere, rig)
    assert handed.keys == len(FRAMES)
    assert off(sphere, rig, "hips", range(1, 41)).max() < 1e-5


def test_a_ball_with_one_key():
    rig = rigs.biped()
    sphere = ball_on(rig)
    keyed(sphere, [20], path(sphere, [20]) + (0.0, 0.0, 0.1))
    handed = hand(sphere, rig)
    assert handed.keys == 1
    assert off(sphere, rig, "hips", [20]).max() < 1e-4
    hand(sphere, rig, into="STRIP")
    assert off(sphere, rig, "hips", [20]).max() < 1e-4


def test_a_strip_before_the_first_frame():
    rig = rigs.biped()
    sphere = ball_on(rig)
    frames = [-30.5, -20, -12]
    keyed(sphere, frames, path(sphere, [1, 20, 40]))
    hand(sphere, rig, into="STRIP")
    assert off(sphere, rig, "hips", frames).max() < 1e-4


def test_a_ball_that_follows_is_refused(analysis):
    rig = rigs.biped()
    bpy.context.view_layer.objects.active = rig
    bpy.ops.plumbline.follow_sphere()
    sphere = next(o for o in bpy.data.objects if "plumbline_sphere_of" in o)
    bpy.context.view_layer.update()
    before = digest()
    with pytest.raises(analysis.PlumblineError, match="follows its rig and has no keys"):
        hand(sphere, rig)
    assert difference(before, digest()) == {}


def test_far_from_the_origin():
    """Float32 holds .1 mm at a kilometre; what it cannot hold is no reason to refuse."""
    rig = rigs.biped()
    rig.location.x = 2000.0
    sphere = lifted(rig)
    hand(sphere, rig)
    assert off(sphere, rig, "hips", FRAMES).max() < 5e-4


def test_into_a_strip_with_time_remapped():
    rig = rigs.biped()
    scene = bpy.context.scene
    scene.render.frame_map_old, scene.render.frame_map_new = 100, 150
    rigs.set_range(1, 60)
    sphere = ball_on(rig)
    frames = [2, 10.5, 20, 38]
    keyed(sphere, frames, thinned(sphere, frames) + (0.0, 0.0, 0.1))
    hand(sphere, rig, into="STRIP")
    found = heads(rig, ["hips"], 1.5 * np.array(frames))[:, 0]
    assert np.abs(found - path(sphere, frames)).max() < 1e-4
