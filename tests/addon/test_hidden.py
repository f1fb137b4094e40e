# SPDX-License-Identifier: GPL-3.0-or-later
"""What is hidden, excluded or hidden on some frames is sampled as if it were shown."""

import bpy
import numpy as np
import pytest
import rigs
from sampled import scene_driver


@pytest.fixture
def sampling(ext):
    return ext.addon.sampling


def test_every_kind_of_hidden_rig_is_evaluated(ext, sampling):
    rig = rigs.awkward()
    (shown,) = sampling.sample(bpy.context.scene, [rig])
    hidden = bpy.data.collections.new("hidden")
    bpy.context.scene.collection.children.link(hidden)
    hidden.objects.link(rig)
    bpy.context.scene.collection.objects.unlink(rig)
    for hide in ("viewport", "collection", "exclude", "eye"):
        layer = bpy.context.view_layer.layer_collection.children["hidden"]
        rig.hide_viewport = hide == "viewport"
        hidden.hide_viewport = hide == "collection"
        layer.exclude = hide == "exclude"
        if hide == "eye":
            rig.hide_set(True)
        (clip,) = sampling.sample(bpy.context.scene, [rig])
        np.testing.assert_array_equal(clip.positions, shown.positions, err_msg=hide)


@pytest.mark.parametrize("hide", ["viewport", "eye"])
def test_a_hidden_carried_object_is_followed(sampling, hide):
    rig = rigs.biped()
    pole = rigs.boathook(rig)
    rigs.key(pole, "location", [(0, 0, 0), (0, 0, 0.5), (0, 0, 0)])
    (shown,) = sampling.sample(bpy.context.scene, [rig])
    assert np.ptp(shown.positions[:, shown.joint("boathook")], axis=0).max() > 0.4
    if hide == "eye":
        pole.hide_set(True)
    else:
        pole.hide_viewport = True
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    np.testing.assert_array_equal(clip.positions, shown.positions)


def exclude(item):
    """Take an object out of the first of two view layers; the second is looked at."""
    scene = bpy.context.scene
    collection = bpy.data.collections.new("excluded")
    scene.collection.children.link(collection)
    collection.objects.link(item)
    scene.collection.objects.unlink(item)
    bpy.context.window.view_layer = scene.view_layers.new("second")
    scene.view_layers[0].layer_collection.children["excluded"].exclude = True


@pytest.mark.parametrize("hide", ["viewport", "first layer", "both layers"])
def test_a_hidden_rig_where_the_scene_itself_is_stepped(sampling, hide):
    rig, scene = rigs.biped(), bpy.context.scene
    scene_driver(rig.pose.bones["chest"], "rotation_euler", 0, context=False)
    (shown,) = sampling.sample(scene, [rig])
    if hide == "viewport":
        rig.hide_viewport = True
    else:
        exclude(rig)
        bpy.context.view_layer.layer_collection.children["excluded"].exclude = "both" in hide
    scene.frame_set(5)
    (clip,) = sampling.sample(scene, [rig])
    np.testing.assert_array_equal(clip.positions, shown.positions)
    assert not [block for block in bpy.data.objects if "plumbline" in block.name]


@pytest.mark.parametrize("stepped", ["temporary scene", "the scene itself"])
def test_hidden_things_beside_the_rig(sampling, stepped):
    rig, scene = rigs.biped(), bpy.context.scene
    pole, data = rigs.boathook(rig), bpy.data.cameras.new("camera")
    camera = bpy.data.objects.new("camera", data)
    scene.collection.objects.link(camera)
    scene.camera = camera
    rigs.key(camera, "location", [(0, -5, 1), (1, -5, 1), (2, -5, 1)])
    rigs.key(data, "lens", [35, 50, 85])
    if stepped == "the scene itself":
        scene_driver(rig.pose.bones["chest"], "rotation_euler", 0, context=False)
    (shown,) = sampling.sample(scene, [rig])
    pole.hide_viewport = camera.hide_viewport = True
    scene.frame_set(5)
    (clip,) = sampling.sample(scene, [rig])
    np.testing.assert_array_equal(clip.positions, shown.positions)
    np.testing.assert_array_equal(clip.camera_pose, shown.camera_pose)
    np.testing.assert_array_equal(clip.camera_projection, shown.camera_projection)
    assert np.ptp(clip.camera_pose[:, 0, 3]) > 1.0
    assert np.ptp(clip.camera_projection[:, 0, 0]) > 1.0


@pytest.mark.parametrize("way", ["keyed", "in a strip", "driven"])
@pytest.mark.parametrize("playhead", [1, 30])
def test_a_rig_that_is_hidden_on_some_frames(sampling, way, playhead):
    rig, scene = rigs.biped(), bpy.context.scene
    (shown,) = sampling.sample(scene, [rig])
    if way == "driven":
        driver = rig.driver_add("hide_viewport").driver
        driver.type, driver.expression = "SCRIPTED", "frame < 15"
    else:
        for frame, hide in ((1, True), (15, False)):
            rig.hide_viewport = hide
            rig.keyframe_insert("hide_viewport", frame=frame)
    if way == "in a strip":
        rigs.push_to_strip(rig)
    scene.frame_set(playhead)
    (clip,) = sampling.sample(scene, [rig])
    np.testing.assert_allclose(clip.positions, shown.positions, atol=1e-6)
