# SPDX-License-Identifier: GPL-3.0-or-later
"""In which steps layers are drawn, and what a shader is told at each: worked out anew only where
something has changed, as a redraw finds nothing of ours in the processor's caches."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from mathutils import Matrix

from .built import Built
from .wanted import Wanted

# What is behind something is drawn with this share of its strength.
FAINT = 0.3
# And with this one what is about a motion that is no more.
OLD = 0.4
# Unscaled pixels: the dark edges of a line, and how much larger the playhead's dots are.
_EDGE, _NOW = 2.0, 2.4
# All frames, none that is ahead, and no paint.
_ALL, _NO_FUTURE, _NO_PAINT = (-1e30, 1e30), (1e30, 1.0), (0.0, 0.0, 0.0, 0.0)


@dataclass(frozen=True, eq=False)
class Step:
    """depth     the test of depth that it is drawn with
    batch     what is drawn
    on_floor  it stands in the scene while others go with the camera
    told      (4,4) as shaders take it, see `glsl.TOLD`
    """

    depth: str
    batch: Any
    on_floor: bool
    told: Matrix


@dataclass(frozen=True, eq=False)
class Steps:
    """Those of layers, and what texts are told."""

    layers: Sequence[Step]
    texts: Matrix


# By the numbers of regions, after what they hang on.
_known: dict[int, tuple[Any, Steps]] = {}
# A quad view has four regions.
_MOST = 16


def forget() -> None:
    """Drop all of them."""
    _known.clear()


def steps(
    number: int,
    now: Wanted,
    built: Built,
    size: tuple[float, float],
    scale: float,
    *,
    shows_height: bool,
) -> Steps:
    """The steps of a region by its number.

    size          the region's, pixels
    scale         pixels for one unscaled pixel
    shows_height  it is not seen from above
    """
    known, key = _known.get(number), (now, built, size, scale, shows_height)
    if known is None or known[0] != key:
        if len(_known) > _MOST:
            _known.clear()
        known = _known[number] = key, _made(now, built, size, scale, shows_height=shows_height)
    return known[1]


def _made(
    now: Wanted, built: Built, size: tuple[float, float], scale: float, *, shows_height: bool
) -> Steps:
    span, future = _span(now), (now.playhead + 0.5, now.ahead)
    edge, plain = now.look.casing, _NO_PAINT
    dark, at_playhead = (0.0, 0.0, 0.0, -_EDGE * scale), (now.playhead - 0.5, now.playhead + 0.5)
    large = (*now.look.ring[:3], _NOW * scale)
    strong = OLD if now.old else 1.0
    faint = _told(edge, plain, size, span, future, FAINT * strong)
    whole = _told(edge, dark, size, span, future, strong)
    above = _told(edge, plain, size, span, future, strong)
    current = _told(edge, large, size, at_playhead, future, strong)
    hidden = [(part.hidden, part.on_floor) for part in built.joined]
    tall = [(part.above if shows_height else part.level, part.on_floor) for part in built.joined]
    found = [
        *_steps("GREATER", hidden, faint),
        *_steps("LESS_EQUAL", hidden, whole),
        *_steps("NONE", tall, above),
        *_steps("NONE", hidden, current),
    ]
    # Texts are readable over anything, and as strong ahead of the playhead.
    return Steps(found, _told((*edge[:3], 1.0), plain, size, span, _NO_FUTURE))


def _steps(depth: str, parts: Sequence[tuple[Any, bool]], told: Matrix) -> Sequence[Step]:
    return [Step(depth, batch, floor, told) for batch, floor in parts if batch is not None]


def _span(now: Wanted) -> tuple[float, float]:
    """Which frames are drawn: a little more on both sides, as the playhead may stand between
    two."""
    return _ALL if now.span is None else (now.span[0] - 1e-3, now.span[1] + 1e-3)


def _told(
    edge: Sequence[float],
    paint: Sequence[float],
    size: tuple[float, float],
    span: tuple[float, float],
    future: tuple[float, float],
    strength: float = 1.0,
) -> Matrix:
    rows = (tuple(edge), tuple(paint), (*size, *span), (*future, strength, 0.0))
    return Matrix(rows).transposed()  # which is handed over by columns


def told_plainly(edge: Sequence[float], size: tuple[float, float]) -> Matrix:
    """What is told where all frames are alike and nothing is painted."""
    return _told(edge, _NO_PAINT, size, _ALL, _NO_FUTURE)
