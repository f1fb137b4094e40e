# SPDX-License-Identifier: GPL-3.0-or-later
"""Another character as what bears weight: a box for each bone that moves a part of its body."""

from itertools import product

import bpy
import numpy as np
import pytest
import rigs
from added import select_objects
from digest import difference, digest

CORNERS = np.array([(*corner, 1.0) for corner in product((-0.5, 0.5), repeat=3)])


@pytest.fixture
def sampling(ext):
    return ext.addon.sampling


def carrier():
    """A second figure that moves, with a skin on its chest and a shield that hangs on its arm."""
    rig = rigs.biped("carrier")
    rig.location = (0.0, 0.5, 0.2)
    rig.rotation_euler = (0.1, 0.0, 0.6)
    skin = rigs.cube("skin")
    skin.location = (0.0, 0.0, 1.4)
    skin.parent = rig
    skin.vertex_groups.new(name="chest").add(list(range(8)), 1.0, "REPLACE")
    skin.vertex_groups.new(name="head").add([0], 0.4, "REPLACE")
    skin.modifiers.new("skin", "ARMATURE").object = rig
    shield = rigs.cube("shield")
    shield.location = (0.0, 0.1, 0.05)
    shield.parent, shield.parent_type, shield.parent_bone = rig, "BONE", "forearm.L"
    return rig, skin, shield


def scene_corners(item):
    """(40,8,3) the corners of a mesh where the scene itself has them."""
    found = []
    for frame in range(1, 41):
        bpy.context.scene.frame_set(frame)
        seen = item.evaluated_get(bpy.context.evaluated_depsgraph_get())
        world = np.array(seen.matrix_world)
        points = np.array([tuple(vertex.co) for vertex in seen.data.vertices])
        found.append(points @ world[:3, :3].T + world[:3, 3])
    return np.array(found)


def box_corners(box):
    return np.einsum("tij,cj->tci", box, CORNERS)[..., :3]


def assert_around(corners, points):
    """Each point of a rigid cube is a corner of its box."""
    gaps = np.linalg.norm(corners[:, :, None] - points[:, None], axis=-1)
    assert gaps.min(axis=1).max() < 1e-5


def test_the_boxes_go_with_the_bones(sampling):
    rig = rigs.biped()
    other, skin, shield = carrier()
    select_objects(other)
    assert bpy.ops.plumbline.bear_weight() == {"FINISHED"}
    bpy.context.view_layer.update()
    before = digest()
    clip, own = sampling.sample(bpy.context.scene, [rig, other])
    assert difference(before, digest()) == {}
    assert clip.meta.supports == ("carrier (chest)", "carrier (forearm.L)")
    assert_around(box_corners(clip.supports[1]), scene_corners(shield))
    # The first corner goes with the head by a little, the others with the chest alone.
    assert_around(box_corners(clip.supports[0]), scene_corners(skin)[:, 1:])
    assert own.supports is None  # nobody stands on himself
    assert own.meta.supports == ()


def test_the_panel_lists_the_rig_and_takes_it_back(ext):
    rigs.biped()
    other, _skin, _shield = carrier()
    select_objects(other)
    bpy.ops.plumbline.bear_weight()
    declared = ext.addon.sampling.supports.declared_supports
    assert declared(bpy.context.scene) == [other]
    assert bpy.ops.plumbline.bear_no_weight(item="carrier") == {"FINISHED"}
    assert declared(bpy.context.scene) == []


def test_of_many_bones_the_largest_boxes_count(ext):
    bones = {f"bone {n}": (None, (0, 0, n), (0, 0, n + 1)) for n in range(40)}
    rig = rigs.armature("eel", bones)
    for n in range(40):
        made = rigs.cube(f"piece {n}")
        made.scale = (1.0 + n, 1.0, 1.0)
        made.parent, made.parent_type, made.parent_bone = rig, "BONE", f"bone {n}"
    boxes = ext.addon.sampling.body_boxes.body_boxes(rig)
    assert list(boxes) == [f"bone {n}" for n in range(16, 40)]
    np.testing.assert_allclose(np.ptp(boxes["bone 39"], axis=0), [20.0, 0.5, 0.5], atol=1e-5)


def test_a_carrier_that_a_scene_drives_is_sampled_all_the_same(sampling):
    """Its rig has to be posed, and what poses it is looked for as for any rig."""
    rig = rigs.biped()
    other, _skin, shield = carrier()
    other["plumbline_bears_weight"] = True
    item = rigs.cube("falling")
    rigs.rigid_body(item)
    copy = other.pose.bones["chest"].constraints.new("COPY_LOCATION")
    copy.target, copy.influence = item, 0.2
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    place = clip.meta.supports.index("carrier (forearm.L)")
    assert_around(box_corners(clip.supports[place]), scene_corners(shield))
