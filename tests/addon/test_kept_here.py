# SPDX-License-Identifier: GPL-3.0-or-later
"""What the extension keeps in a file is listed, and cleared without a trace and without loss."""

import bpy
import pytest
import rigs
from added import Paper, overridden, select_bones, select_objects
from command_line import save
from digest import difference, digest


def traces():
    """Every property in the file that is ours, as `block: key`."""
    found = []
    for collection in bpy.data.bl_rna.properties:
        skipped = ("window_managers", "all_ids")
        if collection.type == "COLLECTION" and collection.identifier not in skipped:
            for block in getattr(bpy.data, collection.identifier):
                carriers = [block, *getattr(block, "view_layers", ())]
                keys = [key for carrier in carriers for key in carrier.keys()]  # noqa: SIM118
                found += [f"{block.name}: {key}" for key in keys if key.startswith("plumbline_")]
    return sorted(found)


def filled():
    """A scene with a declaration of each kind and a sphere, the rest hidden for it."""
    rig, crate = rigs.biped(), rigs.cube("crate")
    crate["mine"] = 7
    select_objects(rig)
    empty = digest()
    select_objects(crate)
    bpy.ops.plumbline.bear_weight()
    bpy.ops.plumbline.follow()
    crate.plumbline_mass = 4.0
    select_objects(rig)
    bpy.ops.plumbline.declare_event(kind="hit", first=4, last=9)
    return empty, rig, crate


@pytest.fixture(autouse=True)
def no_wrapping(ext, monkeypatch):
    """Without a window there is no width to break sentences to."""
    plain = lambda _context, layout, text: layout.label(text=text)  # noqa: E731
    monkeypatch.setattr(ext.addon.ui.kept_panel, "draw_text", plain)


def panel(ext):
    paper = Paper()
    me = type("Panel", (), {"layout": paper})()
    ext.addon.ui.kept_panel.PLUMBLINE_PT_kept.draw(me, bpy.context)
    return [text for text, _icon in paper.lines]


def test_all_is_listed_and_cleared_without_a_trace(ext):
    empty, rig, crate = filled()
    bpy.ops.plumbline.bake_sphere()
    bpy.ops.plumbline.hide_rest()
    assert rig.hide_get()
    assert panel(ext) == ["Declarations", "4", "Root Spheres", "1"]
    assert bpy.ops.plumbline.clear() == {"FINISHED"}
    assert traces() == []
    assert difference(empty, digest()) == {}
    assert crate["mine"] == 7
    assert panel(ext) == [ext.addon.ui.kept_panel.NOTHING]
    assert not bpy.ops.plumbline.clear.poll()


def test_each_kind_is_cleared_alone(ext):
    filled()
    bpy.ops.plumbline.bake_sphere()
    bpy.ops.plumbline.clear(kinds={"spheres"})
    assert panel(ext) == ["Declarations", "4"]
    assert len(traces()) == 4
    bpy.ops.plumbline.bake_sphere()
    bpy.ops.plumbline.clear(kinds={"declared"})
    assert panel(ext) == ["Root Spheres", "1"]


def test_what_was_said_and_marked_is_cleared_and_comes_back_with_no_save(ext, tmp_path):
    rig, scene = rigs.biped(), bpy.context.scene
    rigs.spike(rig.pose.bones["head"], "rotation_euler", 0, 25, 0.5)
    select_objects(rig)
    text = bpy.data.texts.new("Plumbline")
    text.write("my own")
    scene.timeline_markers.new("mine", frame=7)
    empty = digest()
    session = bpy.context.window_manager.plumbline
    bpy.ops.plumbline.check()
    extra = session.findings.add()
    extra.title, extra.frame, extra.group = "Left foot: slide", 12.0, "legs"
    bpy.ops.plumbline.write_markers()
    bpy.ops.plumbline.add_note(text="Softer")
    bpy.ops.plumbline.keep_intended(reason="a sneeze")
    assert session.findings[0].reason == "a sneeze"
    assert panel(ext) == ["Notes and Passes", "2", "Timeline Markers", "2"]
    scene.timeline_markers["Left foot: slide"].frame = 13  # the user's own now
    assert panel(ext)[-1] == "1"
    scene.timeline_markers["Left foot: slide"].frame = 12
    bpy.ops.plumbline.clear()
    assert panel(ext) == [ext.addon.ui.kept_panel.NOTHING]
    assert difference(empty, digest()) == {}
    assert session.findings[0].reason == ""
    save(tmp_path / "shot.blend")
    assert [each.name for each in bpy.data.texts] == ["Plumbline"]
    assert text.as_string() == "my own"


def told(session):
    """What the list says of passes, and what is kept as intended."""
    lines = [(line.state, line.since, line.reason) for line in session.findings]
    kept = [(item.title, item.reason) for item in session.intended]
    return session.passes, lines, kept, [item.says for item in session.fixed]


def test_cleared_passes_leave_the_list_and_undo_brings_them_back(ext):
    rig, session = rigs.biped(), bpy.context.window_manager.plumbline
    rigs.spike(rig.pose.bones["head"], "rotation_euler", 0, 25, 0.5)
    bpy.ops.plumbline.check()
    bpy.ops.plumbline.keep_intended(reason="a sneeze")
    bpy.ops.plumbline.check()
    before = told(session)
    assert before[0]
    assert before[1][0] == ("unchanged", "", "a sneeze")
    bpy.ops.ed.undo_push(message="kept")
    bpy.ops.plumbline.clear(kinds={"record"})
    bpy.ops.ed.undo_push(message="cleared")
    cleared = ("", [("", "", "")], [], [])
    assert told(session) == cleared
    assert not ext.addon.ui.changes.why_old(bpy.context)
    bpy.ops.ed.undo()
    assert told(session) == before
    bpy.ops.ed.redo()
    assert told(session) == cleared
    bpy.ops.ed.undo()
    bpy.ops.plumbline.check()
    assert told(session) == before


def test_what_the_user_made_of_a_sphere_stays(ext):
    rig = rigs.biped()
    select_objects(rig)
    bpy.ops.plumbline.bake_sphere()
    sphere = next(item for item in bpy.context.scene.objects if "plumbline_sphere_of" in item)
    own = rigs.cube("own")
    own.data.materials.append(sphere.data.materials[0])
    bpy.ops.plumbline.clear()
    assert traces() == []
    assert own.data.materials[0] is not None
    assert [item.name for item in bpy.context.scene.objects] == ["porter", "own"]


def test_clearing_makes_answers_old(ext):
    filled()
    bpy.ops.plumbline.check()
    assert ext.addon.ui.changes.why_old(bpy.context) == ""
    bpy.ops.plumbline.clear()
    assert ext.addon.ui.changes.why_old(bpy.context) == ext.addon.ui.changes.ASKED


def test_linked_ones_are_told_and_stay(ext, tmp_path):
    select_bones(rigs.biped(), "head")
    bpy.ops.plumbline.follow()
    bpy.ops.object.mode_set(mode="OBJECT")
    made = overridden(tmp_path)
    assert panel(ext) == [
        ext.addon.ui.kept_panel.NOTHING,
        "Linked from other files, and cleared there: porter.",
    ]
    select_objects(made)
    bpy.ops.plumbline.declare_event(kind="hit", first=4, last=9)
    before = traces()
    bpy.ops.plumbline.clear()
    assert traces() == [line for line in before if not line.startswith("Scene: ")]
    assert "plumbline_follow" in made
