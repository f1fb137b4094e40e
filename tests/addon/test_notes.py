# SPDX-License-Identifier: GPL-3.0-or-later
"""Notes on a frame and a part: kept with the character, handed on as a check JSON and read back."""

import json

import bpy
import numpy as np
import pytest
import rigs
from added import Paper, select_bones
from command_line import save


@pytest.fixture
def session():
    return bpy.context.window_manager.plumbline


def popping(add=0.5):
    rig = rigs.biped()
    rigs.spike(rig.pose.bones["head"], "rotation_euler", 0, 25, add)
    bpy.context.scene.frame_set(3)
    return rig


def annotate(frame, *strokes, mode="3DSPACE"):
    """Draw with Blender's annotation tool on a frame."""
    new = hasattr(bpy.data, "annotations")
    drawn = (bpy.data.annotations if new else bpy.data.grease_pencils).new("drawn")
    page = drawn.layers.new("Note").frames.new(frame)
    for points in strokes:
        stroke = page.strokes.new()
        stroke.display_mode = mode
        stroke.points.add(len(points))
        for point, place in zip(stroke.points, points, strict=True):
            point.co = place
    setattr(bpy.context.scene, "annotation" if new else "grease_pencil", drawn)


def listed(ext, rig):
    found = ext.addon.ui.notes_shown.notes_of(bpy.context.scene, rig)
    return [(note.text, note.part, frame, note.done) for note, frame in found]


def add(text, frame, part=""):
    bpy.context.scene.frame_set(frame)
    assert bpy.ops.plumbline.add_note(text=text, part=part) == {"FINISHED"}


def only(ext, rig):
    ((note, _frame),) = ext.addon.ui.notes_shown.notes_of(bpy.context.scene, rig)
    return note


def test_a_note_is_kept_with_the_character_ticked_off_and_deleted(ext, tmp_path):
    popping()
    add("Hold it longer", 12, "head")
    add("Good", 3)
    path = save(tmp_path / "shot.blend")
    bpy.ops.wm.open_mainfile(filepath=str(path))
    rig = bpy.data.objects["porter"]
    assert listed(ext, rig) == [("Good", None, 3.0, False), ("Hold it longer", "head", 12.0, False)]
    note = ext.addon.ui.notes_shown.notes_of(bpy.context.scene, rig)[1][0].id
    assert bpy.ops.plumbline.go_to_note(note=note) == {"FINISHED"}
    assert bpy.context.scene.frame_current == 12
    bpy.ops.plumbline.note_done(note=note)
    assert [each[3] for each in listed(ext, rig)] == [False, True]
    bpy.ops.plumbline.note_done(note=note)
    assert [each[3] for each in listed(ext, rig)] == [False, False]
    bpy.ops.plumbline.delete_note(note=note)
    assert [each[0] for each in listed(ext, rig)] == ["Good"]
    for gone in ("go_to_note", "note_done", "delete_note"):
        with pytest.raises(RuntimeError, match="This note is gone"):
            getattr(bpy.ops.plumbline, gone)(note=note)


def test_an_empty_note_and_a_wrong_part_are_refused(ext):
    rig = popping()
    with pytest.raises(RuntimeError, match="The note is empty"):
        bpy.ops.plumbline.add_note(text="  ")
    with pytest.raises(RuntimeError, match="'nose' is no part"):
        bpy.ops.plumbline.add_note(text="a", part="nose")
    assert listed(ext, rig) == []


def test_a_note_begins_with_what_is_read_or_selected_here(ext, session):
    rig = popping()
    bpy.ops.plumbline.check()
    notes, line = ext.addon.ui.notes, session.findings[0]
    select_bones(rig, "hand.L")
    rig.data.bones.active = rig.data.bones["hand.L"]
    assert notes._read_here(bpy.context) == (None, None)
    assert notes._part_of_bone(bpy.context) == "hand.L"
    bpy.context.scene.frame_set(round(line.frame))
    assert notes._read_here(bpy.context)[1] == "head"
    add("This one", round(line.frame), "head")
    note = only(ext, rig)
    assert note.finding == "pop:head:25"
    assert note.mark


def test_a_note_goes_along_with_the_motion(ext, session, tmp_path):
    rig = popping()
    bpy.ops.plumbline.check()
    add("This one", 25, "head")
    for curve in rigs.fcurves(rig):
        for key in curve.keyframe_points:
            key.co.x += 3 if key.co.x > 10 else 0
            key.handle_left.x += 3 if key.co.x > 10 else 0
            key.handle_right.x += 3 if key.co.x > 10 else 0
        curve.update()
    rigs.set_range(1, 43)
    bpy.ops.plumbline.check()
    assert session.findings[0].frame == 28
    assert listed(ext, rig) == [("This one", "head", 28.0, False)]
    bpy.ops.plumbline.save_notes(filepath=str(tmp_path / "notes.json"))
    (shot,) = json.loads((tmp_path / "notes.json").read_text(encoding="utf-8"))["shots"]
    assert [note["frame"] for note in shot["notes"]] == [28]


def test_what_is_drawn_on_the_frame_goes_along_in_metres(ext):
    rig = popping()
    bpy.context.scene.unit_settings.scale_length = 0.5
    line = [(0.0, 0.0, 0.1 * number) for number in range(200)]
    annotate(12, line, [(1.0, 2.0, 3.0)])
    add("Along here", 12)
    (stroke,) = only(ext, rig).strokes
    assert len(stroke) == 48
    assert stroke[0] == (0.0, 0.0, 0.0)
    assert stroke[-1] == pytest.approx((0.0, 0.0, 9.95))
    shown, scene = ext.addon.ui.notes_shown, bpy.context.scene
    assert [len(each) for each in shown.drawn_on(scene, 12)] == [48]
    assert shown.drawn_on(scene, 13) == []
    ends = ext.addon.overlay.note_lines.segments(shown.drawn_on(scene, 12), 0.5)
    assert ends.shape == (94, 3)
    assert np.allclose(ends[[0, -1]], [line[0], line[-1]], atol=1e-3)
    bpy.ops.plumbline.note_done(note=only(ext, rig).id)
    assert shown.drawn_on(scene, 12) == []


def test_what_is_drawn_on_the_screen_has_no_place_in_the_world(ext):
    rig = popping()
    annotate(12, [(0, 0, 0), (90, 90, 0)], mode="2DSPACE")
    add("Along here", 12)
    assert only(ext, rig).strokes == ()


def test_where_notes_go_and_come_from_is_told_without_making_folders(ext, tmp_path):
    popping()
    bpy.ops.plumbline.check()
    for file, why in (
        ("", "No file is chosen, expected a file for the notes: name one"),
        (f"{tmp_path}/", "Only a folder is chosen, expected a file for the notes: name one"),
        (str(tmp_path / "gone" / "a.json"), "The folder of a.json is not there"),
    ):
        with pytest.raises(RuntimeError, match=why):
            bpy.ops.plumbline.save_notes(filepath=file)
    assert list(tmp_path.iterdir()) == []
    bpy.ops.plumbline.save_notes(filepath=str(tmp_path / "shot.blend1"))
    assert [each.name for each in tmp_path.iterdir()] == ["shot.blend1.json"]
    with pytest.raises(RuntimeError, match="No file is chosen, expected a check report"):
        bpy.ops.plumbline.open_notes(filepath="")


def test_what_is_saved_while_answers_are_old_is_told(ext, tmp_path, capfd):
    rig, path = popping(), tmp_path / "notes.json"
    bpy.ops.plumbline.check()
    bpy.ops.plumbline.save_notes(filepath=str(path))
    assert "notes.json: 0 notes saved.\n" in capfd.readouterr().out
    rigs.spike(rig.pose.bones["head"], "rotation_euler", 0, 25, 0.1)
    rig.animation_data.action.update_tag()
    bpy.context.view_layer.update()
    bpy.ops.plumbline.save_notes(filepath=str(path))
    old = "notes.json: 0 notes saved. Keys have changed: check again.\n"
    assert f"Warning: {old}" in capfd.readouterr().out
    bpy.ops.plumbline.check()
    bpy.ops.plumbline.save_notes(filepath=str(path))
    assert "notes.json: 0 notes saved.\n" in capfd.readouterr().out


def test_a_report_goes_there_and_back(ext, tmp_path):
    rig, path = popping(), tmp_path / "notes.json"
    blend = save(tmp_path / "shot.blend")
    with pytest.raises(RuntimeError, match="was not checked yet"):
        bpy.ops.plumbline.save_notes(filepath=str(path))
    bpy.ops.plumbline.check()
    add("Softer", 25, "head")
    annotate(25, [(0, 0, 1), (0, 0, 2)])
    assert bpy.ops.plumbline.save_notes(filepath=str(path)) == {"FINISHED"}
    (shot,) = json.loads(path.read_text(encoding="utf-8"))["shots"]
    assert [note["text"] for note in shot["notes"]] == ["Softer"]
    assert shot["notes"][0]["strokes"] == [[[0.0, 0.0, 1.0], [0.0, 0.0, 2.0]]]
    # The animator has the file without notes, and has not checked.
    bpy.ops.wm.open_mainfile(filepath=str(blend))
    rig, session = bpy.data.objects["porter"], bpy.context.window_manager.plumbline
    assert listed(ext, rig) == []
    assert bpy.ops.plumbline.open_notes(filepath=str(path)) == {"FINISHED"}
    assert listed(ext, rig) == [("Softer", "head", 25.0, False)]
    assert [line.title for line in session.findings] == ["Head: pop"]
    assert session.headline == "porter, frames 1 to 40: 1 major finding."
    assert not bpy.ops.plumbline.find_causes.poll()
    with pytest.raises(RuntimeError, match="this list was opened from a report"):
        bpy.ops.plumbline.find_causes()
    note = only(ext, rig).id
    bpy.ops.plumbline.note_done(note=note)
    back = tmp_path / "back.json"
    bpy.ops.plumbline.save_notes(filepath=str(back))
    assert json.loads(back.read_text(encoding="utf-8"))["shots"][0]["notes"][0]["done"] is True
    bpy.ops.plumbline.open_notes(filepath=str(path))
    assert listed(ext, rig) == [("Softer", "head", 25.0, True)]
    # A check goes on from what was opened.
    bpy.ops.plumbline.check()
    assert [line.state for line in session.findings] == ["unchanged"]
    assert listed(ext, rig) == [("Softer", "head", 25.0, True)]


def test_notes_of_another_rig_are_refused_and_change_nothing(ext, session, tmp_path):
    popping()
    bpy.ops.plumbline.check()
    path = tmp_path / "notes.json"
    bpy.ops.plumbline.save_notes(filepath=str(path))
    bpy.data.objects["porter"].name = "waiter"
    with pytest.raises(RuntimeError, match=r"'porter', expected notes of the rig 'waiter'"):
        bpy.ops.plumbline.open_notes(filepath=str(path))
    assert len(bpy.data.texts) == 0
    # It was only renamed.
    assert bpy.ops.plumbline.open_notes(filepath=str(path), anyway=True) == {"FINISHED"}
    holiday = tmp_path / "holiday.json"
    holiday.write_text("{}", encoding="utf-8")
    with pytest.raises(RuntimeError, match="holiday"):
        bpy.ops.plumbline.save_notes(filepath=str(holiday))
    assert holiday.read_text(encoding="utf-8") == "{}"


def test_notes_of_another_shot_are_taken_only_on_demand_and_deleted_ones_stay_out(ext, tmp_path):
    rig, path = popping(), tmp_path / "notes.json"
    save(tmp_path / "stop.blend")
    bpy.ops.plumbline.check()
    add("Softer", 25, "head")
    bpy.ops.plumbline.save_notes(filepath=str(path))
    bpy.ops.plumbline.delete_note(note=only(ext, rig).id)
    said = ext.addon.record.shots.said_of(bpy.context.scene, rig)
    taken = ext.analysis.merge_words.taken_text
    theirs = ext.analysis.notes_file.read_notes(path)[0].said
    assert taken(said, theirs) == "nothing new in it; 1 note that was deleted here was left out"
    bpy.ops.plumbline.open_notes(filepath=str(path))
    assert listed(ext, rig) == []
    # Another shot: the same rig, another file, another range, nothing checked.
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    rig = popping()
    rigs.set_range(1, 30)
    blend = save(tmp_path / "run.blend")
    told = (
        r"about another shot \(stop.blend, frames 1 to 40\), expected notes of this one \(run.blend"
    )
    with pytest.raises(RuntimeError, match=told):
        bpy.ops.plumbline.open_notes(filepath=str(path))
    assert len(bpy.data.texts) == 0
    bpy.ops.plumbline.open_notes(filepath=str(path), anyway=True)
    assert listed(ext, rig) == [("Softer", "head", 25.0, False)]
    # What was found in that one is no pass of this one.
    assert ext.addon.record.shots.pass_before(bpy.context.scene, rig) is None
    # Under a new number it is the same file.
    bpy.ops.wm.open_mainfile(filepath=str(blend))
    bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "stop_v2.blend"))
    bpy.ops.plumbline.open_notes(filepath=str(path))
    assert len(listed(ext, bpy.data.objects["porter"])) == 1


def test_the_panel_lists_them(ext, session, monkeypatch):
    panel = ext.addon.ui.notes_panel
    plain = lambda _context, layout, text, **_how: layout.label(text=text)  # noqa: E731
    monkeypatch.setattr(panel, "draw_text", plain)
    popping()

    def drawn():
        paper = Paper()
        panel.PLUMBLINE_PT_notes.draw(type("Panel", (), {"layout": paper})(), bpy.context)
        return [text for text, _icon in paper.lines]

    assert drawn() == [panel.PURPOSE]
    add("Softer", 25, "foot.L")
    assert drawn() == ["Left foot", "Softer"]
