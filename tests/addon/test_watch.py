# SPDX-License-Identifier: GPL-3.0-or-later
"""Watch keeps the answers true after edits, waits where it would be in the way, and stops."""

from types import SimpleNamespace

import bpy
import numpy as np
import pytest
import rigs
from digest import difference, digest
from drawn import fresh_session


@pytest.fixture
def loop(ext):
    made = ext.addon.watch.loop
    yield made
    bpy.context.window_manager.plumbline.watch = False
    made.end()


@pytest.fixture
def session(ext, loop):
    """The session of a watched biped whose head pops, after its first check."""
    made = fresh_session(ext)
    rigs.spike(rigs.biped().pose.bones["head"], "rotation_euler", 0, 25, 0.5)
    rigs.set_range(17, 33)
    made.watch_told, made.watch = "", True
    loop.tick()
    assert made.findings
    return made


@pytest.fixture
def evaluated(ext, monkeypatch):
    """Counts the frames that are evaluated in temporary scenes."""
    stage, counted = ext.addon.sampling.stages.Stage, []
    go = stage.go

    def counting(self, frame, subframe=0.0):
        counted.append(frame)
        return go(self, frame, subframe)

    monkeypatch.setattr(stage, "go", counting)
    return counted


def edit(add=0.1, at=-1, name="head"):
    """Move a key of a bone."""
    path = f'pose.bones["{name}"].rotation_euler'
    curve = next(c for c in rigs.fcurves(bpy.data.objects["porter"]) if c.data_path == path)
    curve.keyframe_points[at].co_ui.y += add
    curve.update()
    curve.id_data.update_tag()
    bpy.context.view_layer.update()


def ticks(loop, most=100):
    """Look until an update is done; how often."""
    loop.tick()
    count = 1
    while loop.state().check is not None and count < most:
        loop.tick()
        count += 1
    return count


def answers(ext):
    """What is found, and the motion that it was found in."""
    check = ext.addon.ui.last_check.last_check()
    clip = check.examination.basis.clip
    arrays = {k: v.tobytes() for k, v in vars(clip).items() if isinstance(v, np.ndarray)}
    shot = check.examination.shot
    return repr([(f.check, f.frames, f.amount, f.says) for f in shot.findings]), arrays


def why_old(ext):
    return ext.addon.ui.changes.why_old(bpy.context)


def test_an_edit_brings_the_answers_of_a_check_up_to_date(ext, loop, session, evaluated):
    before = answers(ext)
    edit()
    unread = digest()
    assert why_old(ext)
    ticks(loop)
    watched = answers(ext)
    assert not why_old(ext)
    assert watched != before
    assert difference(unread, digest()) == {}
    few = len(evaluated)
    bpy.ops.plumbline.check()
    assert answers(ext) == watched
    assert 0 < few < len(evaluated) - few


def test_nothing_is_read_where_nothing_has_changed(ext, loop, session, evaluated):
    for curve in rigs.fcurves(bpy.data.objects["porter"]):
        curve.keyframe_points[0].select_control_point = True
        curve.id_data.update_tag()
    bpy.context.view_layer.update()
    bpy.context.scene.frame_set(12)
    check = ext.addon.ui.last_check.last_check().serial
    for _ in range(5):
        loop.tick()
    assert evaluated == []
    assert ext.addon.ui.last_check.last_check().serial == check


def test_what_is_told_counts_from_the_check_that_was_pressed(ext, loop, session):
    (popped,) = [line.finding for line in session.findings if line.finding.startswith("pop")]
    edit(-0.5, 3)  # the spike goes
    ticks(loop)
    assert len(session.fixed) == 1
    edit(0.01, 0)
    ticks(loop)
    assert len(session.fixed) == 1  # still, as nothing was pressed since
    kept = ext.addon.record.shots.pass_before(bpy.context.scene, bpy.data.objects["porter"])
    assert kept is ext.addon.ui.last_check.last_check().outcome.record  # what is saved
    bpy.ops.plumbline.check()
    assert len(session.fixed) == 1
    edit(0.5, 3)
    ticks(loop)
    assert [line.finding for line in session.findings if line.state == "back"] == [popped]


def test_switching_it_on_leaves_answers_that_are_true_as_they_are(ext, loop, session, evaluated):
    session.watch = False
    edit(-0.5, 3)
    bpy.ops.plumbline.check()
    assert len(session.fixed) == 1
    serial = ext.addon.ui.last_check.last_check().serial
    session.watch = True
    ticks(loop)
    assert len(session.fixed) == 1
    assert ext.addon.ui.last_check.last_check().serial == serial
    evaluated.clear()
    edit(0.01, -1)
    ticks(loop)
    assert len(session.fixed) == 0  # since the press
    assert 0 < len(evaluated) < 17


def test_updates_without_an_edit_between_them_come_to_an_end(ext, loop, session, monkeypatch):
    monkeypatch.setattr(loop, "why_old", lambda _context: "always")
    monkeypatch.setattr(loop, "MOST_TIMES", 2)
    first = ext.addon.ui.last_check.last_check().serial
    ticks(loop)
    for _ in range(20):
        loop.tick()
    assert ext.addon.ui.last_check.last_check().serial == first + 2


def test_ids_and_what_is_read_go_on_from_one_update_to_the_next(ext, loop, session):
    rig = bpy.data.objects["porter"]
    rigs.spike(rig.pose.bones["upper_arm.L"], "rotation_euler", 2, 20, 0.6)
    rig.animation_data.action.update_tag()  # stepping the scene has told of it
    bpy.context.view_layer.update()
    ticks(loop)
    new = [n for n, line in enumerate(session.findings) if line.state == "new"]
    session.active = new[0]
    name = session.findings[new[0]].finding
    for add in (0.01, 0.02):
        edit(add, 0, "thigh.R")
        ticks(loop)
        assert session.findings[session.active].finding == name


def test_what_is_kept_as_intended_stays_quiet(ext, loop, session):
    bpy.ops.plumbline.keep_intended(reason="as it is meant")
    edit(0.001, 0, "thigh.R")
    ticks(loop)
    assert session.findings[0].reason == "as it is meant"


def test_causes_that_are_still_right_are_kept_and_others_looked_for(ext, loop, session):
    def causes():
        shot = ext.addon.ui.last_check.last_check().examination.shot
        return [finding.causes for finding in shot.findings]

    bpy.ops.plumbline.find_causes()
    known = causes()
    assert known[0]
    edit(0.05, -1, "upper_arm.L")
    ticks(loop)
    assert session.explained
    assert causes() == known
    edit(0.1, 3)  # the spike itself
    ticks(loop)
    assert not session.explained
    assert not any(causes())
    loop.tick()
    assert session.explained
    assert any(causes())


def test_advice_of_causes_that_are_kept_is_told_once(ext, loop, session):
    rig = bpy.data.objects["porter"]
    rigs.spike(rig.pose.bones["upper_arm.L"], "rotation_euler", 2, 20, 0.6)
    bpy.ops.plumbline.check()
    bpy.ops.plumbline.find_causes()
    line = next(line for line in session.findings if line.title == "Head: pop")
    name, told = line.finding, line.mend
    assert told.count("Change head's") == 1
    for add in (0.05, 0.06):
        edit(add, 1, "upper_arm.L")  # another one's key: that one's causes are looked for again
        ticks(loop)
        loop.tick()
        assert session.explained
        assert next(line.mend for line in session.findings if line.finding == name) == told


def test_what_is_read_and_mended_leads_to_its_parts_next_line_or_nowhere(ext, loop, session):
    rig = bpy.data.objects["porter"]
    rigs.spike(rig.pose.bones["upper_arm.L"], "rotation_euler", 2, 30, 0.6)
    bpy.ops.plumbline.check()
    titles = [line.title for line in session.findings]
    assert "Head: pop" in titles
    assert len(titles) > 1
    session.active = titles.index("Head: pop")
    edit(-0.5, 3)  # the spike goes
    ticks(loop)
    assert "Head: pop" not in [line.title for line in session.findings]
    assert session.active == -1
    assert ext.addon.ui.causes_session.chosen_finding(bpy.context) is None
    edit(0.01, 0, "thigh.R")
    ticks(loop)
    assert session.active == -1
    bpy.ops.plumbline.check()
    assert session.active == -1
    edit(0.5, 3)
    ticks(loop)
    titles = [line.title for line in session.findings]
    session.active = titles.index("Head: pop")
    line = session.findings[session.active]
    shown = ext.addon.ui.shown
    session.active = -1
    shown._read_again(session, shown._Read("gone", "Head", line.frame + 12))
    assert session.findings[session.active].title == "Head: pop"
    shown._read_again(session, shown._Read("gone", "Head", line.frame + 13))
    assert session.active == -1
    session.watch = False
    shown._read_again(session, shown._Read("gone", "Head", line.frame + 13))
    assert session.active == 0


@pytest.mark.parametrize("how", ["plays", "drags"])
def test_it_waits_while_the_animation_plays_or_something_is_dragged(
    ext, loop, session, evaluated, monkeypatch, how
):
    edit()
    with monkeypatch.context() as patched:
        if how == "plays":
            patched.setattr(loop, "is_playing", lambda _context: True)
        else:
            patched.setattr(loop, "is_dragging", lambda _window: True)
        patched.setattr(loop, "LATE_S", -1.0)
        ticks(loop, 5)
        assert evaluated == []
        told = ext.addon.watch.state.why_shown(bpy.context)
        assert told == ("" if how == "drags" else ext.addon.watch.state.WAITS)
    ticks(loop)
    assert evaluated
    assert not why_old(ext)
    assert not ext.addon.watch.state.why_shown(bpy.context)


def test_it_rests_after_an_edit_and_an_edit_ends_an_update(ext, loop, session, monkeypatch):
    rested = [1000.0]
    monkeypatch.setattr(loop, "_rest", lambda _seconds: rested[0])
    edit()
    ticks(loop, 5)
    assert why_old(ext)
    rested[0] = 0.0
    monkeypatch.setattr(loop, "MOST_S", 0.0)
    loop.tick()
    loop.tick()
    assert loop.state().check is not None
    edit()
    loop.tick()
    assert loop.state().check is None
    assert why_old(ext)
    monkeypatch.setattr(loop, "MOST_S", 0.1)
    ticks(loop)
    assert not why_old(ext)


def test_a_shot_that_is_too_heavy_ends_it_with_a_sentence(ext, loop, session, monkeypatch):
    monkeypatch.setattr(loop, "HEAVY_S", -1.0)
    edit()
    ticks(loop)
    assert session.watch
    edit()
    ticks(loop)
    assert not session.watch
    assert session.watch_told.startswith("Watch is off: an update of this shot takes ")
    session.watch = True
    assert session.watch_told == ""


def test_a_shot_that_only_a_second_blender_can_read_ends_it(ext, loop, session):
    numbers = (bpy.context.scene.session_uid, bpy.data.objects["porter"].session_uid)
    ext.addon.watch.readings.keep(numbers, None, None)
    ticks(loop)
    assert not session.watch
    assert session.watch_told == loop.SECOND


def remove_the_rig():
    bpy.data.objects.remove(bpy.data.objects["porter"])


def another_scene():
    bpy.context.window.scene = bpy.data.scenes.new("other")


def another_file():
    bpy.ops.wm.read_homefile(use_empty=True)


@pytest.mark.parametrize(
    ("change", "amidst"),
    [(remove_the_rig, False), (remove_the_rig, True), (another_scene, True), (another_file, True)],
)
def test_where_nothing_is_to_be_watched_it_is_quiet(
    ext, loop, session, monkeypatch, change, amidst
):
    monkeypatch.setattr(loop, "MOST_S", 0.0)
    if amidst:
        edit()
        ticks(loop, 4)
        assert loop.state().check is not None
    change()
    bpy.context.view_layer.update()
    ticks(loop, 10)
    session = bpy.context.window_manager.plumbline
    assert session.watch_told == ""
    assert session.watch is (change is not another_file)
    if change is another_file:
        assert loop.state().check is None


def test_undo_brings_the_answers_back(ext, loop, session):
    bpy.ops.ed.undo_push(message="before")
    before = answers(ext)
    edit()
    bpy.ops.ed.undo_push(message="edited")
    ticks(loop)
    assert answers(ext) != before
    bpy.ops.ed.undo()
    bpy.context.view_layer.update()
    ticks(loop)
    assert answers(ext) == before


def test_what_cannot_be_measured_is_told_and_the_next_edit_is_tried(ext, loop, session):
    rig = bpy.data.objects["porter"]
    rig.data.pose_position = "REST"
    edit()
    ticks(loop)
    assert "Rest Position" in session.problem
    rig.data.pose_position = "POSE"
    edit()
    ticks(loop)
    assert session.problem == ""
    assert session.findings


def test_an_error_of_its_own_ends_it_with_a_sentence(ext, loop, session, monkeypatch, capfd):
    def fails(*_told):
        raise RuntimeError("odd")

    monkeypatch.setattr(loop, "why_old", fails)
    assert loop.tick() is None
    assert session.watch_told == loop.FAILED
    assert "odd" in capfd.readouterr().err


def test_the_window_that_shows_the_scene_is_looked_at(loop, session, monkeypatch):
    other = SimpleNamespace(scene=SimpleNamespace(session_uid=-1))
    mine = SimpleNamespace(scene=SimpleNamespace(session_uid=loop.state().scene_uid))
    manager = SimpleNamespace(windows=[other, mine])
    monkeypatch.setattr(loop.bpy, "context", SimpleNamespace(window_manager=manager))
    assert loop._window() is mine
