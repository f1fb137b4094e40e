# SPDX-License-Identifier: GPL-3.0-or-later
"""Swings whose path is a straight line though their spacing is not even: worth an eye.

Captured and well-keyed hands hardly ever move so (none of 308 swings of the corpus' half A), but
a push or a pull may: from motion alone it is no fault.
"""

import numpy as np
from numpy.typing import NDArray

from .arcs import arc_height
from .basis import Basis
from .evidence import Look
from .parts import split_part
from .strokes import Stroke, find_strokes
from .words import frame_text

Floats = NDArray[np.float64]

# A swing covers this share of the height at least, and rises off its chord by so much of it at
# most; the straightest few are told.
SWING_SHARE, STRAIGHT_SHARE, MOST = 0.2, 0.03, 3
_KINDS = ("head", "hand", "prop", "")
# What goes along with the body does not swing: it moves against it by so much of its way.
AGAINST_BODY = 0.5


def straight_swings(basis: Basis, check: str, told: list[tuple[int, int, int]]) -> tuple[Look, ...]:
    """Looks at straight swings of head, hands, props and bodies without a part.

    told   body, first and last sample of what is a finding already
    """
    found = []
    for body, each in enumerate(basis.bodies):
        if not each.judged or split_part(each.part or "")[0] not in _KINDS:
            continue
        steps = np.linalg.norm(np.diff(basis.positions[:, body], axis=0), axis=-1)
        for stroke in find_strokes(np.append(steps, steps[-1:])):
            first, last = stroke.first, stroke.last
            known = any(b == body and f < last and a > first for b, f, a in told)
            look = None if known else _look(basis, check, body, stroke)
            if look is not None:
                found.append(look)
    return tuple(sorted(found, key=lambda look: -look.score)[:MOST])


def _look(basis: Basis, check: str, body: int, stroke: Stroke) -> Look | None:
    """The look at a stroke, where it is a straight swing."""
    path, span = basis.positions[:, body], stroke.span
    chord = _way(path, stroke)
    if not basis.valid[span, body].all() or chord < SWING_SHARE * basis.height.scene_m:
        return None
    against = chord
    if body != basis.lead:
        against = _way(path - basis.positions[:, basis.lead], stroke)
    height = arc_height(path[span])
    if height > STRAIGHT_SHARE or against < AGAINST_BODY * chord:
        return None
    a, b = (frame_text(basis.frames[at]) for at in (stroke.first, stroke.last))
    says = (
        f"The {{who}} swings in a straight line from frame {a} to {b}: "
        f"{basis.size_text(chord)} long, {basis.size_text(height * chord)} off it."
    )
    return Look(check, body, stroke.first, stroke.last, chord / basis.height.scene_m, says)


def _way(path: Floats, stroke: Stroke) -> float:
    return float(np.linalg.norm(path[stroke.last] - path[stroke.first]))
