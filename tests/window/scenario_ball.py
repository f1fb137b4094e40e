# SPDX-License-Identifier: GPL-3.0-or-later
"""The root pass by mouse: a ball is put on the root, looked at alone and upright, checked, made
right, and handed back."""

from pathlib import Path

import bpy
from drawn import redrawing, switch, usual_layers
from eyes import expect
from panel import go_to_line, line_of, object_fcurves, open_panels, ready
from pictures import other
from pictures import seen as seen_in_view
from scenario_layers import at_its_places
from scenario_watch import graph_editor, over

SIDESTEP = Path("sidestep.blend")
PANELS = (
    "PLUMBLINE_PT_sphere",
    "PLUMBLINE_PT_sphere_arcs",
    "PLUMBLINE_PT_sphere_hand_back",
    "PLUMBLINE_PT_sphere_again",
)
# Where the body is furthest out and turns around in one frame, and the keys that make it do so; and
# how far its stray key is off at the least, which is mended last.
EXTREME, NEAR, MOVED_M = 28, 3.0, 0.02
TURN, POP, LAYER = "Ball: hang time", "Ball: pop", "upright"


def the_root_pass(play):
    """A ball is baked with few keys, seen alone and upright, checked, and mended line by line while
    Watch looks on; then the body goes as it does, and undo takes that back."""
    hand = play.hand
    open_panels(play, PANELS)
    yield SIDESTEP
    yield from ready(hand)
    rig = bpy.data.objects["porter"]
    yield from few_keys(hand)
    yield from hand.click("plumbline.bake_sphere")
    yield from hand.until(balls, "Bake makes no ball")
    (ball,) = balls()
    count = len(object_fcurves(ball)[0].keyframe_points)
    expect(count < bpy.context.scene.frame_end / 2, f"The ball has {count} keys.")
    yield from alone_and_back(hand)
    yield from hand.click("plumbline.turn_upright(axis='SIDE')")
    yield from hand.until(copies, "Sideways makes no upright copy")
    yield from hand.click("plumbline.ball_check")
    yield from hand.until(lambda: hand.session.headline, "The ball is not checked")
    yield from hand.until(lambda: hand.session.explained, "The ball's causes are not found")
    turn = line_of(hand, TURN)
    expect(turn, f"The turn is not told, only {[each.title for each in hand.session.findings]}.")
    expect(abs(turn.frame - EXTREME) <= 1, f"The turn is told at {turn.frame}.")
    yield from arcs_are_drawn(play)
    yield from hand.click("plumbline.watch", columns=(0.75,))
    yield from hand.until(lambda: hand.session.watch, "A click does not switch Watch on")
    yield from turn_gets_time(hand, rig, ball)
    yield from mended(hand, POP)
    hand.capture("ball_polished")
    yield from hand.click("plumbline.watch", columns=(0.75,))
    before = root_at(rig)
    yield from hand.click("plumbline.hand_back_sphere")
    yield from hand.until(
        lambda: (root_at(rig) - before).length > MOVED_M, "Hand Back moves no control"
    )
    yield from hand.drawn()
    hand.capture("handed_back")
    told = play.module("sphere.hand_back.told").told_after(ball)
    expect(len(told) == 1, f"Hand Back tells of feet that do not stay: {told[1:]}.")
    off = (root_at(rig) - ball.matrix_world.translation).length
    expect(off < 1e-4, f"After Hand Back the control is {off} off the ball.")
    yield from hand.away()
    yield from hand.press("ctrl+z")
    yield from hand.until(
        lambda: (root_at(bpy.data.objects["porter"]) - before).length < 1e-5,
        "Undo does not take Hand Back back",
    )


def arcs_are_drawn(play):
    """The layer of the ball's arcs draws where its data lie."""
    hand = play.hand
    yield from go_to_line(hand, TURN)
    yield from hand.drawn()
    with usual_layers(play), redrawing(play) as redraws:
        switch(play)
        none = yield from seen_in_view(hand, redraws)
        switch(play, LAYER)
        drawn = other((yield from seen_in_view(hand, redraws)), none)
        at_its_places(play, LAYER, drawn)


def few_keys(hand):
    """Choose in the panel that the ball has keys where it needs some."""
    yield from hand.click_opens("sphere.keys", columns=(0.7,))
    yield from hand.press("w")  # the menu's second line: where the root has keys
    yield from hand.until(
        lambda: hand.session.sphere.keys == "NEEDED", "The menu of keys does not choose"
    )
    yield from hand.drawn()


def turn_gets_time(hand, rig, ball):
    """Take the keys at the extreme out in the Graph Editor: Watch takes the turn from the list."""
    yield from go_to_line(hand, TURN)
    yield from hand.drawn()
    hand.capture("ball_turn")
    with graph_editor(hand) as (area, region):
        yield from over(hand, area, region)
        for item in (rig, ball):
            for curve in object_fcurves(item):
                for key in curve.keyframe_points:
                    meant = item == ball and abs(key.co.x - EXTREME) < NEAR
                    key.select_control_point = meant
                    key.select_left_handle = key.select_right_handle = meant
        yield from hand.press("Delete")
        yield from hand.until(
            lambda: (
                not any(
                    abs(key.co.x - EXTREME) < NEAR
                    for key in object_fcurves(ball)[0].keyframe_points
                )
            ),
            "Delete takes no keys out",
        )
    yield from hand.until(
        lambda: line_of(hand, TURN) is None, "Watch does not take the turn from the list"
    )


def mended(hand, title):
    """Read a line, and move its key where it is suggested: Watch takes the line away."""
    yield from hand.open_sidebar()
    yield from go_to_line(hand, title)
    yield from hand.until(lambda: hand.session.explained, f"{title!r} has no cause")
    yield from hand.drawn()
    hand.capture(title.replace(": ", "_").replace(" ", "_").lower())
    yield from hand.click("plumbline.move_key")
    yield from hand.until(
        lambda: line_of(hand, title) is None, f"{title!r} stays, though its key was moved"
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


def balls():
    """The balls of the scene."""
    return [item for item in bpy.context.scene.objects if "plumbline_sphere_of" in item]


def copies():
    """The upright copies of balls."""
    return [item for item in bpy.context.scene.objects if "plumbline_upright_of" in item]


def seen():
    return {item.name for item in bpy.context.view_layer.objects if item.visible_get()}


def root_at(rig):
    """Where the body's control is in the scene, on the frame that is shown."""
    return rig.matrix_world @ rig.pose.bones["body"].matrix.translation


SCENARIOS = (the_root_pass,)
