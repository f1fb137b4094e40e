# SPDX-License-Identifier: GPL-3.0-or-later
"""The strip's texts: where they stand, and the pieces of letters that they are put together of."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import blf

from ..overlay.labels import Label
from ..overlay.letters import Letters, pieces, type_of
from .shapes import SIDE

_FONT = 0
# Unscaled pixels from the upper and the lower edge, and between two texts.
_HIGH, _LOW, _GAP = 16.0, 6.0, 10.0
# As wide as what is told at the playhead will be: a name is cut for it once, and does not jump.
_WIDEST = "f 0000: 00.0 m/s"
ELLIPSIS = "\u2026"


@dataclass(frozen=True)
class Words:
    """The name above the bars, what is told at the playhead beside it; below the bars the first
    frame, how fast the chart is high, and the last frame."""

    name: str
    told: str
    ends: tuple[str, str, str]

    @property
    def parts(self) -> list[str]:
        """All texts in pieces, which are the same ones on all frames."""
        texts = (self.name, self.told, _WIDEST, *self.ends)
        return [part for text in texts for part in _parts(text)]


def labels_of(
    words: Words, letters: Letters, width: float, height: float, scale: float
) -> list[Label]:
    """Each piece at its pixels from the strip's lower left corner; those above the bars strong."""
    left, right = SIDE * scale, width - SIDE * scale
    high, low = height - _HIGH * scale, _LOW * scale
    first, full, last = words.ends
    middle = (left + right - _width(letters, full)) / 2.0
    return [
        *_placed(letters, words.name, left, high, strong=True),
        *_placed(letters, words.told, right - _width(letters, words.told), high, strong=True),
        *_placed(letters, first, left, low),
        *_placed(letters, full, middle, low),
        *_placed(letters, last, right - _width(letters, last), low),
    ]


def fitting(name: str, width: float, size: float, scale: float) -> str:
    """A name that is cut where it is too long, which users' own names may be; letters of `size`
    pixels, in a strip so wide."""
    type_of(size)  # from now on letters are of that size
    room = width - (2.0 * SIDE + _GAP) * scale - _measured(_WIDEST)
    if _measured(name) <= room:
        return name
    while name and _measured(name + ELLIPSIS) > room:
        name = name[:-1]
    return name.rstrip() + ELLIPSIS if name else ""


def _placed(
    letters: Letters, text: str, x: float, y: float, *, strong: bool = False
) -> Sequence[Label]:
    found = []
    for part in _parts(text):
        found.append(Label(x, y, part, strong, away=(x, y)))
        x += _advance(letters, part)
    return found


def _parts(text: str) -> list[str]:
    return re.findall(r"[0-9]+|[^0-9\s:]+|\s+|:", text)


def _width(letters: Letters, text: str) -> float:
    return sum(_advance(letters, part) for part in _parts(text))


def _advance(letters: Letters, part: str) -> float:
    return sum(letters.places[piece][3] for piece in pieces(part))


def _measured(text: str) -> float:
    found: Any = blf.dimensions(_FONT, text)
    return float(found[0])
