# SPDX-License-Identifier: GPL-3.0-or-later
"""A figure that is linked from a library and overridden: it is checked as any other, its library
stays as it is; and a part that was taken for another is corrected by mouse."""

import hashlib
from pathlib import Path

import bpy
from digest import difference, digest_of
from eyes import expect
from hand import SLOWLY_S
from panel import check, go_to_line, line_of, open_panels, ready, selected_bones

LINKED, LIBRARY = Path("linked.blend"), "library.blend"
# What build_scenes.py keys in the shot with one key: where, when, with which control.
NOD, FRAME, CONTROL = "Head: pop", 25, "head"
# The part that the control is told to play instead, and what the finding is called then.
PART, NOD_OF_PART = "neck", "Neck: pop"
# Where the two small buttons behind a part's bone stand, as shares of the sidebar's width.
ACTIVE_BONE, LAST = 0.76, 0.835


def overridden_rig_is_checked(play):
    """A click on a line selects the control of the override, and nothing of the library changes."""
    hand = play.hand
    open_panels(play, ("PLUMBLINE_PT_parts",))
    yield LINKED
    yield from ready(hand)
    before, file = of_the_library(), library_file(play)
    expect(before, "The shot has nothing of its library.")
    yield from check(hand)
    yield from go_to_line(hand, NOD)
    hand.capture("linked")
    rig = bpy.context.object
    expect(
        rig.override_library and rig.mode == "POSE" and selected_bones(rig) == [CONTROL],
        f"{CONTROL} of the override should be selected, not {selected_bones(rig)} of "
        f"{rig.name_full!r}, which is in {rig.mode}.",
    )
    frame = bpy.context.scene.frame_current
    expect(frame == FRAME, f"{NOD!r} is keyed on frame {FRAME} and found on {frame}.")
    yield from hand.away()
    yield from hand.press("ctrl+s")
    yield from hand.until(lambda: not bpy.data.is_dirty, "The shot is not saved")
    changed = difference(before, of_the_library())
    expect(not changed, f"What is linked has changed: {dict(list(changed.items())[:4])}")
    expect(library_file(play) == file, "The library's file has changed.")


def part_is_corrected_and_taken_back(play):
    """The active bone is told to play another part: the next check heeds it, until it is taken
    back; in the file of the scenario before."""
    hand = play.hand
    is_old = play.module("ui.changes").why_old
    tell, find = f"tell_part(part={PART!r}, active=True)", f"find_part(part={PART!r})"
    yield from hand.click(tell, columns=(ACTIVE_BONE,), page=1)
    yield from hand.until(lambda: is_old(bpy.context), "A corrected part makes no answer old")
    yield from hand.until(lambda: strip_is_free(play), "The strip lies under the last operation")
    yield from hand.drawn()
    hand.capture("corrected")
    yield from check(hand)
    expect(not is_old(bpy.context), "After another check the answers are old.")
    only(hand, NOD_OF_PART)
    # On the last page, and met only where the mouse rests longer.
    yield from hand.click(find, columns=(LAST,), page=2, rests=SLOWLY_S)
    yield from hand.until(lambda: is_old(bpy.context), "Taking it back makes no answer old")
    yield from check(hand)
    only(hand, NOD)


def strip_is_free(play):
    """Whether the panel of the last operation is there and the strip, as it was drawn last, stands
    clear of it."""
    area, (ready, *_) = play.hand.area, play.module("overlay.draw")._ready.values()
    window, panel = (
        next(each for each in area.regions if each.type == kind) for kind in ("WINDOW", "HUD")
    )
    left, low, right, high = ready.sight.strip
    x, y = panel.x - window.x, panel.y - window.y
    is_apart = left >= x + panel.width or right <= x or low >= y + panel.height or high <= y
    return panel.width > 1 and is_apart


def only(hand, title):
    """The list has a line of that title, and none of the other."""
    titles = [line.title for line in hand.session.findings]
    other = next(each for each in (NOD, NOD_OF_PART) if each != title)
    expect(line_of(hand, title), f"{title!r} should be in the list, only {titles} are.")
    expect(not line_of(hand, other), f"{other!r} should not be in the list of {titles}.")


def of_the_library():
    """A digest of all that is linked, without how often the shot uses it."""
    blocks = (*bpy.data.collections, *bpy.data.objects, *bpy.data.armatures)
    found = digest_of(block for block in blocks if block.library)
    return {key: value for key, value in found.items() if not key.endswith(".users")}


def library_file(play):
    """A hash of the library's file, and when it was written."""
    path = play.folder / "scenes" / LIBRARY
    return hashlib.sha256(path.read_bytes()).hexdigest(), path.stat().st_mtime_ns


SCENARIOS = (overridden_rig_is_checked, part_is_corrected_and_taken_back)
