# SPDX-License-Identifier: GPL-3.0-or-later
"""Roles, lengths and ends are those of the first frame sampled, whatever frame is shown."""

import bpy
import numpy as np
import pytest
import rigs
from mathutils import Matrix, Vector

from analysis import quaternions as quat


@pytest.fixture
def sampling(ext):
    return ext.addon.sampling


def nameless(rig):
    for number, bone in enumerate(rig.data.bones):
        bone.name = f"b{number:02}"
    return rig


@pytest.mark.parametrize("playhead", [1, 40])
@pytest.mark.parametrize("turns", [(0.0, 1.57), (1.57, 0.0)])
def test_roles_by_shape_do_not_depend_on_the_playhead(sampling, playhead, turns):
    """A figure that lies down at the end, or at the beginning, is a figure all along."""
    rig = nameless(rigs.biped())
    rigs.key(rig, "rotation_euler", [(turns[0], 0, 0), (0, 0, 0), (turns[1], 0, 0)])
    bpy.context.scene.frame_set(playhead)
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    assert len(clip.joints) == 17
    assert {"head", "thigh.L", "hand.R"} <= set(clip.meta.roles)
    (left,) = clip.meta.roles["thigh.L"]
    assert rig.data.bones[left].head_local.x > 0.0


def test_an_armature_with_another_axis_up(sampling):
    rig = nameless(rigs.biped())
    upright = Matrix.Rotation(np.pi / 2, 4, "X")
    rig.data.transform(upright.inverted())
    rig.matrix_world = upright
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    (left,) = clip.meta.roles["thigh.L"]
    assert rig.data.bones[left].head_local.x > 0.0


@pytest.mark.parametrize("playhead", [1, 40])
def test_a_prop_that_is_scaled_by_keys(sampling, playhead):
    rig = rigs.biped()
    pole = rigs.boathook(rig)
    rigs.key(pole, "scale", [(1, 1, 1), (1, 1, 1), (200, 1, 3)])
    bpy.context.scene.frame_set(playhead)
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    assert clip.lengths[clip.joint("boathook")] == pytest.approx(1.8, abs=1e-6)
    (late,) = sampling.sample(bpy.context.scene, [rig], first=40, last=41)
    assert late.lengths[late.joint("boathook")] == pytest.approx(200 * 0.04, abs=1e-5)


@pytest.mark.parametrize("scale", [(1, 1, -1), (1, -1, 1), (-1, 1, 1), (-1, -2, -1), (1, 3, 0.5)])
@pytest.mark.parametrize("stretched", [False, True])
def test_the_ends_of_a_mirrored_or_sheared_prop(sampling, scale, stretched):
    rig = rigs.biped()
    pole = rigs.boathook(rig)
    pole.scale, pole.rotation_euler = scale, (0.3, 0.2, 0.1)
    rig.scale = (1.0, 1.0, 1.7) if stretched else (1.0, 1.0, 1.0)
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    bpy.context.scene.frame_set(1)
    seen = pole.evaluated_get(bpy.context.evaluated_depsgraph_get()).matrix_world
    for name, z in (("boathook tip", 1.5), ("boathook base", -0.3)):
        point = clip.points.index(name)
        at = clip.point_joint[point]
        told = clip.positions[0, at] + quat.rotate(clip.rotations[0, at], clip.point_offset[point])
        np.testing.assert_allclose(told, seen @ Vector((0, 0, z)), atol=1e-5)


def test_bones_along_and_across_an_uneven_scale(sampling):
    rig = rigs.biped()
    rig.scale, rig.rotation_euler = (1.0, 1.0, 2.0), (0.3, 0.0, 0.0)
    bpy.context.view_layer.update()
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    for name in ("head", "hand.L", "shin.R"):
        bone = rig.data.bones[name]
        real = (rig.matrix_world @ bone.tail_local - rig.matrix_world @ bone.head_local).length
        assert clip.lengths[clip.joint(name)] == pytest.approx(real, abs=1e-6)


def test_without_a_unit_system_its_scale_does_not_apply(sampling):
    rig, units = rigs.biped(), bpy.context.scene.unit_settings
    units.system, units.scale_length = "NONE", 0.01
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    assert np.ptp(clip.rest_positions[:, 2]) == pytest.approx(1.52)
    assert clip.lengths[clip.joint("head")] == pytest.approx(0.2)
