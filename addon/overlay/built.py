# SPDX-License-Identifier: GPL-3.0-or-later
"""The layers as they were built last: each is built anew only when what it hangs on has changed.

They hang on no view, so that all regions and windows share them.
"""

from dataclasses import dataclass
from typing import Any

from ..ui import last_check
from ..ui.last_check import LastCheck
from . import batches, counted, marks, shaders, strokes, told_sheets, wanted
from .earlier import earlier_sheet
from .layers import EARLIER, ON_FLOOR
from .sheets import Sheet, tops_sheet, trails_sheet
from .wanted import Wanted


@dataclass(frozen=True, eq=False)
class Built:
    """A layer: its arrays, and batches of what its sheet has, None where that is nothing.

    on_floor   it stands in the scene while the others are placed before the camera
    drawn      there is anything
    """

    name: str
    sheet: Sheet
    main: Any
    fine: Any
    above: Any

    on_floor: bool
    drawn: bool


_known: dict[str, tuple[Any, Built]] = {}


def built(now: Wanted, scale: float) -> list[Built]:
    """The layers that are on, in the order in which they are drawn."""
    check = last_check.last_check()
    if check is None:
        return []
    names = [name for name in reversed(now.layers) if name != "numbers"]
    return [layer for layer in (_built(name, check, now, scale) for name in names) if layer.drawn]


def forget() -> None:
    """Drop all of them."""
    _known.clear()


def _built(name: str, check: LastCheck, now: Wanted, scale: float) -> Built:
    hangs_on: Any = check.serial if name in ON_FLOOR else now.choice
    if name == "ruler":
        hangs_on = (check.serial, now.imperial)
    key = (hangs_on, now.look, scale)
    if name not in _known or _known[name][0] != key:
        sheet = sheet_of(name, check, now)
        main, fine, above = (
            batches.figure_batch(shaders.figure_shader(), lines, dots, scale)
            for lines, dots in (
                (sheet.lines, sheet.dots),
                (sheet.fine, marks.NOTHING),
                (strokes.NOTHING, sheet.above),
            )
        )
        drawn = bool(sheet.notes) or (main, fine, above) != (None, None, None)
        _known[name] = (key, Built(name, sheet, main, fine, above, name in ON_FLOOR, drawn))
        counted.builds[name] += 1
    return _known[name][1]


def sheet_of(name: str, check: LastCheck, now: Wanted) -> Sheet:
    """The arrays of a layer."""
    choice, look = now.choice, now.look
    if name == "pushes":
        return told_sheets.pushes_sheet(check, look)
    if name == "footprints":
        return told_sheets.footprints_sheet(check, look)
    if name == "ruler":
        return told_sheets.ruler_sheet(check, look, imperial=now.imperial)
    if name == EARLIER:
        return earlier_sheet(check, choice, look)
    if name == "targets":
        return told_sheets.targets_sheet(check, choice, look)
    picture = wanted.picture_of(check, choice)
    if name == "paths":
        return told_sheets.paths_sheet(check, choice, picture, look)
    return tops_sheet(picture, look) if name == "tops" else trails_sheet(picture, look)
