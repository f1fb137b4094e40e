# SPDX-License-Identifier: GPL-3.0-or-later
"""The texts of each region: laid out when the view rests, and drawn along with it while it turns.

Laying out takes some milliseconds, as no text may cover another; a text hangs on its place in the
scene, so that it goes along with that meanwhile.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from time import monotonic
from typing import Any

import bpy

from ..ui import last_check
from ..ui.redraw import redraw_viewports
from . import counted, letters, shaders, wanted
from .built import Layer
from .labels import Label, Texts, place_labels
from .render_data import Picture, cut, within
from .screen import View
from .wanted import Wanted

# A view that does not change for so long rests.
RESTS_S = 0.12
# As many regions as are kept; a quad view has four.
_MOST_REGIONS = 16


@dataclass
class Region:
    """What was laid out.

    told, seen    what the texts are about, and how they are seen
    standing      all that this hangs on, as it stood when it was looked at
    last, since   the same as it stood last, and since when, in seconds
    is_written    the batches are those of the labels; else of what was told before, as letters for
                  them are still to be made
    """

    standing: Any = None
    told: Any = None
    seen: Any = None
    last: Any = None
    since: float = 0.0
    labels: Sequence[Label] = ()
    is_written: bool = True
    picture: Any = None
    batches: dict[bool, Any] = field(default_factory=dict)


_regions: dict[int, Region] = {}


def forget() -> None:
    """Drop all of them."""
    _regions.clear()
    if bpy.app.timers.is_registered(_look_again):
        bpy.app.timers.unregister(_look_again)


def region(number: int) -> Region:
    """The texts of a region by its number, none where it was not drawn before."""
    if len(_regions) > _MOST_REGIONS:
        _regions.clear()
    known = _regions.get(number)
    if known is None:
        known = _regions[number] = Region()
    return known


def told_by(now: Wanted, scale: float) -> tuple[Any, ...]:
    """What a region's texts are about."""
    return (now.choice, now.layers, now.look, now.imperial, scale)


def waits(region: Region, told: Any, standing: Any) -> bool:
    """Whether a region's texts need not be looked at: all stands as it did, or only the view does
    not and has not come to rest."""
    if region.told != told:
        return False
    if region.standing == standing:
        return True
    if region.last != standing:
        region.last, region.since = standing, monotonic()
    if monotonic() - region.since >= RESTS_S:
        return False
    look_again_soon()
    return True


def bring_up(
    region: Region, now: Wanted, layers: Sequence[Layer], view: View, floor: View, standing: Any
) -> None:
    """Lay a region's texts out anew, but where they look alike.

    view, floor   how what is placed before the camera is seen, and how the scene
    """
    told, region.standing = told_by(now, view.scale), standing
    seen = (now.span, wanted.view_key(view), wanted.view_key(floor) if floor is not view else None)
    if (region.told, region.seen) == (told, seen):
        return
    region.told, region.seen, region.last = told, seen, standing
    letters_now = letters.type_of(now.look.letters * view.scale)
    region.labels = place_labels(view, texts_of(now, layers, view), letters_now, floor)
    region.is_written = False
    counted.builds["texts"] += 1


def make_batches(region: Region, now: Wanted, scale: float) -> None:
    """Have the region's texts for drawing, those that stand on the scene's floor by themselves.

    While letters for them are still to be made, what stood there before stays: nothing blinks.
    """
    if region.is_written:
        return
    texts = [label.text for label in region.labels]
    picture = letters.letters_of(texts, now.look.letters * scale)
    if picture is None:
        return
    for on_floor in (False, True):
        some = [label for label in region.labels if label.on_floor == on_floor]
        region.batches[on_floor] = letters.text_batch(
            shaders.text_shader(), picture, some, now.look.text
        )
    region.picture, region.is_written = picture, True


def texts_of(now: Wanted, layers: Sequence[Layer], view: View) -> Texts:
    """What the layers that are on have to tell."""
    picture = _picture(now)
    on = set(now.layers)
    traces = [cut(trace, now.span) for trace in picture.traces] if "trails" in on else []
    has_tops = "tops" in on and view.shows_height
    return Texts(
        traces=traces,
        tops=within(picture.tops, now.span) if has_tops else (),
        notes=[note for layer in layers if not layer.on_floor for note in layer.sheet.notes],
        floor_notes=[note for layer in layers if layer.on_floor for note in layer.sheet.notes],
        numbers="numbers" in on,
    )


def _picture(now: Wanted) -> Picture:
    check = last_check.last_check()
    if check is None:
        return Picture((), (), 0.0)
    return wanted.picture_of(check, now.choice)


def look_again_soon() -> None:
    """Have all views drawn once more in a moment."""
    if not bpy.app.timers.is_registered(_look_again):
        bpy.app.timers.register(_look_again, first_interval=RESTS_S + 0.01)


def _look_again() -> None:
    redraw_viewports(bpy.context)
