# SPDX-License-Identifier: GPL-3.0-or-later
"""The sphere stands where the root stands, on every frame, and only what is ours is touched."""

import bpy
import numpy as np
import pytest
import rigs
from command_line import save
from digest import difference, digest
from stepped import built

from demo_scenes.porter import brisk_walk

LIMIT_M = 1e-6


def bake():
    rigs.every_frame()
    assert bpy.ops.plumbline.bake_sphere() == {"FINISHED"}
    (sphere,) = spheres()
    return sphere


def spheres():
    return [item for item in bpy.context.scene.objects if "plumbline_sphere_of" in item]


def off_the_root(sphere, rig, bone):
    """(T,) how far the sphere is off the bone's head in the real scene, in Blender units."""
    scene, found = bpy.context.scene, []
    for frame in range(scene.frame_start, scene.frame_end + 1):
        scene.frame_set(frame)
        graph = bpy.context.evaluated_depsgraph_get()
        seen = rig.evaluated_get(graph)
        pose = np.array(seen.pose.bones[bone].matrix, dtype=np.float64)
        root = (np.array(seen.matrix_world, dtype=np.float64) @ pose)[:3, 3]
        ball = np.array(sphere.evaluated_get(graph).matrix_world, dtype=np.float64)[:3, 3]
        found.append(np.linalg.norm(ball - root))
    return np.array(found)


@pytest.mark.parametrize("polished", [True, False])
def test_on_the_demo_walk(polished):
    rig = built(brisk_walk, polished=polished)
    sphere = bake()
    assert sphere.name == "porter root sphere"
    assert off_the_root(sphere, rig, "body").max() < LIMIT_M
    # About as wide as the hips of a porter of 1.7 m.
    assert 0.2 < sphere.dimensions.x < 0.35


@pytest.mark.rigify
def test_on_a_rigify_rig(human_file):
    bpy.ops.wm.open_mainfile(filepath=str(human_file), load_ui=False)
    rig = bpy.data.objects["human"]
    torso = rig.pose.bones["torso"]
    rigs.key(torso, "location", [(0, 0, 0), (0.3, 0.1, -0.4), (0.1, 0.9, 0)])
    rigs.set_range(1, 40)
    sphere = bake()
    assert off_the_root(sphere, rig, "torso").max() < LIMIT_M


def test_on_a_rig_that_is_carried_scaled_and_turned():
    rig = rigs.awkward()
    sphere = bake()
    assert off_the_root(sphere, rig, "hips").max() < LIMIT_M
    assert sphere.parent is None


@pytest.mark.parametrize(("unit", "grown"), [(0.01, 100.0), (0.3048, 3.0), (1000.0, 0.001)])
def test_with_another_unit_scale(unit, grown):
    rig = rigs.biped()
    rig.scale = (grown, grown, grown)
    units = bpy.context.scene.unit_settings
    units.system, units.scale_length = "METRIC", unit
    bpy.context.view_layer.update()
    sphere = bake()
    assert off_the_root(sphere, rig, "hips").max() * unit < LIMIT_M
    assert sphere.dimensions.x * unit == pytest.approx(2 * 0.08 * 1.8 * grown * unit, rel=0.1)


def test_with_time_remapped():
    rig = rigs.biped()
    scene = bpy.context.scene
    scene.render.frame_map_old, scene.render.frame_map_new = 100, 150
    rigs.set_range(3, 50)
    sphere = bake()
    assert off_the_root(sphere, rig, "hips").max() < LIMIT_M
    assert len(rigs.fcurves(sphere)[0].keyframe_points) == 48


def test_keys_are_linear_one_a_frame_over_the_range_that_plays():
    rigs.biped()
    scene = bpy.context.scene
    scene.use_preview_range = True
    scene.frame_preview_start, scene.frame_preview_end = 11, 20
    sphere = bake()
    curves = rigs.fcurves(sphere)
    assert [(c.data_path, c.array_index) for c in curves] == [("location", n) for n in range(3)]
    for curve in curves:
        assert [point.co.x for point in curve.keyframe_points] == list(range(11, 21))
        assert {point.interpolation for point in curve.keyframe_points} == {"LINEAR"}


def test_the_sphere_is_no_part_of_the_picture_nor_of_the_selection():
    rigs.biped()
    before = digest()
    sphere = bake()
    assert sphere.hide_render
    assert [each.name for each in sphere.users_collection] == ["Plumbline"]
    after = digest()
    for name in ("frame", "mode", "active", "selected"):
        assert before[name] == after[name]
    assert after["objects[porter].users"] == before["objects[porter].users"]


def test_baking_again_follows_the_rig_and_makes_nothing_new():
    rig = rigs.biped()
    sphere = bake()
    sphere.scale = (2.0, 2.0, 2.0)
    rigs.key(rig.pose.bones["hips"], "location", [(0, 0, 0), (0.5, 0.2, 0.4), (0, 1, 0.8)])
    assert off_the_root(sphere, rig, "hips").max() > 0.1
    count = {name: len(getattr(bpy.data, name)) for name in ("objects", "meshes", "actions")}
    assert bake() == sphere
    assert off_the_root(sphere, rig, "hips").max() < LIMIT_M
    assert count == {name: len(getattr(bpy.data, name)) for name in count}
    assert sphere.scale.x == 2.0


def test_the_sphere_may_be_active_while_its_rig_is_baked_again():
    rigs.biped("one")
    two = rigs.biped("two")
    bpy.context.view_layer.objects.active = two
    sphere = bake()
    bpy.context.view_layer.objects.active = sphere
    bake()
    assert [each.name for each in spheres()] == ["two root sphere"]


def test_what_the_user_owns_is_not_taken_for_ours():
    rigs.biped()
    scene = bpy.context.scene
    own = rigs.cube("porter root sphere")
    theirs = bpy.data.collections.new("Plumbline")
    scene.collection.children.link(theirs)
    theirs.objects.link(own)
    bpy.context.view_layer.update()
    before = digest()
    sphere = bake()
    assert sphere != own
    assert sphere.name not in theirs.objects
    assert bpy.ops.plumbline.remove_sphere() == {"FINISHED"}
    assert difference(before, digest()) == {}


def test_an_action_that_the_user_gave_the_sphere_is_kept():
    rig = rigs.biped()
    sphere = bake()
    theirs = bpy.data.actions.new("by hand")
    sphere.animation_data.action = theirs
    bake()
    assert sphere.animation_data.action != theirs
    assert theirs.use_fake_user
    assert off_the_root(sphere, rig, "hips").max() < LIMIT_M


def test_a_sphere_that_more_than_keys_move_is_told():
    rigs.biped()
    sphere = bake()
    sphere.constraints.new("COPY_LOCATION")
    sphere.delta_location.z = 1.0
    with pytest.raises(RuntimeError, match="moved by constraints and a delta transform as well"):
        bpy.ops.plumbline.bake_sphere()


def test_baking_and_removing_leave_nothing():
    built(brisk_walk, polished=False)
    bpy.context.view_layer.update()
    before = digest()
    bake()
    bake()
    assert bpy.ops.plumbline.remove_sphere() == {"FINISHED"}
    assert difference(before, digest()) == {}


def test_removing_keeps_what_the_user_made_of_it():
    rigs.biped()
    sphere = bake()
    copy = sphere.copy()
    del copy["plumbline_sphere_of"]
    sphere.users_collection[0].objects.link(copy)
    bpy.ops.plumbline.remove_sphere()
    assert spheres() == []
    assert copy.name in bpy.data.collections["Plumbline"].objects
    assert copy.animation_data.action is not None
    assert len(copy.data.vertices) > 100


def test_one_step_of_undo_takes_it_back():
    rigs.biped()
    bpy.ops.ed.undo_push(message="before")
    bpy.ops.plumbline.bake_sphere("EXEC_DEFAULT", True)
    assert len(spheres()) == 1
    bpy.ops.ed.undo()
    assert spheres() == []
    assert "Plumbline" not in bpy.data.collections
    bpy.ops.ed.redo()
    assert off_the_root(spheres()[0], bpy.data.objects["porter"], "hips").max() < LIMIT_M


def test_a_saved_sphere_is_known_again(tmp_path):
    rigs.biped()
    bake()
    path = save(tmp_path / "walk.blend")
    bpy.ops.wm.open_mainfile(filepath=str(path), load_ui=False)
    bake()
    assert bpy.ops.plumbline.remove_sphere() == {"FINISHED"}


def test_of_two_spheres_the_meant_one_goes():
    for name in ("one", "two"):
        bpy.context.view_layer.objects.active = rigs.biped(name)
        bpy.ops.plumbline.bake_sphere()
    bpy.context.view_layer.objects.active = bpy.data.objects["one"]
    bpy.ops.plumbline.remove_sphere()
    assert [each.name for each in spheres()] == ["two root sphere"]


def test_errors_are_one_sentence():
    with pytest.raises(RuntimeError, match="holds no armature with bones"):
        bpy.ops.plumbline.bake_sphere()
    bones = {"base": (None, (0, 0, 0), (0, 0, 1)), "jib": ("base", (0, 0, 1), (3, 0, 1))}
    crane = rigs.armature("crane", bones)
    rigs.key(crane.pose.bones["jib"], "location", [(0, 0, 0), (0, 1, 0), (0, 0, 0)])
    with pytest.raises(RuntimeError, match="No root was found in 'crane'"):
        bpy.ops.plumbline.bake_sphere()
    assert spheres() == []
    assert "Plumbline" not in bpy.data.collections


def test_a_linked_scene_is_told(ext, analysis, tmp_path):
    """Not by the operator: 4.2 may crash when a window shows a linked scene."""
    path = save(tmp_path / "linked.blend")
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    with bpy.data.libraries.load(str(path), link=True) as (found, wanted):
        wanted.scenes = found.scenes
    refuse = ext.addon.sphere.bake.refuse_linked
    with pytest.raises(analysis.PlumblineError, match="is linked from another file") as caught:
        refuse(wanted.scenes[0])
    assert "\n" not in str(caught.value)
    refuse(bpy.context.scene)


def test_the_operators_explain_themselves():
    for name in ("bake_sphere", "hide_rest", "show_again", "remove_sphere"):
        assert len(getattr(bpy.ops.plumbline, name).get_rna_type().description) > 10
