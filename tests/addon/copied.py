# SPDX-License-Identifier: GPL-3.0-or-later
"""What the tests of rig copies share: the copy's answers beside what the scene itself shows."""

from importlib import import_module

import bpy
import numpy as np
from digest import difference, digest

from analysis.trials import Trial


def rig_copy(ext):
    """The extension's `rig_copy`."""
    return import_module(f"{ext.__name__}.addon.causes.rig_copy").rig_copy


def planned(ext, rig):
    """The plan of a rig and its clip, as a check takes them."""
    scene = bpy.context.scene
    sampling = ext.addon.sampling
    (clip,) = sampling.sample(scene, [rig])
    first = int(clip.frames[0])
    return sampling.reader.plan_rig(scene, rig, first=first, name=rig.name), clip


def posed(ext, rig, samples=None, channels=(), values=None, *, of=None):
    """What a copy answers to one trial; by default how it stands on all samples."""
    plan, clip = of or planned(ext, rig)
    samples = np.arange(len(clip.frames)) if samples is None else np.asarray(samples)
    values = np.zeros((len(samples), 0)) if values is None else np.asarray(values)
    with rig_copy(ext)(bpy.context.scene, plan, clip) as copy:
        return copy.pose(Trial(samples, tuple(channels), values)), clip


def of_the_library(path):
    """Whether it only says how Blender counts, until it saves, the users of what is linked."""
    return "[library.blend]]." in path and path.endswith((".users", ".is_library_indirect"))


def assert_stands_as_the_clip(ext, rig):
    """A trial that changes nothing gives the clip, and leaves no trace."""
    of = planned(ext, rig)
    before = digest()
    assert_same(*posed(ext, rig, of=of), rig)
    found = difference(before, digest())
    assert [path for path in found if not of_the_library(path)] == []
    return of[1]


def assert_same(answer, clip, rig):
    """What a copy answers is the clip."""
    assert len(answer.joints) == sum(joint in rig.pose.bones for joint in clip.joints) >= 4
    assert clip.moves
    np.testing.assert_allclose(answer.positions, clip.positions[:, answer.joints], atol=1e-6)
    same = np.abs(np.sum(answer.rotations * clip.rotations[:, answer.joints], axis=-1))
    np.testing.assert_allclose(same, 1.0, atol=1e-6)
    np.testing.assert_allclose(answer.controls, clip.control_matrices, atol=1e-6)
