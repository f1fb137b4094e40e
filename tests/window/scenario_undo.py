# SPDX-License-Identifier: GPL-3.0-or-later
"""Ctrl+Z leads back from finding to finding, and answers are as good after it as before; in the
file that scenario_check has checked."""

import bpy
from eyes import expect
from panel import go_to_line, selected_bones

RIG = "human"
NUDGED_M = 0.03


def undo_leads_back_from_finding_to_finding(play):
    """Two lines are clicked and two stepped to: Ctrl+Z goes back over them one click at a time."""
    hand = play.hand
    titles = [line.title for line in hand.session.findings]
    yield from go_to_line(hand, titles[0])
    first = where()
    yield from go_to_line(hand, titles[1])
    second = where()
    expect(first[1] == second[1] == "POSE", "Going to a finding does not enter Pose Mode.")
    yield from hand.away()
    yield from hand.press("alt+period")
    yield from hand.press("alt+period")
    yield from hand.until(lambda: hand.session.active == 3, "Alt . does not go on")
    yield from undo(hand, second)
    expect(hand.session.active == 1, "The finding that undo leads back to is not read.")
    yield from undo(hand, first)
    expect(not is_old(play), "Undoing moves in time makes the answers old.")


def undo_gives_the_answers_back(play):
    """A key is set: the answers are old until Ctrl+Z, and one stays at the finding."""
    hand = play.hand
    there, stood = where(), height()
    yield from hand.press("g", "z", "0", "period", "1", "Return")
    yield from hand.press_drawn("k")
    yield from hand.press("Return")
    yield from hand.until(lambda: is_old(play), "A new key makes nothing old")
    hand.capture("edited")
    for _ in range(2):  # the key, and the move before it
        yield from hand.press("ctrl+z")
    yield from hand.until(lambda: not is_old(play), "Undo leaves the answers old")
    yield from hand.until(lambda: height() == stood, "Undo leaves the control where it was put")
    expect(where() == there, f"After undoing an edit one is at {where()}, not at {there}.")


def where():
    """Frame, mode and selected bones."""
    rig = bpy.context.scene.objects[RIG]
    return bpy.context.scene.frame_current, rig.mode, selected_bones(rig)


def height():
    """How far up the selected control is."""
    return bpy.context.active_pose_bone.matrix.translation.z


def is_old(play):
    return bool(play.module("ui.changes").why_old(bpy.context))


def undo(hand, wanted):
    """Press Ctrl+Z once; one is where one was."""
    yield from hand.press("ctrl+z")
    yield from hand.until(
        lambda: where() == wanted,
        f"Ctrl+Z does not lead back to {wanted}",
    )


SCENARIOS = (undo_leads_back_from_finding_to_finding, undo_gives_the_answers_back)
