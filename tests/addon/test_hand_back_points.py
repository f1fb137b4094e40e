# SPDX-License-Identifier: GPL-3.0-or-later
"""Balls on other points than the control, with rotation, and what becomes of planted feet."""

import math

import bpy
import numpy as np
import pytest
import rigs
from handed import ball_on, chosen, hand, heads, keyed, off, path, thinned
from stepped import built

from demo_scenes.porter import sidestep

FRAMES = [1, 10, 20, 31, 40]


def moved(sphere, frames, by, at=2):
    places = thinned(sphere, frames)
    places[at] += by
    keyed(sphere, frames, places)


def test_a_ball_on_the_pelvis_of_a_rig_that_something_else_carries():
    bones = {"body": (None, (0, 0.1, 0.9), (0, 0.4, 0.9)), **rigs.BIPED}
    bones["hips"] = ("body", *rigs.BIPED["hips"][1:])
    rig = rigs.armature("porter", bones)
    rigs.key(rig.pose.bones["body"], "location", [(0, 0, 0), (0.05, 0.02, 0.4), (0, 0, 0.8)])
    rig.pose.bones["body"].rotation_mode = "XYZ"
    rigs.key(rig.pose.bones["body"], "rotation_euler", [(0, 0, 0), (0.3, 0.1, 0.4), (0, 0, 0.8)])
    rigs.set_range(1, 40)
    with chosen(on="PELVIS"):
        sphere = ball_on(rig)
    assert sphere["plumbline_sphere_on"]["control"] == "body"
    moved(sphere, FRAMES, (0.1, 0.0, 0.2))
    hand(sphere, rig)
    assert off(sphere, rig, "hips", FRAMES).max() < 1e-4
    hand(sphere, rig, keys="EVERY")
    assert off(sphere, rig, "hips", range(1, 41)).max() < 1e-4


def test_a_ball_on_the_centre_of_mass_while_the_feet_stand(ext):
    """Legs bend as the body moves, so the centre of mass moves less than the control."""
    rig = built(sidestep, polished=True)
    with chosen(on="COM"):
        sphere = ball_on(rig)
    frames = key_frames()
    moved(sphere, frames, (0.0, 0.0, -0.03))
    handed = hand(sphere, rig)
    assert handed.at_keys_m < 1e-4
    said = "'body' moves so that the centre of mass goes as the ball does: 13 keys, within 0.01 mm"
    assert handed.sentences[0].startswith(said)
    sampled = ext.addon.sampling.sample(bpy.context.scene, [rig], props=())[0]
    com = ext.analysis.basis.build_basis(sampled, ext.analysis.Settings()).com
    rows = [int(frame - sampled.frames[0]) for frame in frames]
    assert np.linalg.norm(com[rows] - path(sphere, frames), axis=1).max() < 2e-4


def key_frames():
    scene = bpy.context.scene
    return sorted({*range(scene.frame_start, scene.frame_end, 6), scene.frame_end})


def test_a_plain_object_goes_as_its_ball():
    item = rigs.cube("crate")
    item.rotation_euler, item.parent = (0.1, 0.2, 0.3), rigs.cube("cart")
    item.parent.scale = (1.5, 0.8, 1.2)
    rigs.key(item, "location", [(0, 0, 0), (1, 0, 1), (2, 0, 0)])
    rigs.set_range(1, 40)
    with chosen(on="CONTROL"):
        sphere = ball_on(item)
    moved(sphere, FRAMES, (0.0, 0.1, 0.2))
    handed = hand(sphere, item)
    assert off(sphere, item, "", FRAMES).max() < 1e-4
    assert handed.feet == ()


@pytest.mark.parametrize("mode", ["QUATERNION", "XYZ", "ZXY", "AXIS_ANGLE"])
@pytest.mark.parametrize("keys", ["BALL", "EVERY"])
def test_the_control_turns_as_the_ball_where_that_is_asked(mode, keys):
    rig = rigs.biped()
    rig.rotation_euler = (0.2, 0.1, 0.4)
    hips = rig.pose.bones["hips"]
    hips.rotation_mode = mode
    with chosen(rotation=True):
        sphere = ball_on(rig)
    begun = turns(sphere, rig, range(1, 41))[0]
    # The ball turns by a whole turn and a half about the vertical, evenly.
    turned(sphere, [0.0, 0.75 * math.pi, 1.5 * math.pi, 3.0 * math.pi], [1, 14, 27, 40], begun)
    handed = hand(sphere, rig, rotation=True, keys=keys)
    frames = [1, 14, 27, 40] if keys == "BALL" else range(1, 41)
    ball, control = turns(sphere, rig, frames)
    sides = np.sign(np.sum(ball * control, axis=1, keepdims=True))
    assert np.abs(ball - sides * control).max() < 1e-5
    assert handed.turned_rad < 1e-3
    assert off(sphere, rig, "hips", range(1, 41)).max() < 1e-4
    name = {"QUATERNION": "quaternion", "AXIS_ANGLE": "axis_angle"}.get(mode, "euler")
    curves = [c for c in rigs.fcurves(rig) if c.data_path.endswith(f'hips"].rotation_{name}')]
    values = np.array([[curve.evaluate(frame) for curve in curves] for frame in range(1, 41)])
    # No sign and no whole turn is jumped; close to its pole an Euler axis turns fast by nature.
    steps = np.abs(np.diff(values, axis=0))
    assert steps.max() < {"QUATERNION": 0.4, "AXIS_ANGLE": 1.0}.get(mode, 0.9 * math.pi)


def turned(sphere, angles, frames, begun):
    """Key a ball's rotation: turns about the vertical on top of how it is turned."""
    curves = [c for c in rigs.fcurves(sphere) if c.data_path == "rotation_quaternion"]
    for curve in curves:
        curve.keyframe_points.clear()
    from mathutils import Quaternion

    first = Quaternion(begun[0])
    for frame, angle in zip(frames, angles, strict=True):
        # Not the shorter way round: the sign goes on.
        half = Quaternion((math.cos(angle / 2), 0.0, 0.0, math.sin(angle / 2)))
        sphere.rotation_quaternion = half @ first
        sphere.keyframe_insert("rotation_quaternion", frame=frame)


def turns(sphere, rig, frames):
    """(T,4) how ball and hips are turned in the world."""
    ball, control = [], []
    for frame in frames:
        bpy.context.scene.frame_set(frame)
        graph = bpy.context.evaluated_depsgraph_get()
        seen = rig.evaluated_get(graph)
        ball.append(sphere.evaluated_get(graph).matrix_world.to_quaternion())
        control.append((seen.matrix_world @ seen.pose.bones["hips"].matrix).to_quaternion())
    return np.array(ball), np.array(control)


def test_a_ball_without_rotation_keys_turns_nothing(analysis):
    rig = rigs.biped()
    sphere = ball_on(rig)
    with pytest.raises(analysis.PlumblineError, match="has no rotation keys, expected a ball"):
        hand(sphere, rig, rotation=True)


def feet(rig):
    return [name for name in ("foot.L", "foot.R") if name in rig.pose.bones]


def test_feet_that_ik_holds_stay_within_reach():
    rig = built(sidestep, polished=True)
    sphere = ball_on(rig)
    scene = bpy.context.scene
    frames = range(scene.frame_start, scene.frame_end + 1)
    before = heads(rig, feet(rig), frames)
    moved(sphere, list(frames), (0.0, 0.0, 0.0))
    keyed(sphere, list(frames), path(sphere, frames) - (0.0, 0.0, 0.04))
    handed = hand(sphere, rig)
    assert handed.feet == ()
    assert np.linalg.norm(heads(rig, feet(rig), frames) - before, axis=-1).max() < 1e-4
    assert off(sphere, rig, "body", frames).max() < 1e-4


def test_a_leg_that_does_not_reach_is_told():
    rig = built(sidestep, polished=True)
    sphere = ball_on(rig)
    scene = bpy.context.scene
    frames = list(range(scene.frame_start, scene.frame_end + 1))
    before = heads(rig, feet(rig), frames)
    places = path(sphere, frames)
    places[29:34, 2] += 0.12
    keyed(sphere, frames, places)
    handed = hand(sphere, rig)
    away = np.linalg.norm(heads(rig, feet(rig), frames) - before, axis=-1)
    assert set(np.nonzero(away.max(axis=1) > 1e-3)[0]) <= set(range(29, 34))
    assert len(handed.feet) == 2
    for told, side, short in zip(handed.feet, ("left", "right"), away.T, strict=True):
        gone = np.nonzero(short > 1e-3)[0] + 1
        assert told == (
            f"The {side} leg does not reach on frames {gone[0]} to {gone[-1]}: its foot comes "
            f"{100 * short.max():.1f} cm short at {np.argmax(short) + 1}. Lower the ball there, "
            "or lift the heel."
        )


def test_feet_of_legs_without_ik_move_along():
    rig = rigs.biped()
    rig.animation_data_clear()
    rigs.key(rig.pose.bones["hips"], "location", [(0, 0, 0), (0, 0, 0), (0, 0, 0)])
    rigs.key(rig.pose.bones["spine"], "rotation_euler", [(0, 0, 0), (0.3, 0, 0), (0, 0, 0)])
    sphere = ball_on(rig)
    moved(sphere, FRAMES, (0.0, 0.0, 0.1))
    told = hand(sphere, rig).sentences
    assert told[0].startswith("'hips' goes as the ball does: 5 keys, within 0.01 mm at them, ")
    assert told[1].startswith("The left foot moves along on frames ")
    assert told[1].endswith("by 10.0 cm at 20, as its leg has no IK: turn the leg back there.")
    assert told[2].startswith("The right foot moves along")


@pytest.mark.rigify
def test_a_rigify_torso_over_feet_that_stand(human_file):
    bpy.ops.wm.open_mainfile(filepath=str(human_file), load_ui=False)
    rig = bpy.data.objects["human"]
    torso = rig.pose.bones["torso"]
    rigs.key(torso, "location", [(0, 0, -0.06), (0.06, 0.03, -0.1), (-0.05, 0, -0.05)])
    rigs.set_range(1, 40)
    names = ["DEF-foot.L", "DEF-foot.R", "DEF-toe.L", "DEF-toe.R"]
    before = heads(rig, names, range(1, 41))
    sphere = ball_on(rig)
    assert sphere["plumbline_sphere_on"]["control"] == "torso"
    moved(sphere, FRAMES, (0.05, 0.0, 0.03))
    handed = hand(sphere, rig)
    assert off(sphere, rig, "torso", FRAMES).max() < 1e-4
    assert off(sphere, rig, "torso", range(1, 41)).max() < 1e-4
    assert np.linalg.norm(heads(rig, names, range(1, 41)) - before, axis=-1).max() < 1e-4
    assert handed.feet == ()
    moved(sphere, FRAMES, (0.0, 0.0, 0.2))
    handed = hand(sphere, rig, keys="EVERY", into="STRIP")
    assert off(sphere, rig, "torso", range(1, 41)).max() < 1e-4
