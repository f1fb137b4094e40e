# SPDX-License-Identifier: GPL-3.0-or-later
"""What the file keeps: what was said at once, what was measured as it is saved."""

import json

import bpy
import pytest
import rigs
from added import overridden
from command_line import save
from digest import difference, digest
from drawn import checked_session, fresh_session


@pytest.fixture
def checked(ext):
    """The session after a check of a biped whose head pops at frame 25."""
    made = checked_session(ext)
    ext.addon.ui.filters.show_all(made.filters)
    made.filters.intended = False
    return made


def session_now():
    return bpy.context.window_manager.plumbline


def keep(reason="a nod"):
    return bpy.ops.plumbline.keep_intended("EXEC_DEFAULT", True, reason=reason)


def kept():
    return [(item.title, item.reason, item.state) for item in session_now().intended]


def our_text(ext):
    return ext.addon.record.text_block.find_text()


def in_text(ext):
    return json.loads(our_text(ext).as_string())


def reopen(file):
    bpy.ops.wm.open_mainfile(filepath=str(file))


def bigger_nod():
    head = bpy.data.objects["porter"].pose.bones["head"]
    rigs.spike(head, "rotation_euler", 0, 25, 0.4)
    bpy.context.view_layer.update()


def test_what_is_kept_as_intended_is_quiet_and_undone_with_ctrl_z(ext, checked):
    bpy.ops.ed.undo_push(message="checked")
    with pytest.raises(RuntimeError, match="No reason is given"):
        keep("  ")
    assert our_text(ext) is None
    assert keep() == {"FINISHED"}
    assert kept() == [("Head: pop", "a nod", "quiet")]
    headline = "porter, frames 1 to 40: nothing to mend, 1 kept as intended, 14 checks not judged."
    assert checked.headline == headline
    assert ext.addon.ui.filters.visible(checked) == []
    bpy.ops.ed.undo()
    assert kept() == []
    assert our_text(ext) is None
    assert checked.headline.endswith(": 1 major finding.")
    bpy.ops.ed.redo()
    assert kept() == [("Head: pop", "a nod", "quiet")]
    assert bpy.ops.plumbline.unkeep(finding=checked.intended[0].finding) == {"FINISHED"}
    assert kept() == []
    assert checked.headline.endswith(": 1 major finding.")
    assert ext.addon.ui.filters.visible(checked) == [0]


def test_it_survives_save_and_reload_and_wakes_when_the_motion_changes(ext, checked, tmp_path):
    checked.rig = "porter"
    keep()
    identity = checked.intended[0].finding
    file = save(tmp_path / "shot.blend")
    reopen(file)
    session = session_now()
    assert session.rig == "porter"
    assert session.headline == ""
    bpy.ops.plumbline.check()
    assert kept() == [("Head: pop", "a nod", "quiet")]
    assert session.passes == "Nothing new or fixed in this pass."
    bigger_nod()
    bpy.ops.plumbline.check()
    assert kept() == [("Head: pop", "a nod", "woken")]
    assert session.passes == "1 no longer kept: its motion has changed."
    (line,) = session.findings
    assert (line.finding, line.reason, line.woken) == (identity, "", True)
    assert line.since.startswith("Was ")
    assert line.since.endswith("The motion has changed since it was kept: a nod")
    assert keep("a bigger nod") == {"FINISHED"}
    assert kept() == [("Head: pop", "a bigger nod", "quiet")]
    assert "no longer" not in session.passes
    bpy.ops.plumbline.check()
    assert kept() == [("Head: pop", "a bigger nod", "quiet")]


def test_passes_go_into_the_file_as_it_is_saved_and_only_then(ext, checked, tmp_path, monkeypatch):
    before = digest()
    bpy.ops.plumbline.check()
    assert difference(before, digest()) == {}
    without = ext.addon.ui.preferences.Preferred(keep_passes=False)
    monkeypatch.setattr(ext.addon.ui.keeping, "preferences_of", lambda _context: without)
    save(tmp_path / "without.blend")
    assert our_text(ext) is None
    monkeypatch.undo()
    file = save(tmp_path / "with.blend")
    assert [list(shot) for shot in in_text(ext)["shots"]] == [["scene", "rig", "bones", "pass"]]
    reopen(file)
    head = bpy.data.objects["porter"].pose.bones["head"]
    head.keyframe_delete("rotation_euler", index=0, frame=25)
    bpy.ops.plumbline.check()
    session = session_now()
    assert session.passes == "Since the last pass: 1 fixed."
    (told,) = session.fixed
    assert told.says.startswith("Head: pop, frame 25: was ")


def test_what_was_chosen_is_chosen_again(ext, checked, tmp_path):
    checked.rig, checked.stage, checked.height_m = "porter", "spline", 1.9
    file = save(tmp_path / "chosen.blend")
    checked.stage = "polish"
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    session = session_now()
    assert (session.rig, session.stage, session.height_m) == ("", "polish", 0.0)
    reopen(file)
    session = session_now()
    assert (session.rig, session.stage) == ("porter", "spline")
    assert session.height_m == pytest.approx(1.9)
    session.rig, session.stage = "", "polish"


def test_a_file_in_which_nothing_was_chosen_gets_no_text(ext, tmp_path):
    fresh_session(ext)
    rigs.biped()
    save(tmp_path / "other.blend")
    assert our_text(ext) is None


def test_a_rig_that_is_renamed_keeps_what_was_said(ext, checked, tmp_path):
    keep()
    bpy.data.objects["porter"].name = "stevedore"
    bpy.context.scene.name = "the quay"
    bpy.ops.plumbline.check()
    assert [each[2] for each in kept()] == ["quiet"]
    file = save(tmp_path / "renamed.blend")
    (shot,) = in_text(ext)["shots"]
    assert (shot["scene"], shot["rig"]) == ("the quay", "stevedore")
    reopen(file)
    bpy.ops.plumbline.check()
    assert [each[2] for each in kept()] == ["quiet"]


@pytest.mark.parametrize("of", ["rig", "scene"])
def test_what_is_renamed_without_the_extension_is_found_by_its_bones(ext, checked, of):
    keep()
    ext.addon.record.shots.forget()  # as in a process that does not know us
    item = bpy.data.objects["porter"] if of == "rig" else bpy.context.scene
    item.name = "stevedore"
    ext.addon.record.shots.meet()
    bpy.ops.plumbline.check()
    assert kept() == [("Head: pop", "a nod", "quiet")]
    bpy.ops.plumbline.unkeep(finding=checked.intended[0].finding)
    keep("a deep nod")
    (shot,) = in_text(ext)["shots"]
    assert shot[of] == "stevedore"
    # Where two could be meant, none is.
    rigs.biped("clerk")
    ext.addon.record.shots.forget()
    item.name = "other"
    ext.addon.record.shots.meet()
    said = ext.addon.record.shots.said_of(bpy.context.scene, bpy.data.objects["clerk"])
    assert said.intended == ()


def test_a_scene_that_is_copied_takes_what_was_said_along(ext, checked):
    keep()
    first = bpy.context.scene
    bpy.ops.scene.new(type="FULL_COPY")
    scene = bpy.context.scene
    assert scene != first
    bpy.ops.plumbline.check()
    assert kept() == [("Head: pop", "a nod", "quiet")]
    bpy.ops.plumbline.unkeep(finding=checked.intended[0].finding)
    keep("a deep nod")
    reasons = {
        each["scene"]: each["said"]["intended"][0]["reason"] for each in in_text(ext)["shots"]
    }
    assert reasons == {first.name: "a nod", scene.name: "a deep nod"}


def test_names_that_are_swapped_swap_no_records(ext, checked, tmp_path):
    keep()
    rigs.biped("clerk")
    one, two = bpy.data.objects["porter"], bpy.data.objects["clerk"]
    checked.rig = "clerk"
    bpy.ops.plumbline.check()
    one.name, two.name = "other", "porter"
    one.name = "clerk"
    save(tmp_path / "swapped.blend")
    said = {
        shot["rig"]: len(shot.get("said", {}).get("intended", ())) for shot in in_text(ext)["shots"]
    }
    assert said == {"clerk": 1, "porter": 0}


def test_an_overridden_rig_keeps_what_was_said(ext, checked, tmp_path):
    rig = overridden(tmp_path)
    rigs.set_range(1, 40)
    bpy.ops.plumbline.check()
    keep()
    file = save(tmp_path / "over.blend")
    reopen(file)
    bpy.ops.plumbline.check()
    assert [each[2] for each in kept()] == ["quiet"]
    assert rig is not None


def test_an_override_that_is_made_of_a_linked_rig_goes_on_with_its_record(ext, checked, tmp_path):
    library = save(tmp_path / "library.blend")
    bpy.ops.wm.read_homefile(use_empty=True)
    with bpy.data.libraries.load(str(library), link=True) as (_found, asked_for):
        asked_for.objects = ["porter"]
    (rig,) = asked_for.objects
    bpy.context.scene.collection.objects.link(rig)
    rigs.set_range(1, 40)
    bpy.ops.plumbline.check()
    keep()
    rig.override_create(remap_local_usages=True)
    bpy.ops.plumbline.check()
    assert kept() == [("Head: pop", "a nod", "quiet")]
    (shot,) = in_text(ext)["shots"]
    assert shot["rig"].startswith("porter [")  # a check writes nothing
    bpy.ops.plumbline.unkeep(finding=session_now().intended[0].finding)
    assert [each["rig"] for each in in_text(ext)["shots"]] == ["porter"]


@pytest.mark.parametrize("held", ["mine", '{\n"mine": 1\n}'])
def test_a_text_of_the_users_own_is_left_alone(ext, checked, held):
    own = bpy.data.texts.new("Plumbline")
    own.from_string(held)
    keep()
    assert own.as_string() == held
    assert our_text(ext) != own
    assert kept() == [("Head: pop", "a nod", "quiet")]


@pytest.mark.parametrize(
    ("held", "told"),
    [
        ('{\n"plumbline_record": 1,\n"shots": [', "is cut or changed, expected whole JSON"),
        ('{\n"plumbline_record": 2\n}', "was written by another version"),
        ('{"plumbline_record": 99, "shots": []}', "was written by another version"),
        ('  {"plumbline_record": 1, "shots": [', "is cut or changed, expected whole JSON"),
        ('{\n"plumbline_record": 1,\n"shots": [3]\n}', "expected a list of shots"),
        (
            '{\n"plumbline_record": 1,\n"shots": [\n'
            '{"scene": "Scene", "rig": "porter", "said": {"intended": 3}, "pass": 4}]\n}',
            "In the text 'Plumbline' what Plumbline keeps of earlier passes",
        ),
        ("", "is empty, expected what Plumbline wrote there"),
        ("[]\n", "is empty, expected what Plumbline wrote there"),
    ],
)
def test_a_record_that_cannot_be_read_is_told_and_stays(ext, checked, tmp_path, held, told):
    text = bpy.data.texts.new("Plumbline")
    text.from_string(held)
    with pytest.raises(RuntimeError, match=told):
        keep()
    bpy.ops.plumbline.check()
    assert told in checked.unread
    assert checked.headline.endswith(": 1 major finding.")
    if "porter" not in held:  # whole, so that passes can be written beside it
        reopen(save(tmp_path / "broken.blend"))
        assert bpy.data.texts["Plumbline"].as_string() == held
        assert told in session_now().unread


def edit(text, change):
    """Edit the record by hand; `change` is given the entries of what was said."""
    data = json.loads(text.as_string())
    change(data["shots"][0]["said"])
    text.from_string(json.dumps(data, indent=0))


def test_lines_above_the_record_are_no_matter_and_stay(ext, checked):
    keep()
    text = our_text(ext)
    text.from_string(f"# the crane shot\n\n{text.as_string()}\n# below\n")
    bpy.ops.plumbline.check()
    assert kept() == [("Head: pop", "a nod", "quiet")]
    bpy.ops.plumbline.unkeep(finding=checked.intended[0].finding)
    assert keep("a bow") == {"FINISHED"}
    bpy.ops.plumbline.check()
    assert (kept(), checked.unread) == ([("Head: pop", "a bow", "quiet")], "")
    assert text.as_string().startswith("# the crane shot\n\n{")
    assert text.as_string().rstrip().endswith("}\n# below")
    assert len(bpy.data.texts) == 1


def test_one_entry_that_cannot_be_read_is_told_and_stays_and_the_others_are_used(ext, checked):
    keep()
    bad = {"id": "n9", "frame": 1e99, "part": None, "text": "later"}
    edit(our_text(ext), lambda said: said["notes"].append(bad))
    bpy.ops.plumbline.check()
    told = "In the text 'Plumbline' note 1 of 'porter' cannot be read, expected it as"
    assert checked.unread.startswith(told)
    assert kept() == [("Head: pop", "a nod", "quiet")]
    bpy.ops.plumbline.unkeep(finding=checked.intended[0].finding)
    assert keep("a bow") == {"FINISHED"}
    assert json.loads(our_text(ext).as_string())["shots"][0]["said"]["notes"] == [bad]
    edit(our_text(ext), lambda said: said["notes"].clear())
    bpy.ops.plumbline.check()
    assert (kept(), checked.unread) == ([("Head: pop", "a bow", "quiet")], "")


def test_disabling_leaves_no_handler(ext):
    names = ("save_pre", "load_post", "undo_post", "redo_post", "depsgraph_update_post")

    def ours():
        return [
            (name, each.__name__)
            for name in names
            for each in getattr(bpy.app.handlers, name)
            if "plumbline" in each.__module__
        ]

    there = ours()
    ext.unregister()
    assert ours() == []
    ext.register()
    assert ours() == there
    assert len(there) >= len(names)


def test_other_choices_than_last_time_fix_nothing(checked):
    session = checked
    rig = bpy.data.objects["porter"]
    event = {"frames": [20, 30], "part": None, "kind": "hit"}
    rig["plumbline_events"] = json.dumps([event])
    bpy.ops.plumbline.check()
    nothing = "Nothing new or fixed in this pass. Other choices than last time: 1 is"
    assert session.passes == f"{nothing} not told now."
    assert (len(session.fixed), len(session.not_told)) == (0, 1)
    assert session.not_told[0].says.startswith("Head: pop, frame 25: was ")
    del rig["plumbline_events"]
    bpy.ops.plumbline.check()
    assert session.passes == "Nothing new or fixed in this pass."
    assert [line.state for line in session.findings] == ["unchanged"]
    assert len(session.not_told) == 0


@pytest.mark.parametrize("clock", [{"fps": 8}, {"frame_map_new": 50}, {"frame_map_new": 180}])
def test_another_clock_than_last_time_fixes_nothing_and_makes_nothing_new(checked, clock):
    session, render = checked, bpy.context.scene.render
    usual = {name: getattr(render, name) for name in clock}
    for values in (clock, usual):
        for name, value in values.items():
            setattr(render, name, value)
        bpy.ops.plumbline.check()
        assert session.passes.startswith("Nothing new or fixed in this pass.")
        assert len(session.fixed) == 0
        assert not {"new", "back"} & {line.state for line in session.findings}
    assert [line.state for line in session.findings] == ["unchanged"]
