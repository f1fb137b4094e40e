# SPDX-License-Identifier: GPL-3.0-or-later
"""Check by mouse on the Rigify human: the list is filled, and a click on a line goes there."""

from pathlib import Path

import bpy
from digest import difference, digest
from hand import expect

HUMAN = Path("human.blend")
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


def a_line_goes_to_its_frame(play):
    """A click on a line's frame moves the playhead there."""
    hand = play.hand
    for number in (1, 0):
        line = hand.session.findings[number]
        yield from hand.click(f"plumbline.go_to(index={number})", columns=(0.13,))
        yield from hand.until(
            lambda line=line: bpy.context.scene.frame_current == int(line.frame),
            f"The playhead does not go to frame {line.frame_text} of {line.title!r}",
            seconds=5,
        )
        expect(hand.session.active == number, "Another line is read than was clicked.")


def hide_body():
    for item in bpy.context.view_layer.objects:
        if item.type == "MESH":
            item.hide_set(True)


def of_the_shot(changed):
    """Changes without those of the screen."""
    return {k: v for k, v in changed.items() if not k.startswith(_OF_THE_SCREEN)}


def short(changed):
    return dict(list(changed.items())[:4])


SCENARIOS = (check_by_mouse, a_line_goes_to_its_frame)
