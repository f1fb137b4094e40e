# SPDX-License-Identifier: GPL-3.0-or-later
"""Frames that are read in steps are the same bits, and at every pause the file is as it was."""

import sys
from pathlib import Path

import bpy
import numpy as np
import pytest
import rigs
from added import overridden
from digest import difference, digest
from sampled import unkeyed_edits

from analysis import PlumblineError
from analysis.in_steps import at_once


@pytest.fixture
def in_steps(ext):
    """Samples rigs a frame a step."""
    module = ext.addon.sampling.in_steps

    def begin(*asked, **how):
        return module.sampling_in_steps(bpy.context.scene, asked, seconds=0.0, **how)

    return begin


def with_a_camera():
    rig = rigs.biped()
    camera = bpy.data.objects.new("camera", bpy.data.cameras.new("camera"))
    bpy.context.scene.collection.objects.link(camera)
    rigs.key_item(camera, "location", [(0, -5, 1), (1, -5, 1), (2, -5, 1)])
    bpy.context.scene.camera = camera
    ground = rigs.cube("ground")
    ground["plumbline_bears_weight"] = True
    return rig


def in_a_strip():
    rig = rigs.biped()
    rigs.push_to_strip(rig, scale=1.7, start=3)
    rigs.boathook(rig)
    return rig


def assert_same_clip(one, other):
    for name, value in vars(one).items():
        if isinstance(value, np.ndarray):
            np.testing.assert_array_equal(value, getattr(other, name), name)
    assert one.meta == other.meta


@pytest.mark.parametrize("build", [rigs.awkward, with_a_camera, in_a_strip, overridden])
def test_the_same_clip_and_an_untouched_file_at_every_pause(ext, in_steps, build, tmp_path):
    if build is overridden:
        rigs.biped()
        rig = overridden(tmp_path)
        rigs.set_range(1, 40)
    else:
        rig = build()
        unkeyed_edits(rig)
        rig.hide_viewport = build is in_a_strip
    bpy.context.view_layer.update()
    (expected,) = ext.addon.sampling.sample(bpy.context.scene, [rig])
    before = digest()
    steps, pauses = in_steps(rig), 0
    while True:
        try:
            told = next(steps)
        except StopIteration as end:
            (clip,) = end.value
            break
        pauses += 1
        if pauses in (1, 20, 41):  # planned, half way, before controls are nudged
            assert difference(before, digest()) == {}
            assert 0.0 <= told.share < 1.0
    assert pauses == 41
    assert difference(before, digest()) == {}
    assert_same_clip(clip, expected)


def test_what_is_saved_at_a_pause_holds_nothing_of_ours(in_steps, tmp_path):
    rig = rigs.biped()
    steps = in_steps(rig)
    for _ in range(10):
        next(steps)
    path = tmp_path / "saved.blend"
    bpy.ops.wm.save_as_mainfile(filepath=str(path), copy=True)
    steps.close()
    with bpy.data.libraries.load(str(path)) as (found, _wanted):
        assert (found.scenes, found.objects) == ([bpy.context.scene.name], [rig.name])
        assert len(found.actions) == 1


@pytest.mark.parametrize("change", ["gone", "another", "rest", "file"])
def test_a_rig_that_cannot_be_read_on_ends_it_with_a_sentence(in_steps, change):
    rig = rigs.biped()
    steps = in_steps(rig)
    for _ in range(5):
        next(steps)
    if change == "rest":
        rig.data.pose_position = "REST"
    elif change == "file":
        bpy.ops.wm.read_homefile(use_empty=True)
    else:
        bpy.data.objects.remove(rig)
        if change == "another":
            rigs.biped()
    with pytest.raises(PlumblineError, match="expected"):
        next(steps)
    assert not [scene for scene in bpy.data.scenes if scene.name.startswith(".")]


def child_process(ext, monkeypatch, script):
    """Steps of a second Blender, for which Python stands in; and where its files are."""
    child, folders = ext.addon.sampling.child, []

    def command(request):
        folders.append(Path(request["folder"]))
        return [sys.executable, "-c", script]

    monkeypatch.setattr(child, "_command", command)
    rig = rigs.biped()
    scene = bpy.context.scene
    steps = child.sampling_in_child(scene, [rig], None, (1, 4), "of a test", seconds=0.05)
    return steps, folders


def test_a_second_blender_is_waited_for_and_ended(ext, monkeypatch):
    started = []
    popen = ext.addon.sampling.child.subprocess.Popen

    def noted(*args, **how):
        started.append(popen(*args, **how))
        return started[-1]

    monkeypatch.setattr(ext.addon.sampling.child.subprocess, "Popen", noted)
    steps, folders = child_process(ext, monkeypatch, "import time; time.sleep(60)")
    next(steps)
    next(steps)
    assert started[0].poll() is None
    assert folders[0].is_dir()
    steps.close()
    assert started[0].poll() is not None
    assert not folders[0].exists()


def test_a_second_blender_that_fails_is_told_with_its_code(ext, monkeypatch):
    steps, _folders = child_process(ext, monkeypatch, "raise SystemExit(3)")
    with pytest.raises(PlumblineError, match="ended with code 3; expected clips"):
        at_once(steps)


def test_a_scene_that_is_slow_to_make_still_gives_many_frames_a_step(ext, monkeypatch):
    """The clock stands while frames are read, and leaps as a temporary scene is made."""
    clock, reading = [0.0], ext.addon.sampling.reading
    made = reading.temporary_stage

    def slow(*args, **how):
        clock[0] += 60.0
        return made(*args, **how)

    monkeypatch.setattr(reading, "temporary_stage", slow)
    monkeypatch.setattr(reading, "monotonic", lambda: clock[0])
    rig = rigs.biped()
    steps = ext.addon.sampling.in_steps.sampling_in_steps(bpy.context.scene, [rig], seconds=0.3)
    assert [next(steps).does, next(steps).does] == [
        "Reading 40 frames",
        "Trying what follows which control",
    ]
    steps.close()
