# SPDX-License-Identifier: GPL-3.0-or-later
"""Each layer of the picture by itself: it shows what it has, where that is, and goes again."""

import numpy as np
from drawn import checked, layer_names, pick, redrawing, sheets, switch, unchecked, usual_layers
from eyes import expect
from pictures import other, places, seen, share_marked

PARTS, LINES, DOTS = ("root", "foot.L"), "lines fine", "dots above"
# Of what a layer has in the view, so much shows; a bar stands so far above its place, and a frame's
# number so far beside its dot, in pixels.
MOST, NEAR, ABOVE, BESIDE = 0.9, 2, 14, 50
FEWEST = 40
# Numbers are those of the trails that are drawn.
BESIDE_OTHERS = {"numbers": ("trails",)}
# Of a figure these show nothing; `scenario_ball` looks at them.
OF_BALLS = ("upright",)


def layers_on_and_off(play):
    """Each layer alone changes the view where its data lie; with none the view is as if nobody
    had checked."""
    hand = play.hand
    yield from checked(play)
    pick(hand, *PARTS)
    with usual_layers(play), redrawing(play) as redraws:
        switch(play)
        none = yield from seen(hand, redraws)
        count = int(other(none, unchecked()).sum())
        expect(not count, f"Without any layer the view has {count} pixels that it had not.")
        for name in layer_names(play):
            beside = BESIDE_OTHERS.get(name, ())
            switch(play, *beside)
            without = none if not beside else (yield from seen(hand, redraws))
            switch(play, name, *beside)
            drawn = other((yield from seen(hand, redraws)), without)
            if name in OF_BALLS:
                expect(not drawn.any(), f"{name} changes {drawn.sum()} pixels, without a ball.")
                continue
            expect(drawn.sum() >= FEWEST, f"{name} changes {drawn.sum()} pixels.")
            at_its_places(play, name, drawn)
        switch(play, *layer_names(play))
        yield from seen(hand, redraws)
        hand.capture("layers")
        switch(play)
        hand.session.spacing.strip = True
        chart = other((yield from seen(hand, redraws)), none)
        expect(chart.sum() >= FEWEST, f"The chart changes {chart.sum()} pixels.")
        rows, columns = np.nonzero(chart)
        height, width = chart.shape
        lies_low = rows.min() > height / 2 and columns.max() < width / 2
        expect(lies_low, "The chart is drawn elsewhere than in the lower left of the view.")
        hand.session.spacing.strip = False
        again = yield from seen(hand, redraws)
        expect(not other(again, none).any(), "What was switched off leaves pixels.")


def at_its_places(play, name, drawn):
    """What it draws lies where its data are in the view."""
    if name == "numbers":  # they stand beside dots where there is room
        found = _in_view(play, _points(sheets(play)["trails"]))
        pixels = np.argwhere(drawn)[:, ::-1]
        gaps = np.abs(found[:, None] - pixels[None]).max(axis=2).min(axis=0)
        share = float(np.mean(gaps < BESIDE))
    else:
        found = _in_view(play, _points(sheets(play)[name]))
        expect(len(found), f"{name} has nothing to draw in the view.")
        share = share_marked(drawn, found, ABOVE if name == "tops" else NEAR)
    expect(share >= MOST, f"{name} shows at {share:.2f} of its places.")


def _points(sheet):
    """(N,3) the middles of a layer's lines, and the places of its dots."""
    lines = [getattr(sheet, each).ends.mean(axis=1) for each in LINES.split()]
    return np.concatenate([*lines, *(getattr(sheet, each).points for each in DOTS.split())])


def _in_view(play, points):
    hand = play.hand
    found = places(hand.region("WINDOW"), points)
    return found[np.isfinite(found).all(axis=1)]


SCENARIOS = (layers_on_and_off,)
