# SPDX-License-Identifier: GPL-3.0-or-later
"""The layers as they were built last: each is built anew only when what it hangs on has changed.

They hang on no view, so that all regions and windows share them. What lies in one space is drawn
as one batch, since each call costs a redraw more than what is in it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from ..ui import last_check
from ..ui.last_check import LastCheck
from . import counted, shaders, told_sheets, wanted
from .batches import Figures, figure_batch
from .earlier import earlier_sheet
from .layers import EARLIER, ON_FLOOR
from .sheets import Sheet, tops_sheet, trails_sheet
from .upright_sheet import upright_sheet
from .wanted import Wanted


@dataclass(frozen=True, eq=False)
class Layer:
    """A layer's arrays; on_floor: it stands in the scene while others go with the camera."""

    name: str
    sheet: Sheet
    on_floor: bool


@dataclass(frozen=True, eq=False)
class Joined:
    """Layers of one space as batches, None for nothing, from the lowest layer to the highest.

    hidden     what may be hidden: lines and dots
    above      what nothing hides; level: the same without what tells heights
    """

    on_floor: bool
    hidden: Any
    above: Any
    level: Any


@dataclass(frozen=True, eq=False)
class Built:
    """The layers that are on and have anything, and all that is drawn of them."""

    layers: Sequence[Layer]
    joined: Sequence[Joined]


_NOTHING = Built((), ())
_known: dict[str, tuple[Any, Layer]] = {}
# By scales, as two windows may have two.
_joined: dict[tuple[str, float], tuple[Any, Sequence[Joined]]] = {}
_last: dict[float, tuple[Any, Built]] = {}
_MOST_SCALES = 4
# Tells how high something is: nothing to be seen from above.
_HEIGHTS = "tops"


def built(now: Wanted, scale: float) -> Built:
    """What is drawn of the layers that are on; the same as before while nothing has changed."""
    check = last_check.last_check()
    if check is None:
        return _NOTHING
    key = (check.serial, now.choice, now.layers, now.look, now.imperial, now.copies, scale)
    known = _last.get(scale)
    if known is None or known[0] != key:
        if len(_last) > _MOST_SCALES:
            _joined.clear()
            _last.clear()
        known = _last[scale] = (key, _all_of(check, now, scale))
    return known[1]


def forget() -> None:
    """Drop all of them."""
    _known.clear()
    _joined.clear()
    _last.clear()


def _all_of(check: LastCheck, now: Wanted, scale: float) -> Built:
    names = [name for name in reversed(now.layers) if name != "numbers"]
    layers = [_layer(name, check, now) for name in names]
    layers = [layer for layer in layers if _has_anything(layer.sheet)]
    if not now.choice.camera:
        return Built(layers, _join("all", layers, scale))
    # What lies on the floor first, as all else stands above it.
    floor, others = (
        [layer for layer in layers if layer.on_floor is on_floor] for on_floor in (True, False)
    )
    return Built(layers, [*_join("floor", floor, scale), *_join("others", others, scale)])


def _has_anything(sheet: Sheet) -> bool:
    parts = (sheet.notes, sheet.lines, sheet.dots, sheet.above, sheet.fine)
    return any(len(part) for part in parts)


def _layer(name: str, check: LastCheck, now: Wanted) -> Layer:
    hangs_on: Any = check.serial if name in ON_FLOOR else now.choice
    if name == "ruler":
        hangs_on = (check.serial, now.imperial)
    if name == "upright":
        hangs_on = (check.serial, now.copies)
    key = (hangs_on, now.look)
    if name not in _known or _known[name][0] != key:
        _known[name] = (key, Layer(name, sheet_of(name, check, now), name in ON_FLOOR))
        counted.builds[name] += 1
    return _known[name][1]


def _join(name: str, layers: Sequence[Layer], scale: float) -> Sequence[Joined]:
    """Layers as one, if there are any; the same as before while they are the same."""
    known = _joined.get((name, scale))
    if known is None or known[0] != layers:
        known = (layers, [_joined_of(layers, scale)] if layers else [])
        _joined[name, scale] = known
    return known[1]


def _joined_of(layers: Sequence[Layer], scale: float) -> Joined:
    counted.builds["batches"] += 1
    hidden = [part for layer in layers for part in _hidden(layer.sheet)]
    above = _above(layers, scale)
    low = [layer for layer in layers if layer.name != _HEIGHTS]
    return Joined(
        on_floor=all(layer.on_floor for layer in layers),
        hidden=figure_batch(shaders.figure_shader(), hidden, scale),
        above=above,
        level=above if len(low) == len(layers) else _above(low, scale),
    )


def _hidden(sheet: Sheet) -> Sequence[Figures]:
    """From the lowest up: what a layer draws that may be hidden."""
    return (
        Figures(sheet.lines, sheet.dots, stand_out=sheet.dot_now),
        Figures(sheet.fine, stand_out=not sheet.dot_now),
    )


def _above(layers: Sequence[Layer], scale: float) -> Any:
    marks = [Figures(dots=layer.sheet.above) for layer in layers]
    return figure_batch(shaders.figure_shader(), marks, scale)


def sheet_of(name: str, check: LastCheck, now: Wanted) -> Sheet:
    """The arrays of a layer."""
    choice, look = now.choice, now.look
    if name == "pushes":
        return told_sheets.pushes_sheet(check, look)
    if name == "footprints":
        return told_sheets.footprints_sheet(check, look)
    if name == "ruler":
        return told_sheets.ruler_sheet(check, look, imperial=now.imperial)
    if name == "upright":
        return upright_sheet(check, now.copies, look)
    if name == EARLIER:
        return earlier_sheet(check, choice, look)
    if name == "targets":
        return told_sheets.targets_sheet(check, choice, look)
    picture = wanted.picture_of(check, choice)
    if name == "paths":
        return told_sheets.paths_sheet(check, choice, picture, look)
    return tops_sheet(picture, look) if name == "tops" else trails_sheet(picture, look)
