# SPDX-License-Identifier: GPL-3.0-or-later
"""Watch keeps the answers true while keys are moved by mouse, and is in nobody's way meanwhile."""

from contextlib import contextmanager
from dataclasses import replace

import bpy
from drawn import TRAILS, checked, figure
from eyes import expect
from panel import check, line_of, object_fcurves, ready
from trail_scene import POP_FRAME

POP, CONTROL = "Root: pop", "hips"
# So often Watch looks without doing anything, where it waits: more than once it would begin.
LOOKS = 8
# What a mouse does to the key, in pixels; what is told of an edit while the animation plays.
DRAG, PLAYED_M = 8, 0.03
# Within this the sidebar is drawn again; the search for causes begins later.
DRAWN_S, MOVED_S = 0.4, 0.1
# Frames before and after the stray key.
AROUND = 20


def watch_follows_the_mouse(play):
    """A key is dragged in the Graph Editor: answers change once it is put down, and to those of
    a full check; while it is dragged nothing is measured."""
    hand = play.hand
    yield from watching(play)
    before, serial = told(play), serial_of(play)
    with graph_editor(hand) as (area, region):
        select_key()
        yield from over(hand, area, region)
        yield from hand.press("g")
        yield from hand.until(lambda: is_dragged(hand), "G drags no key in the Graph Editor")
        for share in (0.5, 1.0):
            hand.move(region.width / 2, region.height / 2 + share * DRAG, region)
            yield
        value = stray_key().co.y
        yield from looks(play, "while a key is dragged")
        expect(serial_of(play) == serial, "Watch measures while a key is dragged.")
        yield from hand.press_mouse()
        yield from hand.until(lambda: not is_dragged(hand), "A click does not put the key down")
    expect(stray_key().co.y == value, "The key is not where the mouse left it.")
    yield from updated(hand, play, serial, "a key was moved by mouse")
    after = told(play)
    expect(after != before, "A key was moved, and the answers are the same.")
    hand.capture("watched")
    yield from check(hand)
    differing = [f"{a.check} {a.part}" for a, b in zip(after, told(play), strict=False) if a != b]
    expect(told(play) == after, f"A full check answers otherwise: {differing}.")
    expect(line_of(hand, POP), f"{POP!r} should still be in the list.")


def watch_waits_while_playing(play):
    """While the animation plays nothing is measured; when it stops, what was edited is."""
    hand = play.hand
    yield from watching(play)
    serial = serial_of(play)
    yield from hand.away()
    yield from hand.press("space")
    yield from hand.until(lambda: is_playing(hand), "Space does not play the animation")
    stray_key().co_ui.y += PLAYED_M
    stray_curve().update()
    figure().animation_data.action.id_data.update_tag()
    yield from looks(play, "while the animation plays")
    expect(is_playing(hand), "The animation plays no more.")
    expect(serial_of(play) == serial, "Watch measures while the animation plays.")
    yield from hand.press("space")
    yield from hand.until(lambda: not is_playing(hand), "Space does not stop the animation")
    yield from updated(hand, play, serial, "the animation has stopped")
    hand.session.watch = False


def watch_keeps_buttons_under_the_mouse(play):
    """Below causes that are looked for again after an update, a button stays where the mouse is:
    in a part of the shot as it was built, as what is searched takes its time."""
    hand, button = play.hand, "plumbline.square_view"
    hand.session.watch = False
    yield TRAILS
    yield from ready(hand)
    scene = bpy.context.scene
    scene.frame_start, scene.frame_end = POP_FRAME - AROUND, POP_FRAME + AROUND
    yield from hand.open_sidebar()
    yield from check(hand)
    yield from watching(play)
    check_of = play.module("ui.last_check").last_check
    hand.session.active = [line.title for line in hand.session.findings].index(POP)
    yield from explained(hand)
    yield from hand.find(button)
    serial = serial_of(play)
    stray_key().co_ui.y += PLAYED_M
    stray_curve().update()
    figure().animation_data.action.id_data.update_tag()
    yield from updated(hand, play, serial, "a key was moved")
    expect(hand.session.explained or check_of().was, "Nothing is told of the causes before.")
    yield from stays(hand, button, "Once the answers are up to date")
    yield from hand.until(lambda: hand.session.explained, "Watch finds no causes")
    yield from stays(hand, button, "Once causes are found again")
    hand.capture("in_place")


def explained(hand):
    """Find the causes, by the button where they are not known yet."""
    yield from hand.open_sidebar()
    if not hand.session.explained:
        yield from hand.click("plumbline.find_causes")
    yield from hand.until(lambda: hand.session.explained, "Find Causes finds no causes")
    yield from hand.drawn()


def stays(hand, button, when):
    """Where the mouse rests, the button is still: Blender looks again once it moves a little."""
    yield DRAWN_S
    x, y, _page = next(spot for name, spot in hand.spots().items() if button in name)
    for aside in (2, 0):
        hand.move(x + aside, y, hand.region())
        yield MOVED_S
    name = hand.under_mouse()
    expect(button in name, f"{when}, {name!r} is under the mouse, expected {button!r}.")


def watching(play):
    """The checked shot with its sidebar, and Watch switched on by mouse."""
    hand = play.hand
    yield from checked(play)
    figure().hide_set(False)
    if not hand.session.watch:
        yield from hand.open_sidebar()
        yield from hand.click("plumbline.watch", columns=(0.75,))
        yield from hand.until(lambda: hand.session.watch, "A click does not switch Watch on")
        yield from hand.until(
            lambda: play.module("watch.readings").last_of(numbers()) is not None,
            "Watch begins without a first check",
        )
    yield from quiet(play)


def quiet(play):
    """Wait until nothing is measured or searched; a search that goes on is stopped by Esc."""
    hand = play.hand
    running = play.module("ui.stepped").is_running
    yield from hand.until(lambda: not running("check"), "The first check does not end")
    yield from hand.away()
    while hand.session.progress >= 0.0:
        yield from hand.press("Escape")
        yield


def looks(play, when):
    """Wait until Watch has looked so often; it does so by itself, whatever it then does."""
    loop, seen = play.module("watch.loop"), []
    look = loop._look

    def counted(context):
        seen.append(1)
        look(context)

    loop._look = counted
    try:
        yield from play.hand.until(lambda: len(seen) >= LOOKS, f"Watch looks no more {when}")
    finally:
        loop._look = look


def updated(hand, play, serial, after):
    """Wait until there are other answers."""
    yield from hand.until(
        lambda: serial_of(play) != serial, f"Watch brings nothing up to date after {after}"
    )


def told(play):
    """All findings in all their numbers and words, without causes, which are searched later."""
    check = play.module("ui.last_check").last_check()
    plain = {"causes": (), "suggestion": None, "clears": (), "after": None}
    return [replace(each, **plain) for each in check.examination.shot.findings]


def serial_of(play):
    return play.module("ui.last_check").last_check().serial


def numbers():
    return bpy.context.scene.session_uid, figure().session_uid


def stray_curve():
    path = f'pose.bones["{CONTROL}"].location'
    return next(c for c in object_fcurves(figure()) if c.data_path == path and c.array_index == 0)


def stray_key():
    return next(key for key in stray_curve().keyframe_points if key.co.x == POP_FRAME)


def select_key():
    """The stray key alone is selected."""
    for curve in object_fcurves(figure()):
        for key in curve.keyframe_points:
            key.select_control_point = key.select_left_handle = key.select_right_handle = False
    stray_key().select_control_point = True


@contextmanager
def graph_editor(hand):
    """All curves, in the place of the object's properties."""
    area = next(each for each in hand.window.screen.areas if each.type == "PROPERTIES")
    kept, area.ui_type = area.ui_type, "FCURVES"
    area.spaces.active.dopesheet.show_only_selected = False
    region = next(region for region in area.regions if region.type == "WINDOW")
    try:
        yield area, region
    finally:
        area.ui_type = kept


def over(hand, area, region):
    """Rest the mouse in the middle of all curves, once they are drawn."""
    yield from hand.drawn()
    with bpy.context.temp_override(window=hand.window, area=area, region=region):
        bpy.ops.graph.view_all()
    yield from hand.drawn()
    hand.move(region.width / 2, region.height / 2, region)
    yield


def is_dragged(hand):
    return any(each.bl_idname.startswith("TRANSFORM_OT") for each in hand.window.modal_operators)


def is_playing(hand):
    return hand.window.screen.is_animation_playing


SCENARIOS = (watch_follows_the_mouse, watch_waits_while_playing)
# It waits for two searches for causes.
TIMED = (watch_keeps_buttons_under_the_mouse,)
