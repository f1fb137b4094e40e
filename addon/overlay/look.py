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
    ramp     which colours tell speed, see `ramps`; reverse: dark is fast
    """

    casing: Colour = (0.03, 0.03, 0.03, 0.6)
    ring: Colour = (1.0, 1.0, 1.0, 1.0)
    text: Colour = (1.0, 1.0, 1.0, 0.9)
    mark: Colour = (0.86, 0.84, 0.78, 0.9)
    line: float = 1.8
    dot: float = 2.6
    letters: float = 11.0
    ramp: str = "cividis"
    reverse: bool = False


_USUAL = Look()
_known: list[Look] = []


def held_preferences(context: bpy.types.Context) -> Any:
    """The preferences as Blender holds them; None where the extension runs without. Blender looks
    for them among those of all add-ons: to be asked once a redraw."""
    entry: Any = context.preferences.addons.get(EXTENSION)
    return None if entry is None else entry.preferences


def look_in(held: Any) -> Look:
    """The look of preferences, which may be None; the same object while nothing has changed, which
    is quick to compare."""
    if held is None:
        _known[:] = [_USUAL]
        return _USUAL
    told = held.look
    look = Look(
        casing=told.casing[:],
        ring=told.ring[:],
        text=told.text[:],
        mark=told.mark[:],
        line=told.line,
        dot=told.dot,
        letters=told.letters,
        ramp=told.ramp,
        reverse=told.reverse,
    )
    if _known != [look]:
        _known[:] = [look]
    return _known[0]


def look_now() -> Look:
    """The look that was read last."""
    return _known[0] if _known else _USUAL
