# SPDX-License-Identifier: GPL-3.0-or-later
"""Poses that depend on the scene's own settings are those of the scene."""

import bpy
import pytest
import rigs
from digest import difference, digest
from sampled import assert_same_bits, same_as_the_scene


@pytest.fixture
def sampling(ext):
    return ext.addon.sampling


def test_time_remapping_and_frame_rate(sampling):
    rig = rigs.biped()
    scene = bpy.context.scene
    scene.render.fps, scene.render.fps_base = 24, 1.001
    scene.render.frame_map_old, scene.render.frame_map_new = 100, 50
    (clip,) = sampling.sample(scene, [rig])
    assert clip.fps == pytest.approx(23.976, abs=1e-3)
    assert_same_bits(clip, rig, range(1, 41))


def followed_surface(rig):
    """A smoothed cube that the hips are shrunk to."""
    ground = rigs.cube("ground")
    ground.scale = (4.0, 4.0, 4.0)
    ground.modifiers.new("smooth", "SUBSURF").levels = 4
    rig.pose.bones["hips"].constraints.new("SHRINKWRAP").target = ground


def test_simplify(sampling):
    rig, render = rigs.biped(), bpy.context.scene.render
    followed_surface(rig)
    full = same_as_the_scene(sampling, rig)
    render.use_simplify, render.simplify_subdivision = True, 0
    simple = same_as_the_scene(sampling, rig)
    assert abs(full.positions - simple.positions).max() > 0.1


def test_simplify_that_is_keyed(sampling):
    rig, render = rigs.biped(), bpy.context.scene.render
    followed_surface(rig)
    for frame, on in ((1, False), (20, True)):
        render.use_simplify, render.simplify_subdivision = on, 0
        render.keyframe_insert("use_simplify", frame=frame)
    bpy.context.scene.frame_set(1)
    same_as_the_scene(sampling, rig)


def test_a_cache_file_plays_at_the_scene_s_rate(sampling, tmp_path):
    scene = bpy.context.scene
    cart, box = bpy.data.objects.new("cart", None), rigs.cube("box")
    scene.collection.objects.link(cart)
    box.parent = cart
    rigs.key(cart, "location", [(0, 0, 0), (2, 0, 0), (4, 0, 0)])
    rigs.set_range(1, 40)
    scene.render.fps = 30
    if not hasattr(bpy.ops.wm, "alembic_export"):
        pytest.skip("this Blender was built without Alembic")
    path = str(tmp_path / "cart.abc")
    bpy.ops.wm.alembic_export(filepath=path, start=1, end=40, as_background_job=False)
    bpy.data.batch_remove([cart, box])
    bpy.ops.wm.alembic_import(filepath=path, as_background_job=False, set_frame_range=False)
    rig = rigs.biped()
    rig.parent = next(o for o in scene.objects if o.constraints)
    same_as_the_scene(sampling, rig)


def test_geometry_nodes_that_ask_for_the_time(sampling):
    bpy.context.scene.render.fps = 30
    rig, mover = rigs.biped(), rigs.cube("mover")
    group = rigs.node_group(mover)
    time = group.nodes.new("GeometryNodeInputSceneTime")
    move = group.nodes.new("GeometryNodeSetPosition")
    joined = group.nodes.new("ShaderNodeCombineXYZ")
    group.links.new(time.outputs["Seconds"], joined.inputs["Z"])
    group.links.new(joined.outputs[0], move.inputs["Offset"])
    rigs.chain_nodes(group, move)
    rigs.follow_corner(rig.pose.bones["hand.L"], mover)
    same_as_the_scene(sampling, rig)


@pytest.mark.parametrize("active_clip", [True, False])
def test_a_tracked_object_is_seen_by_the_camera_that_plays(sampling, active_clip, tmp_path):
    scene = bpy.context.scene
    image = bpy.data.images.new("plate", 64, 64)
    image.filepath_raw, image.file_format = str(tmp_path / "plate.png"), "PNG"
    image.save()
    scene.active_clip = clip = bpy.data.movieclips.load(image.filepath_raw)
    track = clip.tracking.tracks.new(name="mark", frame=1)
    for frame in range(1, 41):
        track.markers.insert_frame(frame, co=(0.2 + frame * 0.01, 0.5))
    for number in range(2):
        camera = bpy.data.objects.new("camera", bpy.data.cameras.new("camera"))
        camera.location, camera.rotation_euler = (number, -5, 1), (1.57, 0, 0)
        scene.collection.objects.link(camera)
        scene.timeline_markers.new("cut", frame=1 + 20 * number).camera = camera
    rig = rigs.biped()
    follow = rig.constraints.new("FOLLOW_TRACK")
    follow.clip, follow.track, follow.use_active_clip = clip, "mark", active_clip
    scene.frame_set(1)
    before = digest()
    sampling.sample(scene, [rig])
    assert difference(before, digest()) == {}
    same_as_the_scene(sampling, rig)
