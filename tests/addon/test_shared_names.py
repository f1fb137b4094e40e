# SPDX-License-Identifier: GPL-3.0-or-later
"""Rigs that share a name, one of the file and one of a library; and the second Blender's answer."""

import bpy
import numpy as np
import pytest
import rigs
from sampled import asked

from analysis import PlumblineError


@pytest.fixture
def sampling(ext):
    return ext.addon.sampling


@pytest.fixture
def twins(tmp_path):
    """Two rigs called porter: one linked, one local and 5 m aside."""
    rigs.biped()
    path = str(tmp_path / "library.blend")
    bpy.ops.wm.save_as_mainfile(filepath=path)
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    with bpy.data.libraries.load(path, link=True) as (_found, wanted):
        wanted.objects = ["porter"]
    (linked,) = wanted.objects
    bpy.context.scene.collection.objects.link(linked)
    local = rigs.biped("porter")
    local.location = (5.0, 0.0, 0.0)
    bpy.context.view_layer.update()
    assert local.name == linked.name
    return local, linked


def test_a_shared_name_means_both(sampling, twins):
    pick, scene = sampling.pick.pick_rigs, bpy.context.scene
    assert pick(scene, None) == list(twins)
    assert pick(scene, ["porter"]) == list(twins)
    assert pick(scene, ["porter", "porter [library.blend]"]) == list(twins)
    assert pick(scene, ["porter [library.blend]"]) == [twins[1]]
    clips = sampling.sample(scene, twins)
    assert [clip.meta.name for clip in clips] == ["porter", "porter [library.blend]"]
    assert sampling.sample(scene, twins[1:])[0].meta.name == "porter"
    with pytest.raises(PlumblineError, match=r"expected one of porter, porter \[library.blend\]"):
        pick(scene, ["other"])


def test_the_same_rig_twice(sampling):
    rig = rigs.biped()
    one, two = sampling.sample(bpy.context.scene, [rig, rig])
    np.testing.assert_array_equal(one.positions, two.positions)


def test_a_second_blender_tells_them_apart(sampling, twins, monkeypatch):
    expected = sampling.sample(bpy.context.scene, twins)
    got, request = asked(sampling, monkeypatch, twins)
    assert request["rig_libraries"][0] is None
    for one, other in zip(got, expected, strict=True):
        np.testing.assert_array_equal(one.positions, other.positions)


def test_a_second_blender_looks_at_the_same_view_layer(sampling, monkeypatch):
    rig, scene = rigs.biped(), bpy.context.scene
    broken, pole = rigs.biped("broken"), rigs.boathook(rig)
    broken.pose.bones["hand.L"].scale = (float("inf"),) * 3
    second = scene.view_layers.new("second")
    scene.view_layers[0]["turn"], second["turn"] = 0.0, 0.7
    bpy.context.window.view_layer = second
    rigs.drive(rig.pose.bones["chest"], "rotation_euler", 0, "turn")
    variable = rig.animation_data.drivers[0].driver.variables.new()
    variable.name, variable.type = "turn", "CONTEXT_PROP"
    variable.targets[0].context_property = "ACTIVE_VIEW_LAYER"
    variable.targets[0].data_path = '["turn"]'
    expected = sampling.sample_each(scene, [rig, broken], props=[pole])
    got, request = asked(sampling, monkeypatch, [rig, broken], props=[pole])
    assert request["view_layer"] == "second"
    np.testing.assert_array_equal(got[0].positions, expected[0].positions)
    assert got[0].meta.props == expected[0].meta.props
    assert str(got[1]) == str(expected[1])
    assert "'broken' has no position" in str(got[1])
