# SPDX-License-Identifier: GPL-3.0-or-later
"""The search for causes: in steps or at once, stoppable, and nothing of it stays in the file."""

import bpy
import pytest
import rigs
from digest import difference, digest
from drawn import fresh_session
from searched import begun, event


@pytest.fixture
def session(ext):
    """The session after a check of a biped whose head pops."""
    made = fresh_session(ext)
    rig = rigs.biped()
    rigs.spike(rig.pose.bones["head"], "rotation_euler", 0, 25, 0.5)
    bpy.context.scene.frame_set(3)
    bpy.ops.plumbline.check()
    return made


@pytest.fixture
def search(ext, session):
    check = ext.addon.ui.last_check.last_check()
    scene = bpy.context.scene
    made = ext.addon.causes.search.CauseSearch(scene, check.rig_in(scene), check.examination)
    assert made.total > 0
    return made


def step_through(search):
    steps = 0
    while not search.is_done:
        search.step(0.0)
        steps += 1
    return steps


def test_steps_give_what_all_at_once_gives_and_change_nothing(ext, search):
    before = digest()
    check = ext.addon.ui.last_check.last_check()
    assert search.total >= 2
    assert step_through(search) > search.total == search.done  # one more makes the plan
    assert search.why_none == ""
    rig = bpy.data.objects["porter"]
    at_once = ext.addon.causes.search.find_causes(bpy.context.scene, rig, check.examination)
    assert search.shot().to_json() == at_once.to_json()
    bpy.context.view_layer.update()
    assert not ext.addon.ui.changes.why_old(bpy.context)
    assert difference(before, digest()) == {}


def test_a_single_answer_is_checked_in_more_than_one_step(search):
    done = []
    while not search.is_done:
        search.step(0.0)
        done.append(search.done)
    assert done == sorted(done)
    assert len(done) > len(set(done)) + 2  # between two checks of one answer


def test_the_operator_tells_whose_key_it_is(ext, session):
    assert bpy.ops.plumbline.find_causes() == {"FINISHED"}
    assert session.explained
    assert session.progress < 0.0
    (finding,) = ext.addon.ui.causes_session.all_findings()
    assert (finding.causes[0].control, finding.causes[0].frame) == ("head", 25.0)


def test_a_search_that_is_left_half_way_answers_with_what_it_has(search):
    search.step(0.0)
    assert search.done == 1
    assert [finding.id for finding in search.shot().findings]


@pytest.mark.parametrize("change", ["bone", "gone", "key"])
def test_a_rig_that_is_another_now_gives_no_answers(search, change):
    rig = bpy.data.objects["porter"]
    if change == "gone":
        bpy.data.objects.remove(rig)
    elif change == "bone":
        rig.data.bones["head"].name = "skull"
    else:
        rig.pose.bones["hand.L"].keyframe_insert("location", frame=2)
    step_through(search)
    assert search.is_done
    assert search.why_none.endswith(".")
    assert search.shot().findings


def test_a_search_outlives_an_undo(search):
    bpy.ops.ed.undo_push(message="before")
    search.step(0.0)
    crate = rigs.cube("crate")
    bpy.ops.ed.undo_push(message="crate")
    assert crate.name == "crate"
    bpy.ops.ed.undo()
    step_through(search)
    assert search.why_none == ""


def test_where_no_copy_can_be_posed_curves_answer(ext, session):
    """A driver that reads the real scene: only that scene can pose the rig."""
    rig = bpy.data.objects["porter"]
    driver = rig.pose.bones["chest"].driver_add("rotation_euler", 2).driver
    made = driver.variables.new()
    made.name, made.targets[0].id_type = "at", "SCENE"
    made.targets[0].id, made.targets[0].data_path = bpy.context.scene, "frame_current"
    driver.expression = "at * 0.001"
    bpy.ops.plumbline.check()
    check = ext.addon.ui.last_check.last_check()
    told = []
    shot = ext.addon.causes.search.find_causes(
        bpy.context.scene, rig, check.examination, tell=told.append
    )
    assert len(told) == 1
    assert [f.id for f in shot.findings] == [f.id for f in check.examination.shot.findings]


@pytest.fixture
def running(ext, session, monkeypatch):
    return begun(ext, monkeypatch, ext.addon.ui.find_causes.PLUMBLINE_OT_find_causes)


def test_ticks_lead_to_causes_and_the_user_goes_on(running):
    press = event("A", "PRESS")
    assert running.me.modal(running.context, press) == {"PASS_THROUGH"}
    assert running.session.progress == 0.0
    done = {"PASS_THROUGH"}
    while done == {"PASS_THROUGH"}:
        done = running.me.modal(running.context, event("TIMER"))
        assert not [item for item in bpy.data.scenes if item.name.startswith(".")]
    assert done == {"FINISHED"}
    assert running.session.explained
    assert running.session.progress < 0.0
    assert running.timers == ["on", "off"]
    assert running.told[-1] is None
    assert running.told[-2].endswith("Esc stops.")


def test_a_search_waits_while_the_playhead_moves(running):
    me, context = running.me, running.context
    bpy.context.scene.frame_set(9)
    assert me.modal(context, event("TIMER")) == {"PASS_THROUGH"}
    assert running.session.progress == 0.0
    me._moved -= 1.0  # a second ago
    me.modal(context, event("TIMER"))
    assert running.session.progress > 0.0
    me.cancel(context)


@pytest.mark.parametrize("why", ["escape", "keys", "check", "another", "overtaken", "gone", "file"])
def test_what_ends_a_search_leaves_the_list_as_it_was(ext, running, why):
    me, context, session = running.me, running.context, running.session
    me.modal(context, event("TIMER"))
    assert session.progress > 0.0
    kind = event("TIMER")
    if why == "escape":
        kind = event("ESC", "PRESS")
    elif why == "keys":
        bpy.data.objects["porter"].pose.bones["head"].keyframe_insert("location", frame=7)
        bpy.context.view_layer.update()
    elif why == "check":
        bpy.ops.plumbline.check()
    elif why == "another":
        bpy.ops.plumbline.find_causes()
    elif why == "overtaken":  # and nothing else begins
        ext.addon.ui.stepped.overtake("search")
    elif why == "gone":
        bpy.data.objects.remove(bpy.data.objects["porter"])
    if why == "file":
        me.cancel(context)
    else:
        assert me.modal(context, kind) == {"CANCELLED"}
    assert session.progress < 0.0
    assert running.told[-1] is None
    assert session.explained == (why == "another")
    assert running.timers == ["on", "off"]


def test_answers_that_are_old_are_not_explained(session):
    bpy.context.scene.frame_end = 30
    with pytest.raises(RuntimeError, match="poll"):
        bpy.ops.plumbline.find_causes()


def test_a_check_by_a_script_looks_for_no_causes(session):
    assert not session.explained
    assert session.progress < 0.0
