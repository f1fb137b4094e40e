# SPDX-License-Identifier: GPL-3.0-or-later
"""Where the strip stands in a viewport: in the lower left, clear of what Blender draws there."""

from collections.abc import Iterable
from typing import Any

from ..overlay.screen import Box
from ..overlay.wanted import free_part

# Unscaled pixels: the strip, the least width that it is worth drawing at, and what stays free
# around it.
WIDTH, HEIGHT, LEAST_WIDTH, MARGIN = 264, 74, 150, 12
# Up to where the panel of the last operation reaches while it is folded, which comes with every
# edit: the strip shall not jump from it.
FOLDED = 46
# What lies along the lower edge, and the panel of the last operation, which grows as it is opened.
_ALONG = ("HEADER", "TOOL_HEADER", "ASSET_SHELF", "ASSET_SHELF_HEADER")
_LAST_OPERATION = "HUD"
# By the numbers of regions, how all regions of the area lay, and what that leaves of this one.
_rooms: dict[int, tuple[Any, tuple[Box, Box | None]]] = {}
_MOST = 32


def is_shown_in(space: Any, data: Any) -> bool:
    """Whether a region is the one of its viewport that has the strip: of a quad view's four the
    one that can be orbited, or looks through the camera."""
    return not space.region_quadviews or data == space.region_3d


def place_of(area: Any, region: Any, free: Box, scale: float) -> Box | None:
    """The strip's box in whole pixels; None where there is no room for it.

    free   what sidebar, tools and headers at the top leave of the region
    scale  pixels for one unscaled pixel
    """
    margin, height = MARGIN * scale, HEIGHT * scale
    left, bottom, right, top = free
    others = list(_others(area, region))
    bottom = max([bottom, *(y + high for kind, _x, y, _w, high in others if _is_below(kind, y))])
    left, right = left + margin, right - margin
    low = bottom + margin
    if low + FOLDED * scale + 2.0 * height <= top:
        low += FOLDED * scale
    for kind, x, y, wide, high in others:
        is_near = x < left + WIDTH * scale and y < low + height and y + high > low
        if kind == _LAST_OPERATION and is_near:
            beside = x + wide + margin
            if right - beside >= WIDTH * scale:
                left = beside
            else:
                low = y + high + margin
    width = min(WIDTH * scale, right - left)
    if width < LEAST_WIDTH * scale or low + 2.0 * height > top:
        return None
    return (round(left), round(low), round(left + width), round(low + height))


def room_in(area: Any, region: Any, scale: float) -> tuple[Box, Box | None]:
    """A region's free part and the strip's box in it, worked out where regions have moved."""
    # An area has its kinds of regions in the same order, whatever happens to it.
    lies = (scale, _lies(region), *[_lies(each) for each in area.regions])
    number = region.as_pointer()
    known = _rooms.get(number)
    if known is None or known[0] != lies:
        if len(_rooms) > _MOST:
            _rooms.clear()
        free = free_part(area, region)
        known = _rooms[number] = lies, (free, place_of(area, region, free, scale))
    return known[1]


def _lies(region: Any) -> tuple[int, int, int, int]:
    return region.x, region.y, region.width, region.height


def _others(area: Any, region: Any) -> Iterable[tuple[str, int, int, int, int]]:
    """(type, x, y, width, height) of the other regions that are seen, from a region's corner."""
    for other in area.regions:
        if other.width > 1 and other.height > 1 and other.type not in ("WINDOW", "UI", "TOOLS"):
            yield other.type, other.x - region.x, other.y - region.y, other.width, other.height


def _is_below(kind: str, y: int) -> bool:
    return kind in _ALONG and y <= 0
