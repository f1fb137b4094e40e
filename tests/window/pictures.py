# SPDX-License-Identifier: GPL-3.0-or-later
"""What a 3D view shows, as numbers, and where the things lie in it that are drawn."""

import bpy
import numpy as np
from bpy_extras.view3d_utils import location_3d_to_region_2d

# Two colours are alike that differ by less than this, of 255 in each channel.
ALIKE = 12


class Redraws:
    """Counts how often views are drawn, while it is entered; a region's own count by its number.

    rests   says whether nothing waits to be drawn later
    """

    def __init__(self, rests=lambda: True):
        self.counts, self.rests = {}, rests

    def __enter__(self):
        self._handle = bpy.types.SpaceView3D.draw_handler_add(
            self._count, (), "WINDOW", "POST_PIXEL"
        )
        return self

    def __exit__(self, *_why):
        bpy.types.SpaceView3D.draw_handler_remove(self._handle, "WINDOW")

    def _count(self):
        number = bpy.context.region.as_pointer()
        self.counts[number] = self.counts.get(number, 0) + 1

    def once_more(self, hand, times=2):
        """Have all views of the hand's area drawn, so often: of the last but one, all is shown."""
        for _ in range(times):
            before = dict(self.counts)
            hand.area.tag_redraw()
            yield from hand.until(
                lambda before=before: all(
                    self.counts.get(number, 0) > before.get(number, 0) for number in _views(hand)
                ),
                "The view is not drawn again",
                every=0.01,
            )


def _views(hand):
    return [each.as_pointer() for each in hand.area.regions if each.type == "WINDOW"]


def bare(hand):
    """Nothing but the view: neither sidebar nor tools nor texts, which lie over it."""
    space = hand.area.spaces.active
    space.show_region_ui = space.show_region_toolbar = space.show_region_header = False
    space.show_region_tool_header = space.show_gizmo = False
    for name in ("show_text", "show_floor", "show_axis_x", "show_axis_y", "show_cursor"):
        setattr(space.overlay, name, False)
    space.overlay.show_bones = False


def seen(hand, redraws, region=None):
    """What a view shows once it is drawn: (H,W,3), the highest row first."""
    region = region or hand.region("WINDOW")
    yield from redraws.once_more(hand, times=1)
    if not redraws.rests():
        yield from hand.until(redraws.rests, "Something still waits to be drawn", every=0.02)
        yield from redraws.once_more(hand, times=1)
    yield from redraws.once_more(hand, times=1)
    picture = None
    while True:
        raw = hand.pixels(region.x, region.y, region.width, region.height)
        last, picture = picture, np.frombuffer(raw, np.uint8).reshape(region.height, -1, 3)
        if last is not None and np.array_equal(last, picture):
            return picture.astype(int)
        yield 0.01


def other(picture, than):
    """(H,W) which pixels are others."""
    return (picture != than).any(axis=2)


def alike(picture, colours):
    """(H,W) which pixels have nearly one of the colours (N,3), 0 to 1."""
    known = np.zeros((256, 256, 256), dtype=bool)
    for colour in np.unique(np.round(np.asarray(colours) * 255).astype(int), axis=0):
        low, high = np.maximum(colour - ALIKE, 0), colour + ALIKE + 1
        known[low[0] : high[0], low[1] : high[1], low[2] : high[2]] = True
    return known[picture[..., 0], picture[..., 1], picture[..., 2]]


def around(found, margin=12):
    """The part of a picture that holds places (N,2), as two slices."""
    low, high = np.maximum(found.min(axis=0) - margin, 0), found.max(axis=0) + margin
    return slice(int(low[1]), int(high[1])), slice(int(low[0]), int(high[0]))


def places(region, points, data=None):
    """(N,2) columns and rows of points (N,3) in a view's picture; NaN behind the eye."""
    data = data or bpy.context.region_data
    found = [location_3d_to_region_2d(region, data, point) for point in points]
    across = np.array([(np.nan, np.nan) if at is None else tuple(at) for at in found])
    return across * [1, -1] + [-0.5, region.height - 0.5]


def inside(found, picture, margin=4):
    """Those of the places (N,2) that lie in a picture, not at its edge; as whole numbers."""
    height, width = picture.shape[:2]
    kept = (found > margin).all(axis=1) & (found < [width - margin, height - margin]).all(axis=1)
    return np.round(found[kept]).astype(int)


def share_marked(marked, found, reach=2, least=1):
    """Of places (N,2), how many have so many marked pixels (H,W) around; 0 to 1."""
    at = inside(found, marked, reach + 1)
    near = [marked[y - reach : y + reach + 1, x - reach : x + reach + 1].sum() for x, y in at]
    return float(np.mean(np.array(near) >= least)) if len(near) else 0.0
