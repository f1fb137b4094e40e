# SPDX-License-Identifier: GPL-3.0-or-later
"""Strips, constraints and drivers that are set otherwise make answers old, though all keys stay."""

import bpy
import pytest
import rigs

SETTINGS = "A strip, a constraint or a driver has changed: check again."


def rig():
    return bpy.data.objects["porter"]


def play_in_strips(item):
    """Push an object's action down into a strip, below a track that is empty."""
    data = item.animation_data
    action, slot = data.action, getattr(data, "action_slot", None)
    data.action = None
    strip = data.nla_tracks.new().strips.new("strip", 1, action)
    if slot is not None:
        strip.action_slot = slot
    data.nla_tracks.new()


@pytest.fixture
def old(ext):
    """Asks, after an update, why the answers are old of a biped that plays a strip."""
    made = rigs.biped()
    head = made.pose.bones["head"]
    rigs.spike(head, "rotation_euler", 0, 25, 0.5)
    play_in_strips(made)
    leader = rigs.cube("leader")
    rigs.key(leader, "location", [(0, 0, 0), (1, 0, 0), (2, 0, 0)])
    play_in_strips(leader)
    for name in ("set", "keyed", "driven"):
        constraint = head.constraints.new("COPY_ROTATION")
        constraint.name, constraint.target, constraint.influence = name, leader, 0.1
    strip().use_animated_influence = True
    let_through(1.0)
    rigs.key(head.constraints["keyed"], "influence", [0.1, 0.2, 0.3])
    head.constraints["driven"].driver_add("influence").driver.expression = "frame / 100"
    bpy.context.view_layer.update()
    bpy.ops.plumbline.check()

    def ask():
        bpy.context.view_layer.update()
        return ext.addon.ui.changes.why_old(bpy.context)

    assert ask() == ""
    return ask


def test_they_are_told_undo_makes_the_answers_good_again_and_redo_takes_them(old):
    for change in CHANGES:
        bpy.ops.ed.undo_push(message="before")
        change()
        assert old() == SETTINGS, change.__name__
        bpy.ops.ed.undo_push(message="changed")
        bpy.ops.ed.undo()
        assert old() == "", change.__name__
        bpy.ops.ed.redo()
        assert old() == SETTINGS, change.__name__
        bpy.ops.ed.undo()


def test_what_keys_and_drivers_play_and_what_moves_nothing_changes_nothing(old):
    scene = bpy.context.scene
    for frame in (10, 30):
        scene.frame_set(frame)
        head().location.x += 0.1
        rig().location.x += 0.1
        rig().update_tag()
        strip().name, strip().select = f"at {frame}", frame == 10
        assert old() == ""
    rig().animation_data.nla_tracks.new()
    rig().update_tag()
    assert old() == ""
    assert head().constraints["keyed"].influence != head().constraints["driven"].influence


def test_tweak_mode_tells_only_where_an_action_over_the_strips_rests(old):
    for name in ("leader", "porter"):  # which alone has one
        item = bpy.data.objects[name]
        data, above = item.animation_data, item.animation_data.action
        for on in (True, False):
            data.nla_tracks.active, strip(name).select = track(name), True
            data.use_tweak_mode = on
            item.update_tag()
            assert (data.action == strip(name).action) == on
            assert bool(old()) == (on and above is not None), name


def head():
    return rig().pose.bones["head"]


def track(name="porter"):
    return bpy.data.objects[name].animation_data.nla_tracks[0]


def strip(name="porter"):
    return track(name).strips[0]


def move():
    strip().frame_end += 5.0
    strip().frame_start += 5.0


def scale():
    strip().scale = 1.5


def turn_round():
    strip().use_reverse = True


def mute():
    strip().mute = True


def add():
    strip().blend_type = "ADD"


def let_through(share=0.5):
    curve = strip().fcurves.find("influence")
    curve.keyframe_points[0].co.y = share
    curve.update()
    rig().update_tag()


def mute_the_track():
    track().mute = True


def play_the_other_track_alone():
    rig().animation_data.nla_tracks[1].is_solo = True


def move_what_leads():
    strip("leader").frame_end += 5.0


def constrain_more():
    head().constraints["set"].influence = 0.7


def turn_less():
    head().constraints["set"].use_x = False


def mix_otherwise():
    head().constraints["set"].mix_mode = "ADD"


def drive_otherwise():
    rig().animation_data.drivers[0].driver.expression = "frame / 50"


CHANGES = (
    move,
    scale,
    turn_round,
    mute,
    add,
    let_through,
    mute_the_track,
    play_the_other_track_alone,
    move_what_leads,
    constrain_more,
    turn_less,
    mix_otherwise,
    drive_otherwise,
)
