# SPDX-License-Identifier: GPL-3.0-or-later
"""Where frame numbers and the tops' sentences stand, so that nothing covers anything."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .render_data import PLAIN, Top, Trace
from .screen import Box, View, project

Floats = NDArray[np.float64]
# Numbers stand on frames that this can be counted by.
STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
# Unscaled pixels along a path that a number takes for itself.
ROOM = 56.0
MOST_NUMBERS = 80
# Unscaled pixels from a dot to its number, and from a top's place to its sentence.
_BESIDE, _BESIDE_RING, _ABOVE = 10.0, 17.0, 15.0
# Unscaled pixels between two texts.
_GAP = 2.0
# Half the width and the height of what stands at a top, in unscaled pixels.
_BAR = (18.0, 10.0)
# The outer edge of the rings, in unscaled pixels.
_RING = 14.0


@dataclass(frozen=True)
class Label:
    """A text whose lower left corner is at (x, y) pixels; strong where a finding points."""

    x: float
    y: float
    text: str
    strong: bool = False


@dataclass(frozen=True)
class Type:
    """The size of the letters in pixels: the width of a digit, and the height of a line."""

    width: float
    height: float


class _Page:
    """What stands already: boxes of labels, and dots that had better stay free."""

    def __init__(self, view: View, dots: Floats) -> None:
        self.view = view
        # From left to right: only those in a box's columns are looked at.
        self._dots = dots[np.argsort(dots[:, 0])]
        # There may be hundreds, and each text asks about all of them: rows of one array.
        self._boxes, self._count = np.zeros((256, 4)), 0
        for box in view.taken:
            self.take(box)

    def take(self, box: Box) -> None:
        """From now on nothing else stands there."""
        if self._count == len(self._boxes):
            self._boxes = np.concatenate((self._boxes, np.zeros_like(self._boxes)))
        self._boxes[self._count] = box
        self._count += 1

    def is_free(self, box: Box) -> bool:
        """Whether a box lies where texts may stand, and on no other."""
        x0, y0, x1, y1 = box
        left, bottom, right, top = self.view.page
        if x0 < left or y0 < bottom or x1 > right or y1 > top:
            return False
        gap = _GAP * self.view.scale
        a, b, c, d = self._boxes[: self._count].T
        return not ((x0 < c + gap) & (a < x1 + gap) & (y0 < d + gap) & (b < y1 + gap)).any()

    def keep_free(self, places: Floats, bottom: float, top: float, half: float) -> None:
        """No text may stand around places (N,2): unscaled pixels below, above, and to the sides."""
        scale = self.view.scale
        for x, y in places:
            self.take((x - half * scale, y + bottom * scale, x + half * scale, y + top * scale))

    def covers_dots(self, box: Box) -> bool:
        """Whether a dot would be hidden."""
        left, bottom, right, top = box
        first, last = np.searchsorted(self._dots[:, 0], (left, right))
        heights = self._dots[first:last, 1]
        return bool(((heights > bottom) & (heights < top)).any())


def place_labels(
    view: View, traces: Sequence[Trace], tops: Sequence[Top], letters: Type
) -> list[Label]:
    """Sentences at the tops first, then frames that findings point at, then the trails' names
    where there are several, then the regular numbers.
    """
    seen = [_seen(view, trace) for trace in traces]
    dots = np.concatenate([np.zeros((0, 2)), *(pixels[inside] for pixels, inside in seen)])
    page = _Page(view, dots)
    for trace, (pixels, inside) in zip(traces, seen, strict=True):
        page.keep_free(pixels[inside & (trace.weights > PLAIN)], -_RING, _RING, _RING)
    found = list(_top_labels(page, tops, letters))
    wanted = [
        item
        for trace, (pixels, inside) in zip(traces, seen, strict=True)
        for item in _wanted(trace, pixels, inside, view.scale)
    ]
    found += _numbers(page, [item for item in wanted if item[0] > PLAIN], letters)
    if len(traces) > 1:
        found += _names(page, traces, seen, letters)
    found += _numbers(page, [item for item in wanted if item[0] == PLAIN], letters)
    return found


def _seen(view: View, trace: Trace) -> tuple[Floats, NDArray[np.bool_]]:
    """Pixels (N,2) of a trace's dots, and which (N,) lie where texts may stand."""
    pixels, inside = project(view, trace.points)
    left, bottom, right, top = view.page
    free = (pixels >= [left, bottom]) & (pixels <= [right, top])
    return pixels, inside & free.all(axis=1)


def top_places(view: View, tops: Sequence[Top]) -> Floats:
    """(N,2) pixels of the tops that lie inside the view."""
    points = np.array([top.point for top in tops], dtype=float).reshape(-1, 3)
    pixels, inside = project(view, points)
    return pixels[inside]


def number_step(pixels: Floats, inside: NDArray[np.bool_], room: float) -> int:
    """Every how many frames a number has room, along what is seen of a path of dots (N,2)."""
    both = inside[1:] & inside[:-1]
    length = float(np.linalg.norm(np.diff(pixels, axis=0), axis=1)[both].sum())
    most = max(length / room, 1.0)
    return next((step for step in STEPS if inside.sum() / step <= most), STEPS[-1])


def _wanted(
    trace: Trace, pixels: Floats, inside: NDArray[np.bool_], scale: float
) -> Iterable[tuple[int, Floats, float]]:
    """(weight, place, frame) of the numbers that a trace would like to have."""
    step = number_step(pixels, inside, ROOM * scale)
    regular = np.abs(trace.frames / step - np.round(trace.frames / step)) < 1e-6
    for n in np.flatnonzero(inside & (regular | (trace.weights > PLAIN))):
        yield int(trace.weights[n]), pixels[n], float(trace.frames[n])


def _top_labels(page: _Page, tops: Sequence[Top], letters: Type) -> Iterable[Label]:
    pixels, inside = project(
        page.view, np.array([top.point for top in tops], dtype=float).reshape(-1, 3)
    )
    page.keep_free(pixels[inside], 0.0, _BAR[1], _BAR[0])
    for top, place, seen in zip(tops, pixels, inside, strict=True):
        label = _above(page, place, top.texts, letters) if seen else None
        if label is not None:
            yield label


def _above(page: _Page, place: Floats, texts: Sequence[str], letters: Type) -> Label | None:
    """The longest text that fits right above a place, else a line higher; else none."""
    for lines in (0, 1):
        y = float(place[1]) + _ABOVE * page.view.scale + lines * 1.6 * letters.height
        for text in texts:
            half = len(text) * letters.width / 2.0
            box = (float(place[0]) - half, y, float(place[0]) + half, y + letters.height)
            if page.is_free(box):
                page.take(box)
                return Label(box[0], y, text, strong=True)
    return None


def _numbers(
    page: _Page, wanted: Sequence[tuple[int, Floats, float]], letters: Type
) -> Iterable[Label]:
    for weight, place, frame in wanted[:MOST_NUMBERS]:
        label = _beside(page, place, f"{frame:.0f}", letters, strong=weight > PLAIN)
        if label is not None:
            yield label


def _names(
    page: _Page,
    traces: Sequence[Trace],
    seen: Sequence[tuple[Floats, NDArray[np.bool_]]],
    letters: Type,
) -> Iterable[Label]:
    """Each trail's name beside the last of its dots that is seen."""
    for trace, (pixels, inside) in zip(traces, seen, strict=True):
        for n in np.flatnonzero(inside)[-1:]:
            label = _beside(page, pixels[n], trace.name, letters, strong=True)
            if label is not None:
                yield label


def _beside(page: _Page, place: Floats, text: str, letters: Type, *, strong: bool) -> Label | None:
    """To the right or left of a dot, above or below it, wherever it hides no dot; else nowhere.

    What a finding points at gets its number even where it hides dots.
    """
    scale = page.view.scale
    away = (_BESIDE_RING if strong else _BESIDE) * scale
    width, height = len(text) * letters.width, letters.height
    rights, ups = (away, -away - width), (2.0 * scale, -2.0 * scale - height)
    boxes = [
        (place[0] + x, place[1] + y, place[0] + x + width, place[1] + y + height)
        for y in ups
        for x in rights
    ]
    free = [box for box in boxes if page.is_free(box)]
    clear = [box for box in free if not page.covers_dots(box)]
    chosen = clear or (free if strong else [])
    if not chosen:
        return None
    page.take(chosen[0])
    return Label(float(chosen[0][0]), float(chosen[0][1]), text, strong)
