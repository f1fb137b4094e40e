# SPDX-License-Identifier: GPL-3.0-or-later
"""The edges of flat objects that a rig carries, against the corners of their evaluated meshes."""

import bpy
import numpy as np
import pytest
import rigs
from mathutils import Matrix, Vector


@pytest.fixture
def sampling(ext):
    return ext.addon.sampling


def blade(rig, half=(0.003, 0.03, 0.5), scale=(1.0, 1.0, 1.0)):
    """A mesh of eight corners on the right hand: thin along X, wide along Y, long along Z."""
    corners = [(x, y, z) for x in (-1, 1) for y in (-1, 1) for z in (-0.2, 1.8)]
    mesh = bpy.data.meshes.new("blade")
    mesh.from_pydata((np.array(corners) * half).tolist(), [], [(0, 1, 3, 2), (4, 5, 7, 6)])
    made = bpy.data.objects.new("blade", mesh)
    bpy.context.scene.collection.objects.link(made)
    made.parent, made.parent_type, made.parent_bone = rig, "BONE", "hand.R"
    made.rotation_euler = (0.4, 0.3, 1.1)
    made.scale = scale
    return made


def corners_of(item, frames):
    """(T,8,3) where the corners of the evaluated mesh are."""
    found = []
    for frame in frames:
        bpy.context.scene.frame_set(frame)
        seen = item.evaluated_get(bpy.context.evaluated_depsgraph_get())
        found.append([tuple(seen.matrix_world @ v.co) for v in seen.data.vertices])
    return np.array(found)


def world_of(ext, clip, name):
    """(T,3) where a named point of the clip is."""
    at = clip.points.index(name)
    joint = clip.point_joint[at]
    turned = ext.analysis.quaternions.rotate(clip.rotations[:, joint], clip.point_offset[at])
    return clip.positions[:, joint] + turned


@pytest.mark.parametrize("scale", [(1.0, 1.0, 1.0), (1.2, 0.8, 1.5), (-1.0, 1.0, 1.0)])
def test_a_blade_has_an_edge_and_a_back(ext, sampling, scale):
    rig = rigs.biped()
    item = blade(rig, scale=scale)
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    assert clip.points == ("blade base", "blade tip", "blade edge", "blade back")
    corners = corners_of(item, range(1, 41))
    wide = np.array([np.sign(v.co.y) for v in item.data.vertices])
    sides = [corners[:, wide == side].mean(axis=1) for side in (-1, 1)]
    told = [world_of(ext, clip, f"blade {name}") for name in ("edge", "back")]
    if np.abs(told[0] - sides[0]).max() > np.abs(told[0] - sides[1]).max():
        told.reverse()
    np.testing.assert_allclose(told, sides, atol=1e-5)


def test_what_is_as_thick_as_wide_has_none(sampling):
    rig = rigs.biped()
    blade(rig, half=(0.03, 0.03, 0.5))
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    assert clip.points == ("blade base", "blade tip")


def test_a_flat_object_is_still_followed_at_its_tip(ext, sampling):
    """An edge may lie further from the origin than the ends; it is no tip all the same."""
    rig = rigs.biped()
    item = blade(rig, half=(0.01, 0.3, 0.32))
    item.data.transform(Matrix.Translation((0.0, 2.0, 0.0)))
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    basis = ext.analysis.basis.build_basis(clip, ext.analysis.Settings())
    body = basis.body("prop.1")
    assert basis.mark_name(body, 1) in ("blade base", "blade tip")


@pytest.mark.parametrize("said", [None, False, 1, True])
def test_what_is_meant_to_be_rigid_is_said_by_a_custom_property(sampling, said):
    rig = rigs.biped()
    item = blade(rig)
    if said is not None:
        item["plumbline_fixed"] = said
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    assert clip.meta.props[0].fixed is bool(said)


def test_a_blade_in_a_scene_is_seen_edge_on(ext, sampling):
    """From along its width a camera sees the edge; from along its thin side the flat."""
    rig = rigs.biped()
    for bone in rig.pose.bones:
        bone.rotation_mode = "XYZ"
    item = blade(rig)
    rig.animation_data_clear()
    rigs.key(rig.pose.bones["head"], "rotation_euler", [(0, 0, 0), (0.1, 0, 0), (0, 0, 0)])
    rigs.key(rig.pose.bones["upper_arm.R"], "rotation_euler", [(0, 0, 0), (0, 0, 0), (0, 0, 0.01)])
    bpy.context.scene.frame_set(1)
    bpy.context.view_layer.update()
    matrix = item.matrix_world.normalized()
    camera = bpy.data.objects.new("camera", bpy.data.cameras.new("camera"))
    bpy.context.scene.collection.objects.link(camera)
    bpy.context.scene.camera = camera
    asked = ext.analysis.Settings(cycle="no", checks=("edge_on",))
    middle = item.matrix_world @ Vector((0.0, 0.0, 0.4))
    told = {}
    for name, column in (("edge", 1), ("flat", 0)):
        out = matrix.to_3x3().col[column]
        camera.location = middle + 5.0 * out
        camera.rotation_mode = "QUATERNION"
        camera.rotation_quaternion = out.to_track_quat("Z", "Y")
        (clip,) = sampling.sample(bpy.context.scene, [rig])
        told[name] = ext.analysis.check_clip(clip, asked)
    assert any("only its edge all along" in text for text in told["edge"].style)
    assert told["flat"].good[0].startswith("The camera sees the blade (")
