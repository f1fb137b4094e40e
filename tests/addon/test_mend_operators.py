# SPDX-License-Identifier: GPL-3.0-or-later
"""What the panel's buttons do to keys and range: asked for, told, undone in one step."""

import bpy
import pytest
import rigs
from digest import difference, digest
from drawn import fresh_session
from explained import cause_of, curve_of, edit, explained, keys_of, tell
from test_causes_panel import details


def why_refused(name):
    with pytest.raises(RuntimeError, match="poll"):
        getattr(bpy.ops.plumbline, name)()


@pytest.mark.parametrize("name", ["smooth_key", "move_key"])
def test_a_mend_is_one_step_back(ext, name):
    mend = name.partition("_")[0]
    _session, rig = explained(ext, mend=mend, edits=(edit("rotation_euler.x", 5.7, 9.0),))
    curve_of(rig).keyframe_points[1].interpolation = "LINEAR"
    bpy.context.view_layer.update()
    bpy.ops.plumbline.check()
    tell(ext, [[cause_of(rig, mend=mend, edits=(edit("rotation_euler.x", 5.7, 9.0),))]])
    bpy.ops.ed.undo_push(message="before")
    before, kinds = keys_of(curve_of(rig)), curve_of(rig).keyframe_points[1].interpolation
    assert getattr(bpy.ops.plumbline, name)() == {"FINISHED"}
    rig = bpy.data.objects["porter"]
    changed = keys_of(curve_of(rig)), curve_of(rig).keyframe_points[1].interpolation
    assert changed != (before, kinds)
    bpy.ops.ed.undo_push(message="mended")
    bpy.ops.ed.undo()
    rig = bpy.data.objects["porter"]
    assert (keys_of(curve_of(rig)), curve_of(rig).keyframe_points[1].interpolation) == (
        before,
        kinds,
    )


def test_answers_are_old_after_a_mend_and_no_other_follows(ext):
    _session, rig = explained(ext)
    curve_of(rig).keyframe_points[1].interpolation = "LINEAR"
    bpy.context.view_layer.update()
    bpy.ops.plumbline.check()
    tell(ext, [[cause_of(rig)]])
    assert bpy.ops.plumbline.smooth_key() == {"FINISHED"}
    bpy.context.view_layer.update()
    assert ext.addon.ui.changes.why_old(bpy.context) == "Keys have changed: check again."
    why_refused("smooth_key")


def test_only_the_mend_that_fits_is_open(ext):
    explained(ext, mend="retime", to_frame=22.0)
    for name in ("smooth_key", "move_key", "unwind_key", "play_loop"):
        why_refused(name)
    assert bpy.ops.plumbline.retime_key() == {"FINISHED"}


def test_without_causes_nothing_can_be_mended(ext):
    session, _rig = explained(ext)
    tell(ext, [[]])
    for name in ("smooth_key", "select_key"):
        why_refused(name)
    session.findings.clear()
    why_refused("smooth_key")


@pytest.mark.parametrize("mode", ["OBJECT", "POSE"])
def test_select_key_selects_the_control_and_its_key_alone(ext, mode):
    _session, rig = explained(ext)
    crate = rigs.cube("crate")
    crate.select_set(True)
    if mode == "POSE":
        bpy.ops.object.mode_set(mode="POSE")
    bpy.context.view_layer.update()
    assert bpy.ops.plumbline.select_key() == {"FINISHED"}
    assert bpy.context.mode == "POSE"
    assert [bone.name for bone in bpy.context.selected_pose_bones] == ["head"]
    assert bpy.context.active_pose_bone.name == "head"
    assert bpy.context.selected_objects == [rig]
    found = {
        (curve.data_path, curve.array_index, key.co.x)
        for curve in rigs.fcurves(rig)
        for key in curve.keyframe_points
        if key.select_control_point
    }
    nod = cause_of(rig).data_path
    assert found == {(nod, index, 20.0) for index in range(3)}
    bpy.context.view_layer.update()
    assert not ext.addon.ui.changes.why_old(bpy.context)
    rigs.fcurves(rig)[0].keyframe_points[0].co.y += 1.0
    rigs.fcurves(rig)[0].update()
    bpy.context.view_layer.update()
    assert ext.addon.ui.changes.why_old(bpy.context)  # what comes afterwards is seen


@pytest.mark.parametrize("kind", ["hidden", "edit"])
def test_select_key_says_what_is_in_its_way(ext, kind):
    _session, rig = explained(ext)
    if kind == "hidden":
        rig.hide_set(True)
    else:
        bpy.ops.object.mode_set(mode="EDIT")
    why_refused("select_key")


@pytest.mark.parametrize("preview", [False, True])
def test_the_range_ends_where_the_loop_does(ext, monkeypatch, preview):
    fresh_session(ext).cycle = "yes"
    rigs.biped()
    for curve in rigs.fcurves(bpy.data.objects["porter"]):
        keys = curve.keyframe_points
        keys[2].co.y = keys[0].co.y
        curve.update()
    scene = bpy.context.scene
    if preview:
        scene.use_preview_range, scene.frame_preview_start, scene.frame_preview_end = True, 1, 40
        scene.frame_end = 90
    bpy.ops.plumbline.check()
    session = bpy.context.window_manager.plumbline
    (line,) = [n for n, f in enumerate(session.findings) if "double frame" in f.title.lower()]
    session.active = line
    bpy.ops.plumbline.find_causes()
    lines, buttons = details(ext, monkeypatch)
    assert "plumbline.play_loop" in buttons
    assert not [told for told, _icon in lines if told == ext.addon.ui.causes_panel.NO_CAUSE]
    before = digest()
    assert bpy.ops.plumbline.play_loop() == {"FINISHED"}
    changed = difference(before, digest())
    assert (scene.frame_preview_end if preview else scene.frame_end) == 39
    assert scene.frame_end == (90 if preview else 39)
    assert not [key for key in changed if "frame" not in key.lower()], changed
    assert ext.addon.ui.changes.why_old(bpy.context)
