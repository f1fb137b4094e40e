# SPDX-License-Identifier: GPL-3.0-or-later
"""The check as it is pressed: progress, Esc, what ends it, and answers as at once."""

from types import SimpleNamespace

import bpy
import pytest
import rigs
from added import Paper
from digest import difference, digest
from drawn import fresh_session
from sampled import unkeyed_edits
from searched import event, in_window, stand_in


@pytest.fixture
def checking(ext):
    return ext.addon.ui.checking


@pytest.fixture
def session(ext):
    """The session before a biped whose head pops is checked."""
    made = fresh_session(ext)
    rig = rigs.biped()
    rigs.spike(rig.pose.bones["head"], "rotation_euler", 0, 25, 0.5)
    return made


@pytest.fixture
def press(ext, checking, session, monkeypatch):
    """Presses Check: a frame a tick, and progress from the first on."""
    for name in ("READ_S", "JUDGE_S", "MOST_S", "QUIET_S"):
        monkeypatch.setattr(checking, name, 0.0)
    context, timers, told = in_window(monkeypatch, ext.addon.ui.stepped)

    def begin():
        me = stand_in(checking.PLUMBLINE_OT_check)
        done = me.invoke(context, None)

        def tick(kind="TIMER", value="NOTHING"):
            return me.modal(context, event(kind, value))

        return SimpleNamespace(me=me, tick=tick, done=done, timers=timers, told=told)

    yield begin
    ext.addon.ui.stepped.end_all()


def ticks(running, count=10_000):
    done = {"PASS_THROUGH"}
    while count and done == {"PASS_THROUGH"}:
        done, count = running.tick(), count - 1
    return done


def handlers():
    app = bpy.app.handlers
    return [len(each) for each in (app.depsgraph_update_post, app.undo_post, app.redo_post)]


def shown(checking):
    paper = Paper()
    paper.prop = lambda *_told, **_how: None  # Watch, beside it
    paper.progress = lambda *, factor, text, translate: paper.lines.append((text, factor))
    checking.draw_check(paper, bpy.context.window_manager.plumbline)
    return paper


def test_ticks_lead_to_the_answers_of_a_check_at_once(ext, checking, session, press):
    unkeyed_edits(bpy.data.objects["porter"])
    bpy.ops.plumbline.check()
    bpy.ops.plumbline.find_causes()  # as a check that is pressed does by itself
    expected = ext.addon.ui.last_check.last_check().examination.shot
    before, begun = digest(), handlers()
    running = press()
    assert running.done == {"RUNNING_MODAL"}
    assert running.tick("A", "PRESS") == {"PASS_THROUGH"}
    texts = []
    while running.tick() == {"PASS_THROUGH"}:
        texts += shown(checking).lines
        assert not [item for item in bpy.data.scenes if item.name.startswith(".")]
    assert ("Reading frames 20 of 40", pytest.approx(0.5 * (0.1 + 0.7 * 0.5))) in texts
    assert "Judging: slide" in dict(texts)
    assert [share for _text, share in texts] == sorted(share for _text, share in texts)
    assert difference(before, digest()) == {}
    assert handlers() == begun
    assert (running.timers, running.told[-1]) == (["on", "off"], None)
    shot = ext.addon.ui.last_check.last_check().examination.shot
    assert repr(shot) == repr(expected)
    assert not ext.addon.ui.changes.why_old(bpy.context)
    assert not shown(checking).lines


@pytest.mark.parametrize(
    ("at", "how"),
    [(1, "escape"), (20, "escape"), (42, "stop"), (43, "escape"), (60, "file"), (70, "off")],
)
def test_a_check_that_is_stopped_leaves_everything_as_it_was(ext, press, checking, at, how):
    bpy.ops.plumbline.check()
    kept = ext.addon.ui.last_check.last_check()
    before, begun = digest(), handlers()
    running = press()
    assert ticks(running, at) == {"PASS_THROUGH"}
    if how == "file":
        running.me.cancel(bpy.context)
    elif how == "off":
        ext.addon.ui.stepped.end_all()
    elif how == "stop":
        assert bpy.ops.plumbline.stop() == {"FINISHED"}
        assert running.tick() == {"CANCELLED"}
    else:
        assert running.tick("ESC", "PRESS") == {"CANCELLED"}
        assert running.me.reports == [checking.STOPPED]
    assert difference(before, digest()) == {}
    assert handlers() == begun
    assert running.timers == ["on", "off"]
    assert ext.addon.ui.last_check.last_check() is kept
    assert not bpy.ops.plumbline.stop.poll()
    assert not shown(checking).lines


def insert_a_key():
    bpy.data.objects["porter"].pose.bones["head"].keyframe_insert("rotation_euler", frame=12)


def pose_without_a_key():
    bpy.data.objects["porter"].pose.bones["spine"].rotation_euler.x = 0.3


def move_the_rig():
    bpy.data.objects["porter"].location.x = 1.0


def move_the_playhead():
    bpy.context.scene.frame_set(9)


def undo():
    bpy.ops.ed.undo_push(message="before")
    bpy.context.scene.frame_end = 41
    bpy.ops.ed.undo_push(message="range")
    bpy.ops.ed.undo()


@pytest.mark.parametrize(
    "change", [insert_a_key, pose_without_a_key, move_the_rig, move_the_playhead, undo]
)
def test_what_is_changed_while_frames_are_read_ends_it(ext, press, session, change):
    bpy.ops.plumbline.check()
    running = press()
    ticks(running, 10)
    change()
    bpy.context.view_layer.update()
    assert running.tick() == {"CANCELLED"}
    (sentence,) = running.me.reports
    assert sentence.endswith(": press Check again.")
    assert session.headline  # what was found before stands
    assert session.problem == ""
    assert running.timers == ["on", "off"]


def test_looking_around_and_selecting_end_nothing(press, session):
    rig = bpy.data.objects["porter"]
    bpy.context.view_layer.objects.active = rig
    bpy.ops.object.mode_set(mode="POSE")
    crate = rigs.cube("crate")
    bpy.context.view_layer.update()
    running = press()
    ticks(running, 10)
    bpy.ops.pose.select_all(action="SELECT")
    crate.select_set(True)
    crate.hide_set(True)
    bpy.context.view_layer.update()
    assert ticks(running) == {"FINISHED"}
    assert session.headline


def test_keys_that_change_while_it_is_judged_make_the_answers_old(ext, press, session):
    running = press()
    while not (running.told and running.told[-1].startswith("Judging")):
        running.tick()
    insert_a_key()
    bpy.context.view_layer.update()
    assert ticks(running) == {"FINISHED"}
    assert session.findings
    assert ext.addon.ui.changes.why_old(bpy.context) == ext.addon.ui.changes.KEYS


def test_a_second_press_begins_anew_and_a_search_waits(ext, press):
    bpy.ops.plumbline.check()
    first = press()
    ticks(first, 20)
    assert not bpy.ops.plumbline.find_causes.poll()
    second = press()
    assert first.tick() == {"CANCELLED"}
    assert ticks(second) == {"FINISHED"}
    assert first.timers == ["on", "on", "off", "off"]


def test_a_check_by_a_script_ends_the_one_that_runs(checking, press):
    running = press()
    ticks(running, 20)
    assert bpy.ops.plumbline.check() == {"FINISHED"}
    assert not shown(checking).lines
    assert running.tick() == {"CANCELLED"}


def test_what_cannot_be_checked_is_told_and_leaves_no_timer(press, session):
    bpy.data.objects["porter"].data.pose_position = "REST"
    running = press()
    assert ticks(running) == {"CANCELLED"}
    assert "Rest Position" in session.problem
    assert running.timers == ["on", "off"]
    session.rig = "nobody"
    assert press().done == {"CANCELLED"}
    assert "nobody" in session.problem


def test_while_something_is_dragged_it_waits(press):
    running = press()
    before = running.me._check.progress
    dragging = SimpleNamespace(bl_idname="TRANSFORM_OT_translate")
    window = SimpleNamespace(modal_operators=[dragging])
    context = SimpleNamespace(window=window)
    assert running.me.modal(context, event("TIMER")) == {"PASS_THROUGH"}
    assert running.me._check.progress is before
    assert ticks(running, 1) == {"PASS_THROUGH"}
    assert running.me._check.progress is not before
