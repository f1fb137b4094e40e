# SPDX-License-Identifier: GPL-3.0-or-later
"""Keys that are given back make answers new again; what moves nothing makes none old."""

from types import SimpleNamespace

import bpy
import pytest
import rigs
from drawn import checked_session

KEYS = "Keys have changed: check again."


@pytest.fixture
def old(ext):
    """Asks, after an update, whether the answers of a biped's check are old."""
    checked_session(ext)

    def ask():
        bpy.context.view_layer.update()
        return ext.addon.ui.changes.why_old(bpy.context)

    assert not ask()
    return ask


def rig():
    return bpy.data.objects["porter"]


def curve():
    return rigs.fcurves(rig())[0]


def move_a_key(to=7.0):
    curve().keyframe_points[1].co.y = to
    curve().update()


def insert_a_key():
    rig().pose.bones["head"].keyframe_insert("rotation_euler", frame=12)


def switch_the_action():
    data = rig().animation_data
    slot = getattr(data, "action_slot", None)
    data.action = data.action.copy()
    if slot is not None:
        data.action_slot = data.action.slots[slot.identifier]


def take_the_action_off():
    rig().animation_data.action = None


def key_another_object():
    rigs.key(rigs.cube("crate"), "location", [(0, 0, 0), (1, 0, 0), (2, 0, 0)])


def shake_a_curve():
    curve().modifiers.new("NOISE").strength = 0.2
    rig().animation_data.action.update_tag()


def mute_a_curve():
    curve().mute = True
    rig().animation_data.action.update_tag()


def step(change):
    """A change as a step of undo."""
    bpy.ops.ed.undo_push(message="before")
    change()
    bpy.ops.ed.undo_push(message="changed")


CHANGES = [
    insert_a_key,
    move_a_key,
    switch_the_action,
    take_the_action_off,
    key_another_object,
    shake_a_curve,
    mute_a_curve,
]


@pytest.mark.parametrize("change", CHANGES)
def test_undo_gives_the_answers_back_and_redo_takes_them(old, change):
    step(change)
    assert old() == KEYS
    bpy.ops.ed.undo()
    assert not old()
    bpy.ops.ed.redo()
    assert old() == KEYS


def test_a_key_that_is_moved_back_is_no_change(old):
    before = curve().keyframe_points[1].co.y
    move_a_key()
    assert old() == KEYS
    move_a_key(before)
    assert not old()


def test_an_action_that_is_given_back_is_no_change(old):
    data = rig().animation_data
    action, slot = data.action, getattr(data, "action_slot", None)
    action.use_fake_user = True
    take_the_action_off()
    assert old() == KEYS
    data.action = action
    if slot is not None:
        data.action_slot = slot
    assert not old()


def test_after_a_check_of_another_action_nothing_is_old(old):
    move_a_key()
    switch_the_action()
    assert old() == KEYS
    bpy.ops.plumbline.check()
    assert not old()


def test_the_range_of_an_action_tells_only_where_it_is_in_use(old):
    action = rig().animation_data.action
    for on in (True, False):
        action.use_frame_range = on
        action.update_tag()
        assert bool(old()) == on


def select_keys():
    for each in rigs.fcurves(rig()):
        each.select = each.keyframe_points[1].select_control_point = True
    rig().animation_data.action.update_tag()


def keep_as_intended_and_undo():
    rigs.spike(rig().pose.bones["head"], "rotation_euler", 0, 25, 0.5)
    bpy.ops.plumbline.check()
    step(lambda: bpy.ops.plumbline.keep_intended(reason="a sneeze"))
    bpy.ops.ed.undo()


def select_and_undo():
    bpy.ops.object.mode_set(mode="OBJECT")
    step(lambda: rig().select_set(False))
    bpy.ops.ed.undo()


@pytest.mark.parametrize("change", [select_keys, keep_as_intended_and_undo, select_and_undo])
def test_what_moves_nothing_leaves_the_answers_as_they_are(old, change):
    change()
    assert not old()


@pytest.fixture
def window(ext, monkeypatch):
    """As with a window, where comparing waits: what looks later, and what was compared."""
    since, timers, compared = ext.addon.ui.keys_since, [], []
    app = SimpleNamespace(
        background=False,
        timers=SimpleNamespace(
            is_registered=lambda call: call in timers,
            register=lambda call, first_interval: timers.append(call),
            unregister=timers.remove,
        ),
    )
    stand_in = SimpleNamespace(app=app, data=bpy.data, types=bpy.types)
    monkeypatch.setattr(since, "bpy", stand_in)
    told = since.players_in
    monkeypatch.setattr(since, "players_in", lambda *some: compared.append(some) or told(*some))
    return SimpleNamespace(timers=timers, compared=compared, since=since)


def test_while_keys_are_dragged_they_are_compared_once(old, window, monkeypatch):
    before = curve().keyframe_points[1].co.y
    for way in range(10):
        move_a_key(7.0 + way)
        assert old() == KEYS
    assert (len(window.compared), len(window.timers)) == (1, 1)
    move_a_key(before)
    assert old() == KEYS
    (look,) = window.timers
    assert 0.0 < look() <= window.since.REST_S
    monkeypatch.setattr(window.since, "REST_S", 0.0)
    assert look() is None
    assert not old()
