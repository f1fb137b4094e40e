# SPDX-License-Identifier: GPL-3.0-or-later
"""Sampling equals stepping the real scene, bit for bit, and changes nothing."""

import bpy
import numpy as np
import pytest
import rigs
from digest import difference, digest
from sampled import assert_all_bones_equal, assert_same_bits, scene_driver, unkeyed_edits

from analysis import PlumblineError


@pytest.fixture
def sampling(ext):
    return ext.addon.sampling


@pytest.mark.parametrize("build", [rigs.biped, rigs.awkward])
def test_the_same_bits_as_the_real_scene(ext, sampling, build):
    rig = build()
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    assert_same_bits(clip, rig, range(1, 41))
    assert_all_bones_equal(ext, rig, [1, 2, 7.5, 13, 13.25, 40])


def test_unit_scale_and_object_scale(sampling):
    rig = rigs.biped()
    (plain,) = sampling.sample(bpy.context.scene, [rig])
    bpy.context.scene.unit_settings.scale_length = 0.01
    rig.scale = (100.0, 100.0, 100.0)
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    np.testing.assert_allclose(clip.positions, plain.positions, atol=1e-5)
    np.testing.assert_allclose(clip.lengths, plain.lengths, atol=1e-6)
    np.testing.assert_allclose(clip.rest_positions, plain.rest_positions, atol=1e-5)
    same = np.abs(np.sum(clip.rotations * plain.rotations, axis=-1))
    np.testing.assert_allclose(same, 1.0, atol=1e-6)


def test_the_range_is_the_one_that_plays(sampling):
    rig = rigs.biped()
    scene = bpy.context.scene
    scene.frame_start, scene.frame_end = 5, 20
    assert sampling.sample(scene, [rig])[0].frames[[0, -1]].tolist() == [5, 20]
    scene.use_preview_range = True
    scene.frame_preview_start, scene.frame_preview_end = 8, 12
    assert sampling.sample(scene, [rig])[0].frames.tolist() == [8, 9, 10, 11, 12]
    clip = sampling.sample(scene, [rig], first=-3, last=2)[0]
    assert clip.frames[[0, -1]].tolist() == [-3, 2]
    with pytest.raises(PlumblineError, match="fewer than two frames"):
        sampling.sample(scene, [rig], first=5, last=5)
    with pytest.raises(PlumblineError, match="not in whole frames"):
        sampling.sample(scene, [rig], first=1.5, last=5)
    with pytest.raises(PlumblineError, match=r"holds 1000000 frames, expected 25000 at most"):
        sampling.sample(scene, [rig], first=1, last=1000000)
    assert sampling.scene_facts.checked_range(-12499, 12500) == (-12499, 12500)


def test_several_rigs_in_one_pass(sampling, ext, monkeypatch):
    one, two = rigs.biped("one"), rigs.awkward()
    steps = []
    go = ext.addon.sampling.stages.Stage.go

    def counted(self, frame, subframe=0.0):
        steps.append(frame)
        return go(self, frame, subframe)

    monkeypatch.setattr(ext.addon.sampling.stages.Stage, "go", counted)
    first, second = sampling.sample(bpy.context.scene, [one, two])
    assert (first.meta.name, second.meta.name) == ("one", "awkward")
    assert steps[:40] == list(range(1, 41))  # each frame once, for all rigs
    assert {*steps[40:]} <= {20, 21}  # then controls are nudged, on middle frames
    monkeypatch.undo()
    assert_same_bits(first, one, range(1, 41))
    assert_same_bits(second, two, range(1, 41))


@pytest.mark.parametrize("build", [rigs.biped, rigs.awkward])
def test_nothing_changes(sampling, build):
    rig = build()
    rigs.boathook(rig)
    unkeyed_edits(rig)
    before = digest()
    assert len(before) > 1000
    sampling.sample(bpy.context.scene, [rig])
    assert difference(before, digest()) == {}
    assert bpy.context.mode == "POSE"


def test_the_digest_sees_what_a_check_must_not_do():
    rig = rigs.biped()
    unkeyed_edits(rig)
    before = digest()
    changes = (
        lambda: setattr(rig.pose.bones["head"], "rotation_euler", (0, 0, 0)),
        lambda: bpy.context.scene.frame_set(18),
        lambda: bpy.ops.object.mode_set(mode="OBJECT"),
        lambda: rig.select_set(False),
        lambda: bpy.data.objects.new("left over", None),
    )
    for change in changes:
        change()
        after = digest()
        assert difference(before, after)
        before = after


@pytest.mark.parametrize("stepped", ["temporary scene", "the scene itself"])
@pytest.mark.parametrize("failing", ["read", "probe"])
def test_nothing_changes_when_sampling_fails(sampling, monkeypatch, stepped, failing):
    rig = rigs.biped()
    if stepped == "the scene itself":
        scene_driver(rig.pose.bones["chest"], "rotation_euler", 0, context=False)
    unkeyed_edits(rig)
    rig.hide_viewport = True
    bpy.context.view_layer.update()
    before = digest()

    def fail(*_args):
        raise PlumblineError("stop here")

    if failing == "read":
        monkeypatch.setattr(sampling.reader.RigReader, "read", fail)
    else:
        monkeypatch.setattr(sampling.probes, "_pose_probe", fail)
    with pytest.raises(PlumblineError, match="stop here"):
        sampling.sample(bpy.context.scene, [rig])
    assert difference(before, digest()) == {}
