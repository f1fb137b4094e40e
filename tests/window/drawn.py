# SPDX-License-Identifier: GPL-3.0-or-later
"""What scenarios about the viewport's picture do over and over, in the shot of trail_scene.py."""

from contextlib import contextmanager
from pathlib import Path

import bpy
import numpy as np
from panel import check, ready
from pictures import Redraws, bare, seen
from trail_scene import FIGURE, POP_FRAME

from tests.harness.extension import PACKAGE

TRAILS = Path("trails.blend")
# Square from the side, all of the walk in the view.
ASIDE, MIDDLE, AWAY_M = (0.5, 0.5, 0.5, 0.5), (0.0, -2.0, 0.8), 5.0
# Radius of a dot; so many pixels around its place have its colour, though the next one lies on it;
# width of a line, which has fewer.
DOT, DOT_PX, LINE = 3.0, 5, 0.5
# What the view from aside shows before the shot is checked.
_unchecked = []


def checked(play):
    """The shot, checked by mouse, in a view that shows nothing else; taken over where it is."""
    hand = play.hand
    if not is_checked(hand):
        yield TRAILS
        yield from ready(hand)
        bare(hand)
        for item in bpy.context.scene.objects:
            item.hide_set(True)
        from_aside(hand)
        with redrawing(play) as redraws:
            _unchecked[:] = [(yield from seen(hand, redraws))]
        yield from hand.open_sidebar()
        yield from check(hand)
        bare(hand)
    pick(hand)
    from_aside(hand)


def is_checked(hand):
    """Whether a scenario before has opened and checked the shot."""
    return Path(bpy.data.filepath).name == TRAILS.name and bool(hand.session.findings)


def unchecked():
    """The picture of the view from aside before the shot was checked."""
    return _unchecked[0]


def redrawing(play):
    """Counts redraws; what is laid out only when the view rests has to be done."""
    look_again = play.module("overlay.texts")._look_again
    return Redraws(lambda: not bpy.app.timers.is_registered(look_again))


def figure():
    return bpy.context.scene.objects[FIGURE]


def from_aside(hand):
    """Look square at the walk's side; the playhead stands on the stray key."""
    view = hand.area.spaces.active.region_3d
    view.view_perspective, view.view_rotation = "PERSP", ASIDE
    view.view_location, view.view_distance = MIDDLE, AWAY_M
    bpy.context.scene.frame_set(POP_FRAME)


def pick(hand, *titles):
    """Draw these parts' trails over the whole range in the scene, no finding's and no chart."""
    trails, hand.session.spacing.strip = hand.session.trails, False
    trails.show, trails.span, trails.finding, trails.space = True, "whole", False, "world"
    for item in trails.parts:
        item.shown = item.title in titles


def draw_all(play):
    """Draw every part that is followed, every layer and the chart."""
    pick(play.hand, *(item.title for item in play.hand.session.trails.parts))
    switch(play, *layer_names(play))
    play.hand.session.spacing.strip = True


def layer_names(play):
    return play.module("overlay.layers").NAMES


def switch(play, *names):
    """Have these layers drawn alone."""
    layers = play.hand.session.trails.layers
    for name in layer_names(play):
        setattr(layers, name, name in names)


@contextmanager
def usual_layers(play):
    """Afterwards those layers are drawn that were before."""
    layers = play.hand.session.trails.layers
    kept = {name: getattr(layers, name) for name in layer_names(play)}
    try:
        yield
    finally:
        switch(play, *(name for name, is_on in kept.items() if is_on))


@contextmanager
def known_sizes():
    """Dots that show apart from their lines, whatever they are made to look like."""
    look = bpy.context.preferences.addons[PACKAGE].preferences.look
    kept = look.dot, look.line
    look.dot, look.line = DOT, LINE
    try:
        yield
    finally:
        look.dot, look.line = kept


def traces(play):
    """The trails that are drawn now, as arrays."""
    now, check = wanted(play), play.module("ui.last_check").last_check()
    return play.module("overlay.wanted").picture_of(check, now.choice).traces


def dots(play):
    """(N,3) places and colours of all dots that are drawn."""
    found = traces(play)
    return tuple(
        np.concatenate([getattr(each, name) for each in found]) for name in ("points", "colours")
    )


def sheets(play):
    """By the name of each layer that is on, what it draws, as arrays."""
    found = play.module("overlay.built").built(wanted(play), 1.0)
    return {layer.name: layer.sheet for layer in found.layers}


def wanted(play):
    """What is to be drawn now."""
    return play.module("overlay.wanted").wanted(bpy.context)
