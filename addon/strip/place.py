# SPDX-License-Identifier: GPL-3.0-or-later
"""Where the strip stands in a viewport: in the lower left, clear of what Blender draws there."""

from collections.abc import Iterable
from typing import Any

# left, bottom, right, top in pixels of the region.
Box = tuple[float, float, float, float]
# Unscaled pixels: the strip, the least width that it is worth drawing at, and what stays free
# around it.
WIDTH, HEIGHT, LEAST_WIDTH, MARGIN = 264, 74, 150, 12
# What lies along the lower edge, and the panel of the last operation, which grows as it is opened.
_ALONG = ("HEADER", "TOOL_HEADER", "ASSET_SHELF", "ASSET_SHELF_HEADER")
_LAST_OPERATION = "HUD"


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
    for kind, x, y, wide, high in others:
        if kind == _LAST_OPERATION and x < left + WIDTH * scale and y < low + height:
            beside = x + wide + margin
            if right - beside >= WIDTH * scale:
                left = beside
            else:
                low = y + high + margin
    width = min(WIDTH * scale, right - left)
    if width < LEAST_WIDTH * scale or low + 2.0 * height > top:
        return None
    return (round(left), round(low), round(left + width), round(low + height))


def taken_by(context: Any, free: Box, scale: float) -> tuple[Box, ...]:
    """What the strip takes of the context's region, where it is on: no other text stands there."""
    if not context.window_manager.plumbline.spacing.strip:
        return ()
    if not is_shown_in(context.space_data, context.region_data):
        return ()
    box = place_of(context.area, context.region, free, scale)
    return () if box is None else (box,)


def _others(area: Any, region: Any) -> Iterable[tuple[str, int, int, int, int]]:
    """(type, x, y, width, height) of the other regions that are seen, from a region's corner."""
    for other in area.regions:
        if other.width > 1 and other.height > 1 and other.type not in ("WINDOW", "UI", "TOOLS"):
            yield other.type, other.x - region.x, other.y - region.y, other.width, other.height


def _is_below(kind: str, y: int) -> bool:
    return kind in _ALONG and y <= 0
