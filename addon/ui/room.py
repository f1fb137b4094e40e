# SPDX-License-Identifier: GPL-3.0-or-later
"""Room that texts and buttons have had: while Watch changes them, nothing below moves under the
mouse. What is shorter than it was leaves rows empty; what is longer takes more for good."""

from typing import Any

import bpy

from .session import session_of

# By region and place: what it is the room of, and the most rows that this has taken.
_held: dict[tuple[int, str], tuple[Any, int]] = {}


def empty_rows(
    context: bpy.types.Context, place: str, of: Any, rows: int, *, least: int = 0
) -> int:
    """How many rows are left empty after `rows`; none but while Watch is on.

    place  a name for where it stands; least: rows that it takes at least
    of     what it is about: about anything else, or in a region that is wider, it begins anew
    """
    if not session_of(bpy.context).watch:
        _held.clear()
        return 0
    region = context.region
    key, about = (region.as_pointer(), place), (of, region.width)
    known, most = _held.get(key, (None, 0))
    most = max(rows, least, most if known == about else 0)
    _held[key] = (about, most)
    return most - rows


def forget() -> None:
    """Nothing is held any more."""
    _held.clear()
