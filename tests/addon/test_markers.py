# SPDX-License-Identifier: GPL-3.0-or-later
"""Markers for findings: ours come and go in a click, the user's stay."""

import bpy
import pytest
import rigs
from drawn import fresh_session


def markers():
    return sorted((m.frame, m.name) for m in bpy.context.scene.timeline_markers)


def test_ours_come_and_go_and_the_user_s_stay(ext):
    session = fresh_session(ext)
    rig = rigs.biped()
    scene = bpy.context.scene
    assert not bpy.ops.plumbline.write_markers.poll()
    rigs.spike(rig.pose.bones["head"], "rotation_euler", 0, 25, 0.5)
    bpy.ops.plumbline.check()
    extra = session.findings.add()
    extra.title, extra.frame, extra.group = "Left foot: slide", 12.5, "legs"
    folded = session.findings.add()
    folded.title, folded.frame, folded.group, folded.leader = "Left shin: pop", 13.0, "legs", 0
    session.folding = True
    camera = bpy.data.objects.new("shot", bpy.data.cameras.new("shot"))
    scene.timeline_markers.new("Head: pop", frame=25).camera = camera  # looks like ours
    scene.timeline_markers.new("story beat", frame=8)
    theirs = markers()
    assert bpy.ops.plumbline.write_markers() == {"FINISHED"}
    ours = [(12, "Left foot: slide"), (25, "Head: pop")]
    assert markers() == sorted(theirs + ours)
    assert bpy.ops.plumbline.write_markers() == {"FINISHED"}  # instead of those before
    assert markers() == sorted(theirs + ours)
    next(m for m in scene.timeline_markers if m.frame == 12).name = "ask the lead"
    assert bpy.ops.plumbline.remove_markers() == {"FINISHED"}
    assert markers() == sorted([*theirs, (12, "ask the lead")])
    assert [m.camera for m in scene.timeline_markers if m.frame == 25] == [camera]
    assert "plumbline_markers" not in scene
    assert not bpy.ops.plumbline.remove_markers.poll()


def test_what_is_none_of_ours_is_left_alone(ext):
    session, scene = fresh_session(ext), bpy.context.scene
    session.findings.add().title = "Head: pop"
    session.scene_uid = str(scene.session_uid)
    scene.timeline_markers.new("a", frame=1)
    for held in ("not json", '{"a": 1}', 7):
        scene["plumbline_markers"] = held
        assert ext.addon.ui.markers.written_markers(scene) == []
        assert ext.addon.ui.markers.remove_markers(scene) == 0
        with pytest.raises(RuntimeError, match="rename or delete it first"):
            bpy.ops.plumbline.write_markers()
        assert scene["plumbline_markers"] == held
    assert markers() == [(1, "a")]
