# SPDX-License-Identifier: GPL-3.0-or-later
"""Bones, vertices and objects that the user adds: sampled where they are, and judged."""

import bpy
import numpy as np
import pytest
import rigs
from added import eared, follow_all, select_bones, select_objects, select_vertices, skinned
from digest import difference, digest
from sampled import asked, scene_driver

FRAMES = range(1, 41)


@pytest.fixture
def sampling(ext):
    return ext.addon.sampling


@pytest.fixture
def session():
    fresh = bpy.context.window_manager.plumbline
    fresh.rig, fresh.cycle, fresh.stage, fresh.space = "", "auto", "polish", "world"
    return fresh


def sampled(sampling, rig):
    """A clip of frames 1 to 40, taken without a trace."""
    bpy.context.view_layer.update()
    before = digest()
    (clip,) = sampling.sample(bpy.context.scene, [rig], first=1, last=40)
    assert difference(before, digest()) == {}
    return clip


def real_corners(item, vertex):
    """(T,3) where a vertex of the evaluated mesh is in the scene itself."""
    found = []
    for frame in FRAMES:
        bpy.context.scene.frame_set(frame)
        seen = item.evaluated_get(bpy.context.evaluated_depsgraph_get())
        mesh = seen.to_mesh()
        found.append(np.array(seen.matrix_world @ mesh.vertices[vertex].co))
        seen.to_mesh_clear()
    return np.array(found)


def test_bones_vertices_and_objects_become_joints(sampling):
    rig = eared()
    skin, crate = skinned(rig), rigs.cube("crate")
    rigs.key(crate, "location", [(0, 0, 0), (0, 0, 0.7), (1, 0, 0)])
    follow_all(rig, skin, crate)
    clip = sampled(sampling, rig)
    follow = {each.name: (each.joint, each.point) for each in clip.meta.follow}
    assert follow == {
        "ear": ("ear", None),
        "crate": ("crate", None),
        "skin vertex 3": ("skin vertex 3", "skin vertex 3"),
    }
    parents = {name: clip.parents[n] for n, name in enumerate(clip.joints)}
    assert clip.joints[parents["ear"]] == "head"
    assert clip.joints[parents["skin vertex 3"]] == "ear"
    assert parents["crate"] == -1
    place = rig.pose.bones.find("ear")
    poses, worlds, others = rigs.real_matrices(rig, FRAMES, [crate])
    ear, box, corner = (clip.joint(name) for name in ("ear", "crate", "skin vertex 3"))
    expected = (worlds @ poses[:, place])[:, :3, 3]
    np.testing.assert_array_equal(clip.positions[:, ear], expected)
    np.testing.assert_array_equal(clip.positions[:, box], others[:, 0, :3, 3])
    np.testing.assert_allclose(clip.positions[:, corner], real_corners(skin, 3), atol=2e-6)
    assert np.ptp(clip.positions[:, corner], axis=0).max() > 0.5
    assert clip.points[:2] == ("crate base", "crate tip")


def test_without_a_wish_nothing_is_added(sampling):
    rig = eared()
    skinned(rig)
    clip = sampled(sampling, rig)
    assert "ear" not in clip.joints
    assert clip.meta.follow == ()


def with_a_key(skin):
    skin.shape_key_add(name="basis")
    skin.shape_key_add(name="bulge").data[3].co.x += 0.4
    rigs.key(skin.data.shape_keys.key_blocks["bulge"], "value", [0.0, 1.0, 0.3])


@pytest.mark.parametrize("changed", [with_a_key, lambda skin: None])
def test_a_vertex_is_where_the_evaluated_mesh_has_it(sampling, changed):
    rig = eared()
    skin = skinned(rig)
    skin.scale, skin.rotation_euler = (1.0, 2.0, -0.5), (0.3, 0.2, 0.9)
    changed(skin)
    select_vertices(skin, 3)
    bpy.ops.plumbline.follow()
    bpy.ops.object.mode_set(mode="OBJECT")
    clip = sampled(sampling, rig)
    got = clip.positions[:, clip.joint("skin vertex 3")]
    np.testing.assert_allclose(got, real_corners(skin, 3), atol=5e-6)


def test_a_vertex_is_found_among_those_that_modifiers_add(sampling):
    """The mirror puts its own vertices beside: Blender tells which one is meant."""
    rig = eared()
    skin = skinned(rig)
    select_vertices(skin, 3)
    bpy.ops.plumbline.follow()
    bpy.ops.object.mode_set(mode="OBJECT")
    plain = sampled(sampling, rig)
    skin.modifiers.new("row", "ARRAY").count = 3
    skin.modifiers["row"].use_relative_offset = False
    clip = sampled(sampling, rig)
    joint = clip.joint("skin vertex 3")
    np.testing.assert_allclose(clip.positions[:, joint], plain.positions[:, joint], atol=5e-6)


@pytest.mark.parametrize("how", ["viewport", "eye", "exclude"])
@pytest.mark.parametrize("stepped", ["temporary scene", "the scene itself"])
def test_what_is_hidden_is_followed_all_the_same(sampling, how, stepped):
    rig = eared()
    skin, crate = skinned(rig), rigs.cube("crate")
    rigs.key(crate, "location", [(0, 0, 0), (0, 0, 0.7), (1, 0, 0)])
    follow_all(rig, skin, crate)
    shown = sampled(sampling, rig)
    if stepped == "the scene itself":
        scene_driver(rig.pose.bones["chest"], "rotation_euler", 0, context=False)
    hide(how, skin, crate)
    (clip,) = sampling.sample(bpy.context.scene, [rig], first=1, last=40)
    joint = clip.joint("crate")
    np.testing.assert_array_equal(clip.positions[:, joint], shown.positions[:, joint])
    joint = clip.joint("skin vertex 3")
    assert np.ptp(clip.positions[:, joint], axis=0).max() > 0.5
    if stepped == "temporary scene":
        np.testing.assert_allclose(clip.positions[:, joint], shown.positions[:, joint], atol=5e-6)
    assert not [block for block in bpy.data.objects if block.name.startswith(".plumbline")]


def hide(how, *items):
    scene = bpy.context.scene
    collection = bpy.data.collections.new("set")
    scene.collection.children.link(collection)
    for item in items:
        collection.objects.link(item)
        scene.collection.objects.unlink(item)
        item.hide_viewport = how == "viewport"
        if how == "eye":
            item.hide_set(True)
    bpy.context.view_layer.layer_collection.children["set"].exclude = how == "exclude"


def test_a_second_blender_follows_the_same(sampling, monkeypatch):
    rig = eared()
    skin, crate = skinned(rig), rigs.cube("crate")
    rigs.key(crate, "location", [(0, 0, 0), (0, 0, 0.7), (1, 0, 0)])
    follow_all(rig, skin, crate)
    (here,) = sampling.sample(bpy.context.scene, [rig], first=1, last=40)
    (clip,), _sent = asked(sampling, monkeypatch, [rig])
    assert clip.joints == here.joints
    assert clip.meta.follow == here.meta.follow
    np.testing.assert_allclose(clip.positions, here.positions, atol=5e-6)


def test_bones_that_are_asked_for_are_followed_once_and_leave_no_trace(sampling, monkeypatch):
    """As for a ball on a control: nobody has told to follow it."""
    rig, scene = eared(), bpy.context.scene
    before = digest()
    (plain,) = sampling.sample(scene, [rig], first=1, last=40)
    bones = ("ear", "head", "no such bone")
    (here,) = sampling.sample(scene, [rig], first=1, last=40, bones=bones)
    assert difference(before, digest()) == {}
    assert set(here.joints) == {*plain.joints, "ear"}
    assert len(here.joints) == len(set(here.joints))
    assert here.meta.roles == plain.meta.roles
    (clip,), _sent = asked(sampling, monkeypatch, [rig], bones=bones)
    assert clip.joints == here.joints
    np.testing.assert_allclose(clip.positions, here.positions, atol=5e-6)


def test_a_pop_of_an_added_bone_is_found(session):
    rig = eared()
    rigs.spike(rig.pose.bones["ear"], "rotation_euler", 2, 25, 1.2)
    assert bpy.ops.plumbline.check() == {"FINISHED"}
    # It glides over the floor on still legs, which `slide` tells rightly.
    assert [line.title for line in session.findings] == ["Root: slide"]
    select_bones(rig, "ear")
    bpy.ops.plumbline.follow()
    assert bpy.ops.plumbline.check() == {"FINISHED"}
    (line,) = [each for each in session.findings if "slide" not in each.title]
    assert (line.title.partition(":")[0], line.frame) == ("ear (tip)", 25)


def test_each_wish_goes_with_what_it_hangs_on(sampling):
    """Of two rigs each gets its own; what hangs on neither goes with the first."""
    one, other = eared(), rigs.biped("other")
    skin, crate = skinned(one), rigs.cube("crate")
    held = rigs.cube("held")
    held.parent = other
    follow_all(one, skin, crate)
    select_objects(held)
    bpy.ops.plumbline.follow()
    clips = sampling.sample(bpy.context.scene, [other, one], first=1, last=40)
    assert [{each.name for each in clip.meta.follow} for clip in clips] == [
        {"crate", "held"},
        {"ear", "skin vertex 3"},
    ]


def test_a_prop_is_not_followed_twice(sampling):
    rig = eared()
    pole = rigs.boathook(rig)
    select_objects(pole)
    bpy.ops.plumbline.follow()
    clip = sampled(sampling, rig)
    assert clip.joints.count("boathook") == 1
    assert clip.meta.follow == ()


def test_a_mesh_in_edit_mode_has_another_shape(sampling):
    rig = eared()
    skin = skinned(rig)
    select_vertices(skin, 3)
    bpy.ops.plumbline.follow()
    with pytest.raises(sampling.pick.PlumblineError, match="'skin', of which a vertex is followed"):
        sampling.sample(bpy.context.scene, [rig], first=1, last=40)
    bpy.ops.object.mode_set(mode="OBJECT")


def test_a_plain_object_has_points_of_its_own(sampling):
    item, hung = rigs.cube("cart"), rigs.cube("load")
    rigs.key(item, "location", [(0, 0, 0), (1, 0.3, 0), (2, 0, 0.1)])
    hung.parent = item
    select_vertices(item, 3)
    bpy.ops.plumbline.follow()
    bpy.ops.object.mode_set(mode="OBJECT")
    select_objects(hung)
    bpy.ops.plumbline.follow()
    clip = sampled(sampling, item)
    assert clip.joints == ("cart", "cart vertex 3", "load")
    assert clip.parents.tolist() == [-1, 0, 0]
