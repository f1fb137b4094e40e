# SPDX-License-Identifier: GPL-3.0-or-later
"""What scenarios do with the panel over and over, and what they read of the shot."""

import bpy
from eyes import expect


def ready(hand):
    """In a file that was just opened: our tab, and neither body nor bones, as drawing these takes
    most of the time where there is no graphics card."""
    hide_body()
    overlay = hand.area.spaces.active.overlay
    overlay.show_bones = overlay.show_floor = False
    yield from hand.open_sidebar()


def check(hand):
    """Press Check and wait for the answer, without the search for causes."""
    hand.session.headline = ""
    yield from hand.click("plumbline.check")
    yield from hand.until(lambda: hand.session.headline, "Check gives no answer")
    yield from hand.away()
    yield from hand.press("Escape")
    yield from hand.until(
        lambda: hand.session.progress < 0.0, "Esc does not end the search for causes"
    )


def line_of(hand, title):
    """The list's line of that title; None where there is none."""
    return next((line for line in hand.session.findings if line.title == title), None)


def go_to_line(hand, title):
    """Click on the frame of the line of that title."""
    titles = [line.title for line in hand.session.findings]
    expect(title in titles, f"{title!r} is not in the list, only {titles}.")
    number = titles.index(title)
    yield from hand.click(f"plumbline.go_to(index={number})", columns=(0.13,))
    yield from hand.until(
        lambda: bpy.context.scene.frame_current == int(hand.session.findings[number].frame),
        f"The playhead does not go to the frame of {title!r}",
    )
    expect(hand.session.active == number, "Another line is read than was clicked.")


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


def open_panels(play, names=()):
    """Have panels of ours begin open, where a file is opened from now on: all, or those."""
    panels = [
        each
        for each in play.module("ui.registration").CLASSES
        if issubclass(each, bpy.types.Panel)
        and getattr(each, "bl_parent_id", "")
        and (not names or each.bl_idname in names)
    ]
    for each in reversed(panels):
        bpy.utils.unregister_class(each)
    for each in panels:
        each.bl_options = set(getattr(each, "bl_options", ())) - {"DEFAULT_CLOSED"}
        bpy.utils.register_class(each)
