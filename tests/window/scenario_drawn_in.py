# SPDX-License-Identifier: GPL-3.0-or-later
"""Trails are drawn wherever a 3D view is: four views, two windows, large buttons, light colours."""

from contextlib import contextmanager

import bpy
from drawn import checked, from_aside, pick, redrawing
from eyes import expect
from pictures import bare, other, seen

PARTS = ("hand.L", "root")
# Pixels that trails change in a view, at least.
MANY = 600
LIGHT = (0.8, 0.8, 0.8)


def trails_in_four_views(play):
    """In quad view the trails are in all four views."""
    hand = play.hand
    yield from checked(play)
    with quad_view(), redrawing(play) as redraws:
        yield from hand.until(lambda: len(views(hand)) == 4, "There should be four views")
        yield from drawn_in_all(hand, redraws, "four_views")


def trails_in_two_windows(play):
    """A second window shows the trails as well."""
    hand = play.hand
    yield from checked(play)
    bpy.ops.wm.window_new()
    yield from hand.until(
        lambda: len(bpy.context.window_manager.windows) == 2, "There is no second window"
    )
    hand.window_number = 1
    yield from hand.drawn()
    bare(hand)
    from_aside(hand)
    with redrawing(play) as redraws:
        yield from drawn_in_all(hand, redraws, "second_window")
    with bpy.context.temp_override(window=hand.window):
        bpy.ops.wm.window_close()
    hand.window_number = 0


def trails_with_large_buttons(play):
    """At twice the interface's scale lines and dots are about twice as wide."""
    hand, view = play.hand, bpy.context.preferences.view
    yield from checked(play)
    counts = []
    with redrawing(play) as redraws:
        for scale in (1.0, 2.0):
            view.ui_scale = scale
            yield from hand.drawn()
            counts += yield from drawn_in_all(hand, redraws, f"scale_{scale:g}")
        view.ui_scale = 1.0
        yield from hand.drawn()
    expect(counts[1] > 1.5 * counts[0], f"Pixels of trails at scale 1 and 2: {counts}.")


def trails_on_light_ground(play):
    """On a light background the trails are seen as on a dark one."""
    yield from checked(play)
    gradients = bpy.context.preferences.themes[0].view_3d.space.gradients
    kept = tuple(gradients.high_gradient)
    with redrawing(play) as redraws:
        gradients.high_gradient = LIGHT
        yield from drawn_in_all(play.hand, redraws, "light_theme")
        gradients.high_gradient = kept


def drawn_in_all(hand, redraws, name):
    """Each view of the area has pixels that it has not without trails; how many, a view."""
    found = []
    for shown in (False, True):
        pick(hand, *PARTS)
        hand.session.trails.show = shown
        pictures = []
        for each in views(hand):
            pictures.append((yield from seen(hand, redraws, each)))
        found.append(pictures)
    hand.capture(name)
    counts = [int(other(*pair).sum()) for pair in zip(*found, strict=True)]
    expect(min(counts) >= MANY, f"Pixels that trails change in each view: {counts}.")
    return counts


def views(hand):
    return [region for region in hand.area.regions if region.type == "WINDOW"]


@contextmanager
def quad_view():
    bpy.ops.screen.region_quadview()
    try:
        yield
    finally:
        bpy.ops.screen.region_quadview()


SCENARIOS = (
    trails_in_four_views,
    trails_in_two_windows,
    trails_with_large_buttons,
    trails_on_light_ground,
)
