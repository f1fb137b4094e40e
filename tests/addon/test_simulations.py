# SPDX-License-Identifier: GPL-3.0-or-later
"""Simulations are stepped in the scene itself, from the frame on which they begin."""

import bpy
import numpy as np
import pytest
import rigs
from sampled import asked, same_as_the_scene


@pytest.fixture
def sampling(ext):
    return ext.addon.sampling


def test_a_falling_crate_pulls_the_hand_as_in_the_scene(sampling):
    rig, crate = rigs.biped(), rigs.cube("crate")
    rig.pose.bones["hand.L"].constraints.new("COPY_LOCATION").target = crate
    rigs.rigid_body(crate)
    (clip,) = sampling.sample(bpy.context.scene, [rig], first=1, last=20)
    fallen = clip.positions[:, clip.joint("hand.L"), 2]
    assert fallen[0] - fallen[-1] > 1.0


def falling_hand(path):
    """A saved file in which a crate that falls from frame 1 pulls a hand, opened again."""
    rig, crate = rigs.biped(), rigs.cube("crate")
    rig.pose.bones["hand.L"].constraints.new("COPY_LOCATION").target = crate
    rigs.rigid_body(crate)
    bpy.ops.wm.save_as_mainfile(filepath=str(path))


def opened_rig(path):
    bpy.ops.wm.open_mainfile(filepath=str(path), load_ui=False)
    return bpy.data.objects["porter"]


def test_a_range_that_begins_in_mid_fall(sampling, tmp_path):
    falling_hand(tmp_path / "fall.blend")
    rig = opened_rig(tmp_path / "fall.blend")
    (whole,) = sampling.sample(bpy.context.scene, [rig], first=1, last=25)
    rig = opened_rig(tmp_path / "fall.blend")
    (late,) = sampling.sample(bpy.context.scene, [rig], first=15, last=25)
    np.testing.assert_array_equal(late.positions, whole.positions[14:])
    assert np.ptp(late.positions[:, late.joint("hand.L"), 2]) > 1.0


def test_a_fall_in_a_scene_that_is_not_shown(sampling, tmp_path):
    falling_hand(tmp_path / "fall.blend")
    rig = opened_rig(tmp_path / "fall.blend")
    (expected,) = sampling.sample(bpy.context.scene, [rig], first=1, last=40)
    rig = opened_rig(tmp_path / "fall.blend")
    scene, window, other = bpy.context.scene, bpy.context.window, bpy.data.scenes.new("other")
    window.scene = other
    window.view_layer = other.view_layers.new("second")
    (clip,) = sampling.sample(scene, [rig], first=1, last=40)
    np.testing.assert_array_equal(clip.positions, expected.positions)
    assert (window.scene, window.view_layer.name) == (other, "second")


def test_a_second_blender_sees_the_fall(sampling, tmp_path, monkeypatch):
    falling_hand(tmp_path / "fall.blend")
    rig = opened_rig(tmp_path / "fall.blend")
    (expected,) = sampling.sample(bpy.context.scene, [rig], first=1, last=40)
    rig = opened_rig(tmp_path / "fall.blend")
    bpy.context.scene.frame_set(7)
    (clip,), _request = asked(sampling, monkeypatch, [rig])
    np.testing.assert_array_equal(clip.positions, expected.positions)
    assert np.ptp(clip.positions[:, clip.joint("hand.L"), 2]) > 5.0


@pytest.mark.parametrize("nested", [False, True])
def test_a_simulation_zone(ext, sampling, nested):
    rig, mover = rigs.biped(), rigs.cube("mover")
    group = rigs.node_group(mover)
    zone = rigs.node_group(rigs.cube("another")) if nested else group
    begin = zone.nodes.new("GeometryNodeSimulationInput")
    end = zone.nodes.new("GeometryNodeSimulationOutput")
    begin.pair_with_output(end)
    move = zone.nodes.new("GeometryNodeSetPosition")
    move.inputs["Offset"].default_value = (0.0, 0.0, 0.1)
    zone.links.new(begin.outputs["Geometry"], move.inputs[0])
    zone.links.new(move.outputs[0], end.inputs["Geometry"])
    source, sink = zone.nodes.new("NodeGroupInput"), zone.nodes.new("NodeGroupOutput")
    zone.links.new(source.outputs[0], begin.inputs["Geometry"])
    zone.links.new(end.outputs["Geometry"], sink.inputs[0])
    if nested:
        inner = group.nodes.new("GeometryNodeGroup")
        inner.node_tree = zone
        rigs.chain_nodes(group, inner)
    rigs.follow_corner(rig.pose.bones["hand.L"], mover)
    bpy.context.scene.frame_set(1)
    clip = same_as_the_scene(sampling, rig)
    assert np.ptp(clip.positions[:, clip.joint("hand.L"), 2]) > 3.0
    # A carried object whose shape alone is simulated stays where the hand is.
    judge = ext.addon.sampling.exactness.judge
    other = rigs.armature("other", rigs.BIPED)
    assert judge(bpy.context.scene, [other], placed=[mover]).why == ""


@pytest.mark.parametrize("kind", ["CLOTH", "DYNAMIC_PAINT", "FLUID", "SOFT_BODY"])
def test_simulations_by_modifiers(ext, kind):
    rig, cube = rigs.biped(), rigs.cube("cube")
    rigs.follow_corner(rig.pose.bones["hand.L"], cube)
    modifier = cube.modifiers.new("simulated", kind)
    if kind in ("CLOTH", "SOFT_BODY"):
        modifier.point_cache.frame_start = -7
    verdict = ext.addon.sampling.exactness.judge(bpy.context.scene, [rig])
    assert verdict.why == "a simulation deforms 'cube', which moves what is followed"
    assert verdict.run_in_from == (-7 if kind in ("CLOTH", "SOFT_BODY") else 1)
