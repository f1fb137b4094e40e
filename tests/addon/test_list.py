# SPDX-License-Identifier: GPL-3.0-or-later
"""The list: its order, its filters, the worst on top, and the steps from line to line."""

from types import SimpleNamespace

import bpy
import pytest
import rigs
from drawn import fresh_session
from test_causes_panel import listed

# Title, group, whether major, place by size; in fixing order.
LINES = (
    ("Root: push", "body", True, 3),
    ("Head: pop", "head", True, 0),
    ("Left foot: slide", "legs", False, 5),
    ("Left hand: hitch", "arms", True, 1),
    ("Left hand: pop", "arms", True, 2),
    ("Boathook: edge on", "rest", False, 4),
)


@pytest.fixture
def session(ext):
    """A list of six, of the scene."""
    made = fresh_session(ext)
    made.scene_uid = str(bpy.context.scene.session_uid)
    ext.addon.ui.filters.show_all(made.filters)
    made.filters.order, made.filters.intended = "fixing", False
    for number, (title, group, major, place) in enumerate(LINES):
        line = made.findings.add()
        line.title, line.group, line.major, line.place = title, group, major, place
        line.frame, line.state = 10.0 + number, "new" if number % 2 else "unchanged"
    return made


@pytest.mark.parametrize(
    ("choice", "shown", "told"),
    [
        ({}, [0, 1, 2, 3, 4, 5], ""),
        ({"order": "size"}, [1, 3, 4, 0, 5, 2], ""),
        ({"major": True}, [0, 1, 3, 4], "2 findings filtered away: 2 minor."),
        (
            {"groups": {"arms", "legs"}, "major": True},
            [3, 4],
            "4 findings filtered away: 3 of other parts, 1 minor.",
        ),
        ({"state": "new"}, [1, 3, 5], "3 findings filtered away: 3 of another state."),
        (
            {"search": "left HAND", "order": "size"},
            [3, 4],
            "4 findings filtered away: 4 not what is searched.",
        ),
        ({"state": "back"}, [], "6 findings filtered away: 6 of another state."),
    ],
)
def test_filters_leave_out_and_say_how_many(ext, session, choice, shown, told):
    for name, value in choice.items():
        setattr(session.filters, name, value)
    assert listed(ext, session) == shown
    assert ext.addon.ui.filters.visible(session) == shown
    assert ext.addon.ui.filters.hidden_text(session) == told
    assert session.active in (shown or [0])  # what is read is in sight
    assert bpy.ops.plumbline.show_all() == {"FINISHED"}
    assert len(listed(ext, session)) == len(LINES)


def test_what_folds_is_shown_where_its_leader_is_not(ext, session):
    session.findings[2].leader, session.findings[0].folds, session.folding = 0, 1, True
    visible = ext.addon.ui.filters.visible
    assert visible(session) == [0, 1, 3, 4, 5]
    session.filters.groups = {"legs"}
    assert visible(session) == [2]
    session.filters.groups = {"legs", "body"}
    assert visible(session) == [0]
    session.filters.order = "size"
    assert visible(session) == [0, 2]


def test_the_worst_three_are_three_different_things_to_mend(ext, session):
    worst = ext.addon.ui.filters.worst
    assert worst(session) == [1, 3, 4]
    session.findings[3].leader = session.findings[4].leader = 2
    assert worst(session) == [1, 2, 0]  # the foot's cause takes both of the hand's
    session.findings[1].reason = "a joke"
    assert worst(session) == [2, 0, 5]
    session.findings.remove(1)
    session.findings.remove(0)
    session.findings.remove(0)
    assert worst(session) == []  # a list of three is as short


def test_steps_walk_as_the_list_shows_and_stop_at_its_ends(session):
    session.filters.order = "size"
    session.filters.groups = {"arms", "head", "rest"}
    walked = [session.active]
    while bpy.ops.plumbline.step() == {"FINISHED"}:
        walked.append(session.active)
        assert bpy.context.scene.frame_current == 10 + session.active
    assert walked == [1, 3, 4, 5]
    assert bpy.ops.plumbline.step(back=True) == {"FINISHED"}
    assert session.active == 4
    # What is kept as intended leaves the list and stays where it was read: between its neighbours.
    session.findings[4].reason = "a joke"
    assert bpy.ops.plumbline.step() == {"FINISHED"}
    assert session.active == 5
    session.active = 4
    assert bpy.ops.plumbline.step(back=True) == {"FINISHED"}
    assert session.active == 3
    session.filters.state = "back"
    with pytest.raises(RuntimeError, match="Press Show All first"):
        bpy.ops.plumbline.step()


def test_each_rig_keeps_its_answers(ext):
    session = fresh_session(ext)
    porter, clerk = rigs.biped("porter"), rigs.biped("clerk")
    rigs.spike(porter.pose.bones["head"], "rotation_euler", 0, 25, 0.5)
    session.rig = "porter"
    session.height_m = 1.9
    bpy.ops.plumbline.check()
    session.rig = "clerk"
    assert (session.headline, len(session.findings)) == ("", 0)
    assert not ext.addon.ui.last_check.last_check()
    bpy.ops.plumbline.check()
    assert session.headline.startswith("clerk, ")
    session.rig = "porter"
    assert session.headline.startswith("porter, ")
    assert [line.title for line in session.findings] == ["Head: pop"]
    assert session.height_m == pytest.approx(1.9)
    assert not ext.addon.ui.changes.why_old(bpy.context)
    clerk.pose.bones["head"].keyframe_insert("rotation_euler", frame=12)
    bpy.context.view_layer.update()
    for name in ("porter", "clerk"):
        session.rig = name
        assert ext.addon.ui.changes.why_old(bpy.context) == ext.addon.ui.changes.KEYS
    bpy.data.objects.remove(porter)
    session.rig = ""
    assert session.headline.startswith("clerk, ")


def test_only_so_many_rigs_are_remembered(ext):
    last_check, most = ext.addon.ui.last_check, ext.addon.ui.last_check.MOST
    last_check.clear()
    scene = bpy.context.scene
    made = [bpy.data.objects.new(f"rig {number}", None) for number in range(most + 1)]
    for item in made:
        last_check.remember(SimpleNamespace(shot=None), scene, item, (), None)
    kept = [last_check.check_of(scene, item) is not None for item in made]
    assert kept == [False] + [True] * most
    last_check.clear()
