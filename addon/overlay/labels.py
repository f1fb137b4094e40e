# SPDX-License-Identifier: GPL-3.0-or-later
"""Where frame numbers and sentences stand, so that nothing covers anything."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .page import Page, Type
from .render_data import PLAIN, Top, Trace
from .screen import View, project
from .sheets import Note
from .strokes import ALWAYS

Floats = NDArray[np.float64]
# Numbers stand on frames that this can be counted by.
STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
# Unscaled pixels along a path that a number takes for itself.
ROOM = 56.0
MOST_NUMBERS = 80
# Unscaled pixels from a dot to its number, and from a top's place to its sentence.
_BESIDE, _BESIDE_RING, _ABOVE = 10.0, 17.0, 15.0
# From a note's place up to its text, or down to it.
_OVER, _UNDER = 6.0, 8.0
# The height and half the width of what stands at a top, in unscaled pixels.
_BAR = (10.0, 18.0)
# The outer edge of the rings, in unscaled pixels.
_RING = 14.0


@dataclass(frozen=True)
class Label:
    """A text whose lower left corner is at (x, y) pixels; strong where a finding points.

    point (3,) what it hangs on, `away` (x, y) pixels from there, so that it goes along as a view
    turns; on_floor where that is the scene's and not one before the camera
    frame      on which it is shown, or ALWAYS
    """

    x: float
    y: float
    text: str
    strong: bool = False
    point: tuple[float, ...] = (0.0, 0.0, 0.0)
    away: tuple[float, float] = (0.0, 0.0)
    frame: float = ALWAYS
    on_floor: bool = False


@dataclass(frozen=True)
class Anchor:
    """Where a text hangs: its point (3,), that point's pixels (2,), and its frame."""

    point: NDArray[np.float32]
    pixel: Floats
    frame: float = ALWAYS
    on_floor: bool = False

    def label(self, x: float, y: float, text: str, *, strong: bool) -> Label:
        """A text that hangs here, with its lower left corner at (x, y)."""
        away = (float(x - self.pixel[0]), float(y - self.pixel[1]))
        point = tuple(float(number) for number in self.point)
        return Label(float(x), float(y), text, strong, point, away, self.frame, self.on_floor)


@dataclass(frozen=True, eq=False)
class Texts:
    """What is to be told: the traces whose dots are numbered, tops, notes before the camera or
    in the scene, notes on the scene's floor; whether dots are numbered, and trails are named."""

    traces: Sequence[Trace] = ()
    tops: Sequence[Top] = ()
    notes: Sequence[Note] = ()
    floor_notes: Sequence[Note] = ()
    numbers: bool = True
    names: bool = True


def place_labels(view: View, texts: Texts, letters: Type, floor: View | None = None) -> list[Label]:
    """Sentences at the tops first, then frames that findings point at, then the trails' names
    where there are several, then notes, then the regular numbers.

    floor   how the scene is seen, where `view` shows what is placed before the camera
    """
    traces = texts.traces
    seen = [_seen(view, trace) for trace in traces]
    dots = np.concatenate([np.zeros((0, 2)), *(pixels[inside] for pixels, inside in seen)])
    page = Page(view, dots)
    for trace, (pixels, inside) in zip(traces, seen, strict=True):
        page.keep_free(pixels[inside & (trace.weights > PLAIN)], -_RING, _RING, _RING)
    found = list(_top_labels(page, texts.tops, letters))
    wanted = [
        item
        for trace, (pixels, inside) in zip(traces, seen, strict=True)
        for item in _wanted(trace, pixels, inside, view.scale)
    ]
    if texts.numbers:
        found += _numbers(page, [item for item in wanted if item[0] > PLAIN], letters)
    if texts.names and len(traces) > 1:
        found += _names(page, traces, seen, letters)
    found += _notes(page, view, texts.notes, letters)
    found += _notes(page, floor or view, texts.floor_notes, letters, on_floor=True)
    if texts.numbers:
        found += _numbers(page, [item for item in wanted if item[0] == PLAIN], letters)
    return found


def _seen(view: View, trace: Trace) -> tuple[Floats, NDArray[np.bool_]]:
    """Pixels (N,2) of a trace's dots, and which (N,) lie where texts may stand."""
    pixels, inside = project(view, trace.points)
    left, bottom, right, top = view.page
    free = (pixels >= [left, bottom]) & (pixels <= [right, top])
    return pixels, inside & free.all(axis=1)


def number_step(pixels: Floats, inside: NDArray[np.bool_], room: float) -> int:
    """Every how many frames a number has room, along what is seen of a path of dots (N,2)."""
    both = inside[1:] & inside[:-1]
    length = float(np.linalg.norm(np.diff(pixels, axis=0), axis=1)[both].sum())
    most = max(length / room, 1.0)
    return next((step for step in STEPS if inside.sum() / step <= most), STEPS[-1])


def _wanted(
    trace: Trace, pixels: Floats, inside: NDArray[np.bool_], scale: float
) -> Iterable[tuple[int, Anchor]]:
    """(weight, anchor) of the numbers that a trace would like to have."""
    step = number_step(pixels, inside, ROOM * scale)
    regular = np.abs(trace.frames / step - np.round(trace.frames / step)) < 1e-6
    for n in np.flatnonzero(inside & (regular | (trace.weights > PLAIN))):
        yield int(trace.weights[n]), Anchor(trace.points[n], pixels[n], float(trace.frames[n]))


def _top_labels(page: Page, tops: Sequence[Top], letters: Type) -> Iterable[Label]:
    places = _places(page.view, [top.point for top in tops])
    page.keep_free(np.array([p for p in places if p is not None]).reshape(-1, 2), 0, *_BAR)
    for top, place in zip(tops, places, strict=True):
        if place is not None:
            yield from _over(page, Anchor(top.point, place, top.frame), top.texts, letters)


def _notes(
    page: Page, view: View, notes: Sequence[Note], letters: Type, *, on_floor: bool = False
) -> Iterable[Label]:
    places = _places(view, [note.point for note in notes])
    for note, place in zip(notes, places, strict=True):
        if place is not None:
            anchor = Anchor(note.point, place, note.frame, on_floor)
            up = -_UNDER - letters.height / page.view.scale if note.below else _OVER
            lines = (0,) if note.right_there else (0, 1)
            yield from _over(page, anchor, note.texts, letters, up, strong=False, lines=lines)


def _places(view: View, points: Sequence[Any]) -> list[Floats | None]:
    """The pixels (2,) of points (3,), None of those outside of the view."""
    pixels, inside = project(view, np.array(points, dtype=float).reshape(-1, 3))
    return [place if seen else None for place, seen in zip(pixels, inside, strict=True)]


def _over(
    page: Page,
    anchor: Anchor,
    texts: Sequence[str],
    letters: Type,
    up: float = _ABOVE,
    *,
    strong: bool = True,
    lines: Sequence[int] = (0, 1),
) -> Iterable[Label]:
    """The longest text that fits so far above a place, else so many lines further; else none."""
    x, y = (float(number) for number in anchor.pixel)
    for line in lines:
        bottom = y + up * page.view.scale + line * 1.6 * letters.height * (1 if up > 0 else -1)
        for text in texts:
            half = len(text) * letters.width / 2.0
            box = (x - half, bottom, x + half, bottom + letters.height)
            if page.is_free(box):
                page.take(box)
                yield anchor.label(box[0], bottom, text, strong=strong)
                return


def _numbers(page: Page, wanted: Sequence[tuple[int, Anchor]], letters: Type) -> Iterable[Label]:
    for weight, anchor in wanted[:MOST_NUMBERS]:
        yield from _beside(page, anchor, f"{anchor.frame:.0f}", letters, strong=weight > PLAIN)


def _names(
    page: Page,
    traces: Sequence[Trace],
    seen: Sequence[tuple[Floats, NDArray[np.bool_]]],
    letters: Type,
) -> Iterable[Label]:
    """Each trail's name beside the last of its dots that is seen."""
    for trace, (pixels, inside) in zip(traces, seen, strict=True):
        for n in np.flatnonzero(inside)[-1:]:
            anchor = Anchor(trace.points[n], pixels[n])
            yield from _beside(page, anchor, trace.name, letters, strong=True)


def _beside(
    page: Page, anchor: Anchor, text: str, letters: Type, *, strong: bool
) -> Iterable[Label]:
    """To the right or left of a dot, above or below it, wherever it hides no dot; else nowhere.

    What a finding points at gets its number even where it hides dots.
    """
    scale, place = page.view.scale, anchor.pixel
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
    if chosen:
        page.take(chosen[0])
        yield anchor.label(chosen[0][0], chosen[0][1], text, strong=strong)
