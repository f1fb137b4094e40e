# SPDX-License-Identifier: GPL-3.0-or-later
"""A narrow sidebar: no word of ours is cut in it, whatever is open; and what stands further down,
where all panels are open."""

from pathlib import Path

import bpy
from cut_words import ELLIPSIS, CutOnPurpose, on_purpose, picture, places, sign
from eyes import expect
from hand import COLUMNS
from panel import open_panels, ready

HUMAN = Path("human.blend")
WIDTH, NEAR, WIDER = 300, 2, 60
# Where its edge may be taken, in pixels from where it begins.
EDGES = (0, 9, -4)
TOO_LONG = (
    "This is far too long for a sidebar that is three hundred pixels wide, so it is cut",
    "Another label that has no room in a narrow sidebar because it goes on and on",
    "Left upper arm: jumps on frame 23, and the wrist, the hand and its fingers go along",
)
FITS = ("Keep as Intended...", "It fits...", "Head. Hand: i.j.")
# Frames with few findings, so that their causes are found soon; and which of them is read.
RANGE, READ = (9, 27), "Right hand: pop"
# With all panels open there is that much to read; with them closed it fits on two.
LEAST_SCREENS, MOST_SCREENS = 5, 12
# A button that fills a row, and the box before a note.
WIDE, BOX = (0.5,), (0.1, 0.07)
SHORT = "Softer"
# What is below a header that is opened moves by so many pixels at least.
OPENED = 60
NOTE = "The left elbow leads too early here, let it follow the chest by two frames or so"
REASON = "He waves off a fly that is seen in the shot before this one"


def no_word_is_cut(play):
    """With all panels open, no word is cut in a sidebar of 300 pixels."""
    hand = play.hand
    yield HUMAN
    open_panels(play)
    yield from ready(hand)
    yield from narrow(hand)
    pattern = yield from learned(hand)
    yield from hand.open_sidebar()
    cut = yield from look(hand, pattern, "before")
    cut += yield from in_empty_scene(hand, pattern)
    yield from fill(play)
    cut += yield from look(hand, pattern, "after", least=LEAST_SCREENS)
    expect(not cut, f"Labels are cut in the pictures {', '.join(cut)}.")


def note_is_added_and_ticked(play):
    """Add Note asks for a text and keeps it; its box ticks it off."""
    hand, rig = play.hand, bpy.context.object
    notes_of = play.module("ui.notes_shown").notes_of

    def mine():
        notes = [note for note, _frame in notes_of(bpy.context.scene, rig)]
        return next((note for note in notes if note.text == SHORT), None)

    yield from hand.click_opens("plumbline.add_note", columns=WIDE)
    yield from hand.type(SHORT)
    hand.capture("note")
    yield from hand.press_drawn("Return")
    yield from hand.press("Return")
    yield from hand.until(mine, "The note is not kept")
    yield from hand.click(f'note_done(note="{mine().id}")', columns=BOX)
    yield from hand.until(lambda: mine().done, "The note is not ticked off")


def markers_are_written(play):
    """Write Markers puts one on the frame of each finding that is listed."""
    hand, markers = play.hand, bpy.context.scene.timeline_markers
    yield from hand.click("plumbline.write_markers", columns=WIDE)
    yield from hand.until(lambda: len(markers), "No marker is written")
    found = sorted((marker.frame, marker.name) for marker in markers)
    listed = play.module("ui.filters").visible(hand.session)
    lines = [hand.session.findings[number] for number in listed]
    told = sorted((round(line.frame), line.title) for line in lines)
    expect(found == told, f"The markers are {found}, and the list says {told}.")


def in_empty_scene(hand, pattern):
    """The same where there is nothing to check."""
    before = bpy.context.window.scene
    bpy.ops.scene.new(type="EMPTY")
    empty = bpy.context.window.scene
    yield from hand.drawn()
    cut = yield from look(hand, pattern, "nothing")
    bpy.context.window.scene = before
    bpy.data.scenes.remove(empty)
    yield from hand.drawn()
    return cut


def narrow(hand):
    """Drag the sidebar's edge until it is 300 pixels wide; first it is made wider, as it may begin
    with hardly less, and a drag of a few pixels is none."""
    for start in EDGES:
        before = hand.region().width
        yield from hand.drag(start, before - WIDTH - WIDER)
        if hand.region().width != before:
            yield from hand.drag(start, hand.region().width - WIDTH)
            break
    width = hand.region().width
    expect(abs(width - WIDTH) <= NEAR, f"The sidebar is {width} pixels wide, not {WIDTH}.")


def learned(hand):
    """The sign of a cut label; it is found in labels that are cut, and in no other."""
    bpy.utils.register_class(CutOnPurpose)
    try:
        without = yield from on_purpose(hand, (" ",))
        pattern = sign(without, (yield from on_purpose(hand, (ELLIPSIS,))))
        found = places((yield from on_purpose(hand, TOO_LONG, TOO_LONG)), pattern)
        hand.capture("cut_on_purpose")
        count = 3 * len(TOO_LONG)
        expect(len(found) == count, f"{count} labels are cut on purpose, found at {found}.")
        found = places((yield from on_purpose(hand, FITS, FITS)), pattern)
        expect(not found, f"These labels fit, and a cut one is seen at {found}.")
    finally:
        bpy.utils.unregister_class(CutOnPurpose)
    return pattern


def look(hand, pattern, name, *, least=1):
    """Scroll the sidebar from its top to its end; which screens have cut labels."""
    cut = []
    yield from hand.to_top()
    for screen in range(MOST_SCREENS):
        yield from hand.away()
        yield from hand.drawn()
        found = places(picture(hand), pattern)
        if found or screen == 0:
            hand.capture(f"{name}_{screen}")
        if found:
            cut.append(f"{name}_{screen}")
        if not (yield from hand.next_page()):
            break
    expect(screen + 1 >= least, f"All panels are open, and fill {screen + 1} screens, not {least}.")
    return cut


def fill(play):
    """Something in every panel: choices, a note, an event, points, a check, a kept finding."""
    hand, session = play.hand, play.hand.session
    session.range_of = play.module("ui.choice_properties").OWN
    session.first_frame, session.last_frame = RANGE
    bpy.ops.plumbline.add_note(text=NOTE, part="upper_arm.L")
    bpy.ops.plumbline.declare_event(kind="hit", first=5, last=9, part="upper_arm.L")
    bpy.ops.object.mode_set(mode="POSE")
    select_bone("hand_ik.R")
    bpy.ops.plumbline.follow()
    bpy.ops.object.mode_set(mode="OBJECT")
    yield from more_choices(hand)
    yield from hand.click("plumbline.check")
    yield from hand.until(lambda: session.findings, "Check was pressed, and no list came")
    yield from hand.until(
        lambda: session.explained and session.progress < 0.0, "The search for causes does not end"
    )
    bpy.ops.plumbline.keep_intended(reason=REASON)
    session.active = [line.title for line in session.findings].index(READ)
    yield from hand.drawn()


def select_bone(name):
    """Select a bone of the rig that is posed."""
    bone = bpy.context.object.pose.bones[name]
    (bone if hasattr(bone, "select") else bone.bone).select = True


def more_choices(hand):
    """Click on the header between the row of the stage and the button Check, which moves down."""
    yield from hand.find("plumbline.stage")
    stage = height_of(hand, "plumbline.stage")
    yield from hand.find("plumbline.check")
    before, left, free = height_of(hand, "plumbline.check"), hand.region().width / 3, []
    for y in range(int(before), int(stage), 3):
        hand.move(left, y, hand.region())
        yield
        free += [] if hand.under_mouse() else [y]  # a header is no button
    expect(free, "There is nothing between the stage and Check.")
    before_seen = hand.seen()
    yield from hand.click_at(left, sum(free) / len(free))
    yield from hand.drawn(before_seen)
    yield from hand.find("plumbline.check", columns=COLUMNS[:1])
    expect(height_of(hand, "plumbline.check") < before - OPENED, "More Choices does not open.")


def height_of(hand, wanted):
    """Where a button was met, in pixels from the sidebar's lower edge."""
    return next(y for name, (_x, y, _page) in hand.spots().items() if wanted in name)


SCENARIOS = (no_word_is_cut, note_is_added_and_ticked, markers_are_written)
