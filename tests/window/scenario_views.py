# SPDX-License-Identifier: GPL-3.0-or-later
"""Two characters, four views, two windows: the panel is the same everywhere."""

from pathlib import Path

import bpy
from eyes import expect
from panel import check, ready

TWO = Path("two.blend")


def two_characters(play):
    """Each of two characters is picked by its name and checked; the other one is not moved."""
    hand = play.hand
    yield TWO
    yield from ready(hand)
    for name in ("mate", "porter"):
        yield from pick(hand, name)
        yield from check(hand)
        expect(
            hand.session.headline.startswith(f"{name},"),
            f"{name} was picked, and the answer says {hand.session.headline!r}.",
        )


def four_views(play):
    """In quad view the check answers as in one view, and a click frames one view alone."""
    hand = play.hand
    yield TWO
    yield from ready(hand)
    bpy.ops.screen.region_quadview()
    yield from hand.until(
        lambda: sum(region.type == "WINDOW" for region in hand.area.regions) == 4,
        "There should be four views",
    )
    yield from hand.drawn()
    yield from check(hand)
    before = looks_at(hand)
    yield from hand.click("plumbline.go_to(index=0)", columns=(0.13,))
    yield from hand.until(
        lambda: looks_at(hand) != before, "No view is framed by a click on a line"
    )
    yield from hand.drawn()  # it is framed smoothly
    hand.capture("four_views")
    after = looks_at(hand)
    expect(after[:-1] == before[:-1], "A click on a line moves more of the four views than one.")


def looks_at(hand):
    """Where each of the four views looks at, and from how far."""
    views = hand.area.spaces.active.region_quadviews
    return [(tuple(view.view_location), view.view_distance) for view in views]


def two_windows(play):
    """A second window shows the same list; it can be checked there, and closed."""
    hand = play.hand
    yield TWO
    yield from ready(hand)
    yield from check(hand)
    bpy.ops.wm.window_new()
    yield from hand.until(lambda: count_windows() == 2, "There is no second window")
    hand.window_number = 1
    yield from hand.drawn()
    yield from hand.open_sidebar()
    yield from check(hand)
    hand.capture("two_windows")
    yield from hand.click("plumbline.go_to(index=0)", columns=(0.13,))
    yield from hand.until(
        lambda: bpy.context.scene.frame_current == int(hand.session.findings[0].frame),
        "A click in the second window does not move the playhead",
    )
    with bpy.context.temp_override(window=hand.window):
        bpy.ops.wm.window_close()
    hand.window_number = 0
    yield from hand.until(lambda: count_windows() == 1, "The second window stays")
    yield from hand.drawn()
    yield from hand.open_sidebar()
    yield from check(hand)


def count_windows():
    return len(bpy.context.window_manager.windows)


def pick(hand, name):
    """Type a character's name into the field and take the first that is offered."""
    yield from hand.click_opens("plumbline.rig", columns=(0.55,))  # right of it stands a cross
    yield from hand.type(name)
    yield from hand.press_drawn("Return")
    yield from hand.away()  # what has popped up goes away with the next move
    yield from hand.until(
        lambda: hand.session.rig == name,
        f"{name} cannot be picked by its name",
    )


SCENARIOS = (two_characters, four_views, two_windows)
