# SPDX-License-Identifier: GPL-3.0-or-later
"""The root pass by mouse: a ball is put on the root, looked at alone and upright, checked, made
right, and handed back."""

from pathlib import Path

import bpy
from eyes import expect
from panel import go_to_line, object_fcurves, open_panels, ready

SIDESTEP = Path("sidestep.blend")
PANELS = (
    "PLUMBLINE_PT_sphere",
    "PLUMBLINE_PT_sphere_arcs",
    "PLUMBLINE_PT_sphere_hand_back",
    "PLUMBLINE_PT_sphere_again",
)
# Where the body is furthest out and turns around in one frame, and frames around that.
EXTREME, AROUND = 28, (20, 36)


def the_root_pass(play):
    """A ball is baked, hidden around, turned upright, checked and mended; then the body goes as it
    does, and undo takes that back."""
    hand = play.hand
    open_panels(play, PANELS)
    yield SIDESTEP
    yield from ready(hand)
    rig = bpy.data.objects["porter"]
    yield from hand.click("plumbline.bake_sphere")
    yield from hand.until(balls, "Bake makes no ball")
    (ball,) = balls()
    yield from alone_and_back(hand)
    yield from hand.click("plumbline.turn_upright(axis='SIDE')")
    yield from hand.until(copies, "Sideways makes no upright copy")
    yield from hand.click("plumbline.check_ball")
    yield from hand.until(lambda: hand.session.headline, "The ball is not checked")
    yield from hand.drawn()
    turn = [line for line in hand.session.findings if line.title == "Ball: hang time"]
    expect(turn, f"The turn is not told, only {[each.title for each in hand.session.findings]}.")
    expect(abs(turn[0].frame - EXTREME) <= 1, f"The turn is told at {turn[0].frame}.")
    yield from go_to_line(hand, "Ball: hang time")
    yield from hand.drawn()
    hand.capture("ball_first")
    yield from polished(hand, ball)
    hand.capture("ball_polished")
    before = root_at(rig, EXTREME + 1)
    yield from hand.click("plumbline.hand_back_sphere")
    yield from hand.until(
        lambda: (root_at(rig, EXTREME + 1) - before).length > 0.005, "Hand Back moves no control"
    )
    yield from hand.drawn()
    hand.capture("handed_back")
    after = (root_at(rig, EXTREME + 1) - ball_at(ball, EXTREME + 1)).length
    expect(after < 1e-3, f"After Hand Back the control is {after} off the ball.")
    yield from hand.away()
    yield from hand.press("ctrl+z")
    yield from hand.until(
        lambda: (root_at(bpy.data.objects["porter"], EXTREME + 1) - before).length < 1e-5,
        "Undo does not take Hand Back back",
    )


def alone_and_back(hand):
    """Hide all but the ball by mouse, and show it again."""
    before = seen()
    yield from hand.click("plumbline.hide_rest")
    yield from hand.until(lambda: seen() < before, "Hide the Rest hides nothing")
    yield from hand.drawn()
    hand.capture("ball_alone")
    yield from hand.click("plumbline.show_again")
    yield from hand.until(lambda: seen() == before, "Show Again does not show what was there")


def polished(hand, ball):
    """With Watch on, the keys of the ball's way to the side are taken out around the extreme, so
    that it has time there: the turn goes from the list."""
    yield from hand.click("plumbline.watch", columns=(0.75,))
    yield from hand.until(lambda: hand.session.watch, "A click does not switch Watch on")
    curve = next(each for each in object_fcurves(ball) if each.array_index == 0)
    frames = {round(key.co.x): key for key in curve.keyframe_points}
    for frame in range(AROUND[1], AROUND[0], -1):
        if frame in frames and frame != EXTREME:
            key = next(each for each in curve.keyframe_points if round(each.co.x) == frame)
            curve.keyframe_points.remove(key, fast=True)
    for key in curve.keyframe_points:
        if AROUND[0] <= key.co.x <= AROUND[1]:
            key.interpolation = "BEZIER"
            key.handle_left_type = key.handle_right_type = "AUTO_CLAMPED"
    curve.update()
    ball.animation_data.action.update_tag()
    yield from hand.until(
        lambda: "Ball: hang time" not in [line.title for line in hand.session.findings],
        "Watch does not follow the ball's keys",
    )
    yield from hand.click("plumbline.watch", columns=(0.75,))


def balls():
    """The balls of the scene."""
    return [item for item in bpy.context.scene.objects if "plumbline_sphere_of" in item]


def copies():
    """The upright copies of balls."""
    return [item for item in bpy.context.scene.objects if "plumbline_upright_of" in item]


def seen():
    return {item.name for item in bpy.context.view_layer.objects if item.visible_get()}


def root_at(rig, frame):
    """Where the body's control is on a frame, in the scene; the playhead goes back."""
    scene = bpy.context.scene
    kept = scene.frame_current
    scene.frame_set(frame)
    place = rig.matrix_world @ rig.pose.bones["body"].matrix.translation
    scene.frame_set(kept)
    return place


def ball_at(ball, frame):
    scene = bpy.context.scene
    kept = scene.frame_current
    scene.frame_set(frame)
    place = ball.matrix_world.translation.copy()
    scene.frame_set(kept)
    return place


SCENARIOS = (the_root_pass,)
