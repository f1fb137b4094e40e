# SPDX-License-Identifier: GPL-3.0-or-later
"""What is kept as intended outlives the session until its motion changes; ids outlive edits."""

import shutil
from pathlib import Path

import bpy
from eyes import expect
from panel import check, go_to_line, line_of, object_fcurves, ready

HUMAN, KEPT = Path("human.blend"), Path("kept.blend")
# One key on this control makes this finding.
HAND, CONTROL, FRAME = "Right hand: pop", "hand_ik.R", 23
REASON = "He waves off a fly"
MOVED_M = 0.05
# Frames that are put in, after this one; and a small edit elsewhere.
INSERTED, AFTER, NUDGED_RAD = 3, 28, 0.02


def intended_outlives_the_session(play):
    """Kept as intended, it is quiet, also after saving and opening the file again."""
    hand = play.hand
    scenes = play.folder / "scenes"
    shutil.copyfile(scenes / HUMAN, scenes / KEPT)
    yield KEPT
    yield from ready(hand)
    yield from check(hand)
    yield from go_to_line(hand, HAND)
    yield from keep(hand, REASON)
    yield from hand.away()
    yield from hand.drawn()
    hand.capture("kept")
    yield from hand.press("ctrl+s")
    yield from hand.until(lambda: not bpy.data.is_dirty, "The file is not saved")
    yield KEPT
    yield from ready(hand)
    yield from check(hand)
    expect(is_quiet(hand), f"{HAND!r} is loud again after the file was opened.")


def intended_wakes_up(play):
    """Where the motion changes that was kept as intended, the finding is in the list again."""
    hand = play.hand
    move_keys(bpy.context.scene.objects["human"], CONTROL, FRAME, MOVED_M)
    yield
    yield from check(hand)
    line = line_of(hand, HAND)
    expect(line is not None and line.woken, f"{HAND!r} stays quiet though its motion is another.")
    hand.capture("woken")


def ids_outlive_edits(play):
    """Three frames are put in and a key is nudged: all findings keep their ids."""
    hand = play.hand
    yield HUMAN
    yield from ready(hand)
    yield from check(hand)
    before = {line.title: (line.finding, line.frame) for line in hand.session.findings}
    insert_frames(bpy.context.scene.objects["human"], AFTER, INSERTED)
    yield
    yield from check(hand)
    for title, (number, frame) in before.items():
        line = line_of(hand, title)
        expect(line is not None, f"{title!r} is no longer found after frames were put in.")
        expect(line.finding == number, f"{title!r} has another id after frames were put in.")
        late = INSERTED if frame > AFTER + 1 else 0
        expect(line.frame == frame + late, f"{title!r} went from {frame:g} to {line.frame:g}.")
    hand.capture("ids")


def keep(hand, reason):
    """Press Keep as Intended, give the reason, and confirm."""
    count = len(hand.session.intended)
    yield from hand.click_opens("plumbline.keep_intended")
    yield from hand.type(reason)
    yield from hand.press_drawn("Return")
    hand.capture("reason")
    yield from hand.press("Return")
    yield from hand.until(lambda: len(hand.session.intended) > count, "The finding is not kept")
    expect(hand.session.intended[0].reason == reason, "It is kept for another reason.")
    expect(is_quiet(hand), "What is kept as intended is still in the list.")


def is_quiet(hand):
    """Whether the finding is no line of the list, or one that tells why it is kept."""
    line = line_of(hand, HAND)
    kept = [item for item in hand.session.intended if item.title == HAND]
    return bool(kept) and (line is None or line.reason == kept[0].reason)


def move_keys(rig, control, frame, by):
    """Move a control's key on a frame up, as in the graph editor."""
    path = f'pose.bones["{control}"].location'
    for curve in object_fcurves(rig):
        if curve.data_path == path:
            for key in curve.keyframe_points:
                if key.co.x == frame:
                    key.co_ui.y += by
            curve.update()


def insert_frames(rig, after, count):
    """Move every later key, and nudge one key of the head's turns."""
    for curve in object_fcurves(rig):
        for key in curve.keyframe_points:
            if key.co.x > after:
                key.co_ui.x += count
        if curve.data_path == 'pose.bones["head"].rotation_euler':
            curve.keyframe_points[0].co_ui.y += NUDGED_RAD
        curve.update()
    bpy.context.scene.frame_end += count


SCENARIOS = (intended_outlives_the_session, intended_wakes_up, ids_outlive_edits)
