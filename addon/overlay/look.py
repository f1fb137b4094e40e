# SPDX-License-Identifier: GPL-3.0-or-later
"""How the picture looks: colours and sizes, a part of what is compared before anything is built."""

from dataclasses import dataclass
from typing import Any

import bpy

from ... import __package__ as EXTENSION  # noqa: N812 - the name that Blender knows it by

Colour = tuple[float, float, float, float]


@dataclass(frozen=True)
class Look:
    """casing   the dark line below lines, and the rims of dots
    ring     what stands out: rings, bars at the tops of flights, the dot at the playhead
    text     letters; their edge has the casing's colour
    mark     what lies on the floor, and arrows
    line     width of a trail, pixels at scale 1
    dot      radius of a dot, pixels at scale 1
    letters  height of a text, points
    """

    casing: Colour = (0.03, 0.03, 0.03, 0.6)
    ring: Colour = (1.0, 1.0, 1.0, 1.0)
    text: Colour = (1.0, 1.0, 1.0, 0.9)
    mark: Colour = (0.86, 0.84, 0.78, 0.9)
    line: float = 1.8
    dot: float = 2.6
    letters: float = 11.0


def look_of(context: bpy.types.Context) -> Look:
    """What the user prefers; the usual look where the extension runs without preferences."""
    entry: Any = context.preferences.addons.get(EXTENSION)
    held = entry.preferences if entry is not None else None
    if held is None:
        return Look()
    told = held.look
    return Look(
        casing=tuple(told.casing),
        ring=tuple(told.ring),
        text=tuple(told.text),
        mark=tuple(told.mark),
        line=told.line,
        dot=told.dot,
        letters=told.letters,
    )
