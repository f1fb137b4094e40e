# SPDX-License-Identifier: GPL-3.0-or-later
"""Where the keys of a hand back go, what is refused, and that then nothing is changed."""

import bpy
import numpy as np
import pytest
import rigs
from digest import difference, digest
from handed import ball_on, chosen, hand, heads, keyed, off, path, thinned

FRAMES = [1, 10, 20, 31, 40]


def lifted(rig):
    """A ball whose keys were edited."""
    sphere = ball_on(rig)
    places = thinned(sphere, FRAMES)
    places[2, 2] += 0.2
    keyed(sphere, FRAMES, places)
    return sphere


def poses(rig, frames):
    """(T,bones,16) pose matrices and (T,16) the object, by stepping the scene."""
    pose, world, _ = rigs.real_matrices(rig, frames)
    return pose.reshape(*pose.shape[:2], 16), world


def names(rig):
    return [[strip.name for strip in track.strips] for track in rig.animation_data.nla_tracks]


def test_a_new_strip_leaves_the_old_motion_below():
    rig = rigs.biped()
    rigs.set_range(5, 50)
    frames = range(1, 60)
    sphere = lifted(rig)
    old = rig.animation_data.action
    before, _ = poses(rig, frames)
    handed = hand(sphere, rig, into="STRIP")
    data = rig.animation_data
    assert data.action is None
    assert names(rig) == [["porterAction"], ["hips as the ball"]]
    below, top = (track.strips[0] for track in data.nla_tracks)
    assert below.action == old
    assert (top.frame_start, top.frame_end, top.extrapolation) == (1.0, 40.0, "NOTHING")
    assert (top.blend_type, top.use_animated_influence, top.scale) == ("REPLACE", False, 1.0)
    assert {curve.data_path for curve in strip_curves(top)} == {'pose.bones["hips"].location'}
    assert handed.keys == 5
    assert off(sphere, rig, "hips", range(1, 41)).max() < 1e-4
    # What was there plays as before where the new track is silent, on every frame.
    data.nla_tracks[1].mute = True
    bpy.context.view_layer.update()
    after, _ = poses(rig, frames)
    assert np.abs(after - before).max() < 1e-6


def strip_curves(strip):
    if hasattr(strip.action, "fcurves"):
        return list(strip.action.fcurves)
    return list(strip.action.layers[0].strips[0].channelbag(strip.action_slot).fcurves)


def test_only_the_handed_channels_move_otherwise():
    rig = rigs.biped()
    sphere = lifted(rig)
    arms = [bone.name for bone in rig.pose.bones]
    before = rotations(rig, arms)
    hand(sphere, rig, into="STRIP")
    assert np.abs(rotations(rig, arms) - before).max() < 1e-6


def rotations(rig, bones):
    found = []
    for frame in range(1, 50):
        bpy.context.scene.frame_set(frame)
        seen = rig.evaluated_get(bpy.context.evaluated_depsgraph_get())
        found.append([np.array(seen.pose.bones[name].matrix)[:3, :3] for name in bones])
    return np.array(found)


@pytest.mark.parametrize("extends", ["cycles", "linear", "blend"])
def test_a_motion_that_goes_on_goes_on_when_it_is_pushed_down(extends):
    rig = rigs.biped()
    for curve in rigs.fcurves(rig):
        if extends == "cycles":
            curve.modifiers.new("CYCLES")
        elif extends == "linear":
            curve.extrapolation = "LINEAR"
    if extends == "blend":
        rigs.push_to_strip(rig)
        thigh = rig.pose.bones["thigh.L"]
        thigh.keyframe_insert("rotation_euler", frame=5)
        rig.animation_data.action_influence = 0.5
        rig.animation_data.action_blend_type = "ADD"
    rigs.set_range(0, 130)
    sphere = lifted(rig)
    before, _ = poses(rig, range(131))
    hand(sphere, rig, into="STRIP")
    rig.animation_data.nla_tracks[-1].mute = True
    bpy.context.view_layer.update()
    after, _ = poses(rig, range(131))
    assert np.abs(after - before).max() < 2e-6


def test_what_lies_on_top_is_told(capfd):
    rig = rigs.biped()
    lifted(rig)
    assert bpy.ops.plumbline.hand_back_sphere(into="STRIP") == {"FINISHED"}
    told = (
        "Info: The action 'porterAction' is as it was, and plays as a strip: 'hips as the ball' "
        "lies on top of it."
    )
    assert told in capfd.readouterr().out
    assert bpy.ops.plumbline.hand_back_sphere(into="STRIP") == {"FINISHED"}
    told = "Info: The strip 'hips as the ball.001' lies on top of all others."
    assert told in capfd.readouterr().out


def test_strips_upon_strips():
    """A second hand back goes on top of the first."""
    rig = rigs.awkward()
    sphere = lifted(rig)
    hand(sphere, rig, into="STRIP")
    places = path(sphere, FRAMES)
    places[1, 0] += 0.1
    keyed(sphere, FRAMES, places)
    hand(sphere, rig, into="STRIP")
    assert off(sphere, rig, "hips", FRAMES).max() < 1e-4
    assert len(rig.animation_data.nla_tracks) == 3
    assert names(rig)[1:] == [["hips as the ball"], ["hips as the ball.001"]]


@pytest.mark.parametrize("into", ["ACTION", "STRIP"])
@pytest.mark.parametrize("mode", ["OBJECT", "POSE"])
def test_the_button_hands_back_in_one_step_of_undo(into, mode):
    rig = rigs.biped()
    sphere = lifted(rig)
    bpy.context.view_layer.objects.active = rig
    bpy.ops.object.mode_set(mode=mode)
    bpy.ops.ed.undo_push(message="before")
    before = heads(rig, ["hips"], FRAMES)
    button = bpy.ops.plumbline.hand_back_sphere
    assert button("EXEC_DEFAULT", True, into=into) == {"FINISHED"}
    assert bpy.context.mode == mode
    assert off(sphere, rig, "hips", FRAMES).max() < 1e-4
    bpy.ops.ed.undo()
    rig = bpy.data.objects["porter"]
    assert np.abs(heads(rig, ["hips"], FRAMES) - before).max() < 1e-6
    assert rig.animation_data.action is not None
    assert names(rig) == []
    assert len(bpy.data.actions) == 2
    bpy.ops.ed.redo()
    rig, sphere = bpy.data.objects["porter"], bpy.data.objects["porter root sphere"]
    assert off(sphere, rig, "hips", FRAMES).max() < 1e-4


@pytest.mark.parametrize("into", ["ACTION", "STRIP"])
def test_the_ball_is_up_to_date_afterwards(ext, into):
    rig = rigs.biped()
    sphere = lifted(rig)
    why = ext.addon.sphere.since.why_moved_on
    rig.pose.bones["hips"].keyframe_insert("location", frame=25)
    rig.pose.bones["hips"].location.z += 0.1
    rig.pose.bones["hips"].keyframe_insert("location", frame=26)
    bpy.context.view_layer.update()
    assert why(bpy.context, sphere)
    hand(sphere, rig, into=into)
    for frame in (1, 20, 30):
        bpy.context.scene.frame_set(frame)
        assert why(bpy.context, sphere) == ""


def test_the_button_takes_what_is_chosen():
    rig = rigs.biped()
    lifted(rig)
    chosen = bpy.context.window_manager.plumbline.sphere
    chosen.hand_into, chosen.hand_keys = "STRIP", "EVERY"
    assert bpy.ops.plumbline.hand_back_sphere() == {"FINISHED"}
    (strip,) = rig.animation_data.nla_tracks[1].strips
    assert len(strip_curves(strip)[0].keyframe_points) == 40
    assert bpy.ops.plumbline.hand_back_sphere(into="STRIP", keys="BALL") == {"FINISHED"}
    (strip,) = rig.animation_data.nla_tracks[2].strips
    assert len(strip_curves(strip)[0].keyframe_points) == 5


def tweaked(rig):
    strip = rigs.push_to_strip(rig)
    data = rig.animation_data
    data.nla_tracks.active = data.nla_tracks[0]
    strip.select = True
    data.use_tweak_mode = True


def locked(rig):
    rig.pose.bones["hips"].lock_location[2] = True


def rotation_locked(rig):
    rig.pose.bones["hips"].lock_rotation[0] = True


def driven(rig):
    rigs.drive(rig.pose.bones["hips"], "location", 0, "frame * 0.01")


def held(rig):
    target = bpy.data.objects.new("peg", None)
    bpy.context.scene.collection.objects.link(target)
    rig.pose.bones["hips"].constraints.new("COPY_LOCATION").target = target


def held_later(rig):
    """Only at the end of the range."""
    held(rig)
    constraint = rig.pose.bones["hips"].constraints[0]
    constraint.influence = 0.0
    constraint.keyframe_insert("influence", frame=30)
    constraint.influence = 1.0
    constraint.keyframe_insert("influence", frame=35)


def limited(rig):
    limit = rig.pose.bones["hips"].constraints.new("LIMIT_LOCATION")
    limit.use_max_z, limit.max_z = True, 1.1


def blended(rig):
    rig.animation_data.nla_tracks.new()
    rig.animation_data.action_blend_type = "ADD"


def influenced(rig):
    rig.animation_data.nla_tracks.new()
    rig.animation_data.action_influence = 0.5


def solo(rig):
    rig.animation_data.nla_tracks.new().is_solo = True


def in_strips(rig):
    rigs.push_to_strip(rig)


def noisy(rig):
    location(rig)[1].modifiers.new("NOISE")


def muted(rig):
    location(rig)[0].mute = True


def curve_locked(rig):
    location(rig)[0].lock = True


def at_rest(rig):
    rig.data.pose_position = "REST"


def location(rig):
    path = 'pose.bones["hips"].location'
    return [curve for curve in rigs.fcurves(rig) if curve.data_path == path]


REFUSED = [
    (tweaked, "is being tweaked"),
    (locked, "is locked on Z"),
    (driven, "is driven"),
    (held, r"does not go where its location channels send it \(at frame 1\)"),
    (held_later, r"channels send it \(at frame 35\)"),
    (limited, "off the ball at frame 20, whatever its location"),
    (blended, r"\(Add, influence 1\)"),
    (influenced, r"\(Replace, influence 0.5\)"),
    (solo, "plays solo"),
    (in_strips, "moved by the strip 'porterAction', expected keys in the active action: take a"),
    (noisy, r"has a modifier \(Noise\)"),
    (muted, "is muted"),
    (curve_locked, "is locked, expected curves that may change"),
    (at_rest, "Rest Position"),
]


@pytest.mark.parametrize(("made", "said"), REFUSED)
def test_what_is_refused_is_said_and_nothing_is_changed(analysis, made, said):
    rig = rigs.biped()
    sphere = lifted(rig)
    made(rig)
    bpy.context.scene.frame_set(7)
    rig.pose.bones["head"].location.x = 0.1  # an edit without a key
    bpy.context.view_layer.update()
    before = digest()
    with pytest.raises(analysis.PlumblineError, match=said) as caught:
        hand(sphere, rig)
    assert difference(before, digest()) == {}
    text = str(caught.value)
    assert "expected" in text
    assert text.endswith(".")
    assert "\n" not in text


def test_what_stands_against_rotation_is_said_where_that_is_asked(analysis):
    rig = rigs.biped()
    with chosen(rotation=True):
        sphere = ball_on(rig)
    rotation_locked(rig)
    with pytest.raises(analysis.PlumblineError, match="the rotation of 'hips' is locked on X"):
        hand(sphere, rig, rotation=True)
    hand(sphere, rig)
    with chosen(rotation=True, on="COM"):
        sphere = ball_on(rig)
    with pytest.raises(analysis.PlumblineError, match="stands for the centre of mass, which has"):
        hand(sphere, rig, rotation=True)


def test_a_ball_without_keys_is_refused(analysis):
    rig = rigs.biped()
    sphere = ball_on(rig)
    sphere.animation_data.action = None
    with pytest.raises(analysis.PlumblineError, match="has no keys, expected a ball that was"):
        hand(sphere, rig)


def test_strips_that_do_not_play_are_refused(analysis):
    rig = rigs.biped()
    sphere = lifted(rig)
    rig.animation_data.use_nla = False
    with pytest.raises(analysis.PlumblineError, match="strips of 'porter' are switched off"):
        hand(sphere, rig, into="STRIP")
    assert rig.animation_data.action is not None


def test_a_rig_that_has_gone_is_told():
    rig = rigs.biped()
    lifted(rig)
    bpy.data.objects.remove(rig)
    with pytest.raises(RuntimeError, match="There is no 'porter' in this scene"):
        bpy.ops.plumbline.hand_back_sphere()
