# SPDX-License-Identifier: GPL-3.0-or-later
"""What the finding that is read offers, by mouse; in the file that scenario_check has checked."""

import bpy
from eyes import expect
from panel import selected_bones

CONTROL = "torso"  # of the finding that was clicked last
SAME = 1e-5


def view_turns_square_and_back(play):
    """Square View turns the view, and View Back brings back how it stood."""
    hand = play.hand
    before = seen(hand)
    yield from hand.click("plumbline.square_view", columns=(0.3,))
    yield from hand.until(lambda: differs(seen(hand), before), "The view stays")
    yield from hand.drawn()  # it turns smoothly
    beside = next(
        y for name, (_x, y, _page) in hand.spots().items() if "plumbline.square_view" in name
    )
    yield from hand.click_at(0.7 * hand.region().width, beside)  # View Back
    yield from hand.until(lambda: not differs(seen(hand), before), "The view does not turn back")


def hidden_control_is_shown(play):
    """A control in a hidden collection is named with a button, and that shows and selects it."""
    hand, rig = play.hand, bpy.context.object
    bone = rig.data.bones[CONTROL]
    for each in bone.collections:
        each.is_visible = False
    for each in rig.pose.bones:
        (each if hasattr(each, "select") else each.bone).select = False
    others = {each.name: each.is_visible for each in rig.data.collections_all}
    hand.area.tag_redraw()
    yield from hand.drawn()
    yield from hand.click("plumbline.show_control")
    yield from hand.until(
        lambda: any(each.is_visible for each in bone.collections), "It stays hidden"
    )
    ours = {each.name for each in bone.collections}
    changed = {e.name for e in rig.data.collections_all if e.is_visible != others[e.name]}
    expect(changed <= ours, f"Show shows {sorted(changed - ours)} besides the control's.")
    yield from hand.until(
        lambda: selected_bones(rig) == [CONTROL],
        lambda: f"Show should select {CONTROL}, not {selected_bones(rig)}",
    )


def seen(hand):
    """How the view stands: all its numbers."""
    view = hand.area.spaces.active.region_3d
    return (*view.view_rotation, *view.view_location, view.view_distance)


def differs(one, other):
    return any(abs(a - b) > SAME for a, b in zip(one, other, strict=True))


SCENARIOS = (view_turns_square_and_back, hidden_control_is_shown)
