# SPDX-License-Identifier: GPL-3.0-or-later
"""Check by mouse on the Rigify human: the list is filled, and a click on a line goes there."""

from pathlib import Path

import bpy
from digest import difference, digest
from eyes import expect
from panel import go_to_line, ready, selected_bones, selected_key_frames

HUMAN = Path("human.blend")
# What demo_scenes/rigify_jump/faults.py plants with one key: where, when, with which control.
PLANTED = (("Right hand: pop", 23, "hand_ik.R"), ("Root: pop", 12, "torso"))
# So many frames that half of them take seconds on any machine: the shot's own take less than one.
LONG = 400
# A picture takes a while: it is taken before Esc has to come in time, and after it is drawn.
PICTURED, HALF_WAY, LOOK_S, DRAWN_S = 0.1, 0.4, 0.05, 0.4
# What a check shows, and what looking at the sidebar changes, is no part of the shot.
_OF_THE_SCREEN = ("screens", "window_managers", "workspaces", "brushes", "palettes")


def esc_half_way(play):
    """Check shows how far it has come; Esc half way leaves the scene as it was, and no list."""
    hand, seen, pictured = play.hand, [], False
    yield HUMAN
    yield from ready(hand)
    scene = bpy.context.scene
    last, scene.frame_end = scene.frame_end, LONG
    before, running = digest(), play.module("ui.stepped").is_running
    yield from hand.click("plumbline.check")
    yield from hand.away()
    yield from hand.until(lambda: running("check"), "A click on Check begins nothing")
    while running("check"):
        seen += [shown.share for shown in play.module("ui.checking")._shown]
        expect(len(bpy.data.scenes) == 1, "Between two steps a scene of ours is in the file.")
        if seen and seen[-1] >= PICTURED and not pictured:
            yield DRAWN_S
            hand.capture("progress")
            pictured = True
        if seen and seen[-1] >= HALF_WAY:
            break
        yield LOOK_S
    expect(running("check"), f"Check was over before half of it was shown, only {seen}.")
    expect(seen == sorted(seen), f"The progress goes back: {seen}.")
    yield from hand.press("Escape")
    yield from hand.until(lambda: not running("check"), "Esc does not end the check")
    yield from hand.drawn()
    changed = of_the_shot(difference(before, digest()))
    expect(not changed, f"The check that was stopped changed the scene: {short(changed)}")
    expect(not hand.session.findings, f"There is a list though Esc came at {seen[-1]:.2f}.")
    scene.frame_end = last


def check_by_mouse(play):
    """A click on Check fills the list and changes nothing of the scene."""
    hand = play.hand
    before = digest()
    yield from hand.click("plumbline.check")
    yield from hand.until(lambda: hand.session.findings, "Check was pressed, and no list came")
    yield from hand.away()
    yield from hand.press("Escape")
    yield from hand.until(
        lambda: hand.session.progress < 0.0, "Esc does not end the search for causes"
    )
    changed = of_the_shot(difference(before, digest()))
    expect(not changed, f"Check changed the scene: {short(changed)}")
    hand.capture("list")


def a_line_goes_to_its_key(play):
    """A click on a line's frame moves the playhead there, and selects the control and its key."""
    hand = play.hand
    for title, frame, control in PLANTED:
        yield from go_to_line(hand, title)
        expect(
            bpy.context.scene.frame_current == frame,
            f"{title!r} is planted on frame {frame} and found on another.",
        )
        rig = bpy.context.object
        yield from hand.until(
            lambda rig=rig, control=control: selected_bones(rig) == [control],
            f"{title!r} should select {control} alone",
        )
        frames = selected_key_frames(rig, control)
        expect(frames == {frame}, f"{title!r} should select the key at {frame}, not {frames}.")
    hand.capture("gone_to")


def of_the_shot(changed):
    """Changes without those of the screen."""
    return {k: v for k, v in changed.items() if not k.startswith(_OF_THE_SCREEN)}


def short(changed):
    return dict(list(changed.items())[:4])


SCENARIOS = (esc_half_way, check_by_mouse, a_line_goes_to_its_key)
