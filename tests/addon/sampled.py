# SPDX-License-Identifier: GPL-3.0-or-later
"""What the tests of sampling share: a user at work, and the real scene to compare with."""

import json

import bpy
import numpy as np
import numpy.testing
import rigs
from digest import difference, digest

from analysis.in_steps import at_once


def assert_same_bits(clip, rig, frames, unit=1.0):
    """The clip's joints and controls against a loop over the real scene."""
    poses, worlds, _others = rigs.real_matrices(rig, frames)
    place = {bone.name: n for n, bone in enumerate(rig.pose.bones)}
    bones = [place[name] for name in clip.joints if name in place]
    expected = worlds[:, None] @ poses[:, bones]
    np.testing.assert_array_equal(clip.positions[:, : len(bones)], expected[..., :3, 3] * unit)
    controls = worlds[:, None] @ poses[:, [place[name] for name in clip.meta.controls]]
    np.testing.assert_array_equal(clip.control_matrices[..., :3, :3], controls[..., :3, :3])


def unkeyed_edits(rig):
    """A user in the middle of work: pose mode, a selection, an odd frame, unkeyed edits."""
    scene = bpy.context.scene
    scene.frame_set(17, subframe=0.25)
    bpy.context.view_layer.objects.active = rig
    rig.select_set(True)
    bpy.ops.object.mode_set(mode="POSE")
    rig.pose.bones["head"].rotation_euler = (0.7, 0.1, 0.2)
    rig.pose.bones["hand.L"].location = (0.1, 0.2, 0.3)
    bpy.context.view_layer.update()


def scene_driver(owner, path, index, *, context):
    """Drive by a keyed property of the scene; by way of the active scene with `context`."""
    scene = bpy.context.scene
    scene["wind"] = 0.5
    scene.keyframe_insert('["wind"]', frame=1)
    scene["wind"] = 1.5
    scene.keyframe_insert('["wind"]', frame=40)
    driver = owner.driver_add(path, index).driver
    variable = driver.variables.new()
    variable.name = "wind"
    if context:
        variable.type = "CONTEXT_PROP"
        variable.targets[0].context_property = "ACTIVE_SCENE"
    else:
        variable.targets[0].id_type = "SCENE"
        variable.targets[0].id = scene
    variable.targets[0].data_path = '["wind"]'
    driver.type, driver.expression = "SCRIPTED", "wind"


def sampled_exactly(sampling, rig):
    """A clip that is what the scene gives, taken without a trace in the scene."""
    unkeyed_edits(rig)
    before = digest()
    (clip,) = sampling.sample(bpy.context.scene, [rig])
    assert difference(before, digest()) == {}
    bpy.ops.object.mode_set(mode="OBJECT")
    assert_same_bits(clip, rig, range(1, 41))
    return clip


def assert_all_bones_equal(ext, rig, frames):
    """Every bone of the rig, not only those that are followed."""
    stages = ext.addon.sampling.stages
    got = []
    with stages.temporary_stage(bpy.context.scene, [rig]) as stage:
        for frame in frames:
            seen = rig.evaluated_get(stage.go(int(frame), float(frame) % 1.0))
            flat = np.zeros(len(seen.pose.bones) * 16, dtype=np.float32)
            seen.pose.bones.foreach_get("matrix", flat)
            got.append(flat.reshape(-1, 4, 4).transpose(0, 2, 1))
    poses, _worlds, _others = rigs.real_matrices(rig, frames)
    np.testing.assert_array_equal(np.array(got), poses)


def same_as_the_scene(sampling, rig):
    """A clip of frames 1 to 40 whose bits are those that the scene gives."""
    (clip,) = sampling.sample(bpy.context.scene, [rig], first=1, last=40)
    assert_same_bits(clip, rig, range(1, 41))
    return clip


def asked(sampling, monkeypatch, rigs_asked, *, props=None, bones=()):
    """What a second Blender answers, which here runs in this process, in a file of its own."""
    child, sent = sampling.child, []

    class Run:
        def __init__(self, command, **_options):
            sent.append(json.loads(command[-1]))
            child.answer(command[-1])

        def wait(self, _seconds):
            return 0

        def poll(self):
            return 0

    monkeypatch.setattr(child.subprocess, "Popen", Run)
    scene = bpy.context.scene
    asking = child.sampling_in_child(scene, rigs_asked, props, (1, 40), "of a test", bones=bones)
    return at_once(asking), sent[0]
