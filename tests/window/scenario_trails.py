# SPDX-License-Identifier: GPL-3.0-or-later
"""Trails in the viewport: they are there, cost little, and nothing is built in vain."""

import os

import bpy
from costs import Costs
from drawn import DOT_PX, checked, dots, known_sizes, pick, redrawing, traces, unchecked
from eyes import expect
from mathutils import Euler
from pictures import alike, around, other, places, seen, share_marked
from trail_scene import HOP, LAST, POP_FRAME

HAND, FOOT = "hand.L", "foot.R"
# Of the dots, so many show their colour; and of the same places without trails.
MOST, HARDLY = 0.95, 0.02
FEW, MANY = 20, 1000
# Both ends of cividis (Nunez, Anderton & Renslow 2018), and frames with such speeds.
DARK, BRIGHT = (0.0, 0.135112, 0.304751), (0.995737, 0.909344, 0.217772)
FAST, STILL = (HOP[0], HOP[0] + 4), (HOP[2] + 2, LAST)
TRAILS, REDRAWS, TURNS = 24, 20, 9
# Milliseconds, in the median of redraws. Where others want the processor too, what they leave in
# its caches is paid for as well: so it is tried again, so often, so many seconds later.
MOST_MS, TRIES, PAUSE_S = 1.0, 5, 10.0
FRAMES = 6


def trails_are_drawn(play):
    """A picked part is drawn in the colours of its speed, at the places where it was."""
    hand = play.hand
    yield from checked(play)
    trails = hand.session.trails
    with redrawing(play) as redraws:
        with known_sizes():
            trails.show = False
            before = yield from seen(hand, redraws)
            expect(not other(before, unchecked()).any(), "Trails that are off change the view.")
            pick(hand, HAND)
            trails.fade_ahead = False
            after = yield from seen(hand, redraws)
            _show_their_colours(play, before, after)
            trails.fade_ahead = True
            faded = yield from seen(hand, redraws)
            ahead = places(hand.region("WINDOW"), traces(play)[0].points[POP_FRAME + 2 :])
            share = share_marked(other(faded, after), ahead)
            expect(share > MOST, "Faded, what comes after the playhead looks as before.")
        yield from seen(hand, redraws)
        hand.capture("trails")


def _show_their_colours(play, before, after):
    points, colours = dots(play)
    expect(len(traces(play)) == 1, "One part is picked, and not one is drawn.")
    found = places(play.hand.region("WINDOW"), points)
    marked = [alike(each, colours) for each in (before, after)]
    shares = [share_marked(each, found, least=DOT_PX) for each in marked]
    expect(shares[0] < HARDLY, f"{shares[0]:.2f} of the places have the colours without trails.")
    expect(shares[1] > MOST, f"Only {shares[1]:.2f} of the dots have their colour.")
    counts = [int(each[around(found)].sum()) for each in marked]
    expect(counts[0] <= FEW and counts[1] >= MANY, f"Pixels in the trail's colours: {counts}.")
    for colour, frames in ((BRIGHT, FAST), (DARK, STILL)):
        share = share_marked(alike(after, [colour]), found[slice(*frames)], least=DOT_PX)
        expect(share > MOST, f"Of frames {frames} {share:.2f} have cividis' colour {colour}.")


def nothing_is_built_in_vain(play):
    """Redraws build nothing anew, nor does the playhead; another part builds the trails once."""
    hand, builds = play.hand, play.module("overlay.counted").builds
    yield from checked(play)
    pick(hand, HAND)
    with redrawing(play) as redraws:
        yield from seen(hand, redraws)
        before = dict(builds)
        yield from redraws.once_more(hand, times=6)
        expect(dict(builds) == before, f"Redraws build {changed(before, builds)} anew.")
        for n in range(FRAMES):
            bpy.context.scene.frame_set(POP_FRAME + n)
            yield from redraws.once_more(hand, times=1)
        expect(dict(builds) == before, f"The playhead builds {changed(before, builds)} anew.")
        pick(hand, HAND, FOOT)
        yield from redraws.once_more(hand)
        count = builds["trails"] - before["trails"]
        expect(count == 1, f"A part that is picked builds the trails {count} times.")


def redraws_are_quick(play):
    """24 trails over 250 frames take a millisecond of each redraw, besides what Blender draws."""
    hand = play.hand
    yield from checked(play)
    titles = [item.title for item in hand.session.trails.parts]
    expect(len(titles) == TRAILS, f"{len(titles)} points are followed, expected {TRAILS}.")
    pick(hand, *titles)
    for tried in range(1, TRIES + 1):
        slow, is_crowded = (yield from _measure(play)), os.getloadavg()[0] > os.cpu_count()
        if not (slow and is_crowded and tried < TRIES):
            break
        yield PAUSE_S
    hand.capture("all_trails")
    hand.session.spacing.strip = False
    expect(not slow, f"A redraw takes more than {MOST_MS:g} ms, where {', '.join(slow)}.")


def _measure(play):
    """Measure and say what redraws cost; where that is too much."""
    hand, told = play.hand, {}
    hand.session.spacing.strip = False
    with redrawing(play) as redraws, Costs(play) as costs:
        yield from seen(hand, redraws)
        for name, (change, times) in CHANGES.items():
            change(hand, 0)
            yield from redraws.once_more(hand, times=1)
            costs.milliseconds()
            for n in range(times):
                change(hand, n + 1)
                yield from redraws.once_more(hand, times=1)
            told[name] = costs.milliseconds()
    play.say(f"         load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    for name, (least, usual, laying) in told.items():
        rest = f", {laying:.1f} ms where texts are laid out" if laying else ""
        play.say(f"         {name}: {usual:.2f} ms, at least {least:.2f} ms{rest}")
    hand.session.trails.space = "world"
    return [name for name, (_, usual, _) in told.items() if usual > MOST_MS]


def changed(before, now):
    return sorted(name for name in now if now[name] != before.get(name, 0))


def _nothing(_hand, _n):
    pass


def _move_playhead(_hand, n):
    bpy.context.scene.frame_set(POP_FRAME + n)


def _orbit(hand, n):
    view = hand.area.spaces.active.region_3d
    view.view_rotation = Euler((1.5, 0.0, 1.4 + 0.02 * n)).to_quaternion()


def _show_strip(hand, n):
    if n == 0:
        hand.session.spacing.strip = True


def _look_by_camera(hand, n):
    if n == 0:
        hand.session.trails.space = "camera"


CHANGES = {
    "nothing changed": (_nothing, REDRAWS),
    "the playhead moved": (_move_playhead, TURNS),
    "the view turned": (_orbit, TURNS),
    "the strip is there too": (_show_strip, REDRAWS),
    "both, in camera space": (_look_by_camera, REDRAWS),
}
SCENARIOS = (trails_are_drawn, nothing_is_built_in_vain)
TIMED = (redraws_are_quick,)
