# SPDX-License-Identifier: GPL-3.0-or-later
"""Check by mouse on the Rigify human: the list is filled, and a click on a line goes there."""

from pathlib import Path

import bpy
from digest import difference, digest
from hand import expect

HUMAN = Path("human.blend")
# What demo_scenes/rigify_jump/faults.py plants with one key: where, when, with which control.
PLANTED = (("Right hand: pop", 23, "hand_ik.R"), ("Root: pop", 12, "torso"))
# What a check shows, and what looking at the sidebar changes, is no part of the shot.
_OF_THE_SCREEN = ("screens", "window_managers", "workspaces", "brushes", "palettes")


def check_by_mouse(play):
    """A click on Check fills the list and changes nothing of the scene."""
    hand = play.hand
    yield HUMAN
    hide_body()  # drawing it takes most of the time where there is no graphics card
    yield from hand.open_sidebar()
    before = digest()
    yield from hand.click("plumbline.check")
    yield from hand.until(lambda: hand.session.findings, "Check was pressed, and no list came")
    yield from hand.away()
    yield from hand.press("Escape")
    yield from hand.until(
        lambda: hand.session.progress < 0.0, "Esc does not end the search for causes", seconds=10
    )
    changed = of_the_shot(difference(before, digest()))
    expect(not changed, f"Check changed the scene: {short(changed)}")
    hand.capture("list")


def a_line_goes_to_its_key(play):
    """A click on a line's frame moves the playhead there, and selects the control and its key."""
    hand = play.hand
    for title, frame, control in PLANTED:
        lines = hand.session.findings
        number = next((n for n, line in enumerate(lines) if line.title == title), None)
        expect(number is not None, f"{title!r} is planted and not in the list.")
        yield from hand.click(f"plumbline.go_to(index={number})", columns=(0.13,))
        yield from hand.until(
            lambda frame=frame: bpy.context.scene.frame_current == frame,
            f"The playhead does not go to frame {frame} of {title!r}",
            seconds=10,
        )
        expect(hand.session.active == number, "Another line is read than was clicked.")
        rig = bpy.context.object
        yield from hand.until(
            lambda rig=rig, control=control: selected_bones(rig) == [control],
            f"{title!r} should select {control}, not {selected_bones(rig)}",
            seconds=5,
        )
        frames = selected_key_frames(rig, control)
        expect(frames == {frame}, f"{title!r} should select the key at {frame}, not {frames}.")
    hand.capture("gone_to")


def selected_bones(rig):
    return [
        bone.name
        for bone in rig.pose.bones
        if (bone.select if hasattr(bone, "select") else bone.bone.select)
    ]


def selected_key_frames(rig, control):
    """Frames of the control's keys that are selected in the editors."""
    curves = [c for c in object_fcurves(rig) if c.data_path.startswith(f'pose.bones["{control}"]')]
    keys = [key for curve in curves for key in curve.keyframe_points]
    return {round(key.co.x, 2) for key in keys if key.select_control_point}


def object_fcurves(rig):
    """The curves of the rig's action, in every version of Blender."""
    data = rig.animation_data
    if hasattr(data.action, "fcurves"):
        return list(data.action.fcurves)
    strips = [strip for layer in data.action.layers for strip in layer.strips]
    bags = [strip.channelbag(data.action_slot) for strip in strips]
    return [curve for bag in bags if bag for curve in bag.fcurves]


def hide_body():
    for item in bpy.context.view_layer.objects:
        if item.type == "MESH":
            item.hide_set(True)


def of_the_shot(changed):
    """Changes without those of the screen."""
    return {k: v for k, v in changed.items() if not k.startswith(_OF_THE_SCREEN)}


def short(changed):
    return dict(list(changed.items())[:4])


SCENARIOS = (check_by_mouse, a_line_goes_to_its_key)
