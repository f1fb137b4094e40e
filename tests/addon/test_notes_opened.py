# SPDX-License-Identifier: GPL-3.0-or-later
"""A report that is opened where nothing was checked: which one is taken, and what undo does."""

import bpy
import pytest
import rigs
from command_line import save


@pytest.fixture
def report(ext, tmp_path):
    """A report of walk_v003.blend, which is open, unchecked and without a note."""
    rig = rigs.biped()
    rigs.spike(rig.pose.bones["head"], "rotation_euler", 0, 25, 0.5)
    blend, path = save(tmp_path / "walk_v003.blend"), str(tmp_path / "notes.json")
    bpy.ops.plumbline.check()
    bpy.ops.plumbline.save_notes(filepath=path)
    bpy.ops.wm.open_mainfile(filepath=str(blend))
    bpy.ops.ed.undo_push(message="opened the file")
    return path


def shown(ext):
    """What the list shows, whether it has a headline, and whether a pass is known."""
    session, scene = bpy.context.window_manager.plumbline, bpy.context.scene
    known = ext.addon.record.shots.pass_before(scene, bpy.data.objects["porter"]) is not None
    return [(line.title, line.state) for line in session.findings], session.headline != "", known


def press(name, **told):
    """As a button does, with a step for undo."""
    assert getattr(bpy.ops.plumbline, name)("EXEC_DEFAULT", True, **told) == {"FINISHED"}


def test_undo_and_redo_take_what_was_opened_out_of_the_list_and_back(ext, report):
    nothing, opened = ([], False, False), ([("Head: pop", "")], True, True)
    press("open_notes", filepath=report)
    press("open_notes", filepath=report)
    assert shown(ext) == opened
    bpy.ops.ed.undo()
    assert shown(ext) == opened  # it was opened twice
    bpy.ops.ed.undo()
    assert shown(ext) == nothing
    bpy.ops.ed.redo()
    assert shown(ext) == opened
    press("clear", kinds={"record"})
    assert shown(ext) == nothing
    bpy.ops.ed.undo()
    assert shown(ext) == opened
    bpy.ops.ed.undo()
    # A check is not undone, and is beside no report that is not there any more.
    bpy.ops.plumbline.check()
    checked = ([("Head: pop", "")], True, True)
    assert shown(ext) == checked
    bpy.ops.ed.redo()
    assert shown(ext) == checked
    bpy.ops.plumbline.check()
    assert shown(ext) == ([("Head: pop", "unchanged")], True, True)


def test_where_names_and_frames_agree_the_file_tells_whose_notes_they_are(ext, report, tmp_path):
    def save_as(name):
        bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / name))

    nothing, opened = ([], False, False), ([("Head: pop", "")], True, True)
    save_as("run_v003.blend")
    told = (
        r"notes.json was made of walk_v003.blend, expected notes of run_v003.blend, which is open"
    )
    with pytest.raises(RuntimeError, match=told):
        bpy.ops.plumbline.open_notes(filepath=report)
    assert shown(ext) == nothing
    bpy.ops.plumbline.open_notes(filepath=report, anyway=True)
    assert shown(ext) == ([("Head: pop", "")], True, False)
    save_as("walk_v004.blend")
    bpy.ops.plumbline.open_notes(filepath=report)
    assert shown(ext) == opened
