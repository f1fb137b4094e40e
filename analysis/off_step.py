# SPDX-License-Identifier: GPL-3.0-or-later
"""A pose that breaks the step: on twos, a frame that shows neither its pose nor the next one.

Animation on twos is judged from pose to pose, which leaves every second frame out. What
stands there must be the pose before it, or, where the step shifts, the one after it.
"""

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .checks import pop
from .evidence import Evidence, OwnMotion, RawEvent, Suggestion
from .exposure import NAMES, Exposures
from .words import frame_text

Floats = NDArray[np.float64]

# An inbetween may lie off the straight way between two poses by this share of a step there.
ARC_SHARE = 1.0 / 3.0


def find_off_step(basis: Basis, found: Exposures) -> Evidence:
    """Frames that are off their step, as pops; `basis` has every frame.

    A frame that shows a pose between the two beside it is on ones for once, and that is no
    break. How far it is off is its distance from the straight way between them, where that is
    more than a third of what the point goes from pose to pose there (arcs and turns); a finding
    from what `pop` takes for visible on.
    """
    off = _off(basis, found)
    limit = pop.SEEN_SHARE * basis.height.scene_m * basis.settings.factor("pop")
    events = tuple(
        _event(basis, int(body), int(at), float(off[at, body]), limit, int(found.steps[body]))
        for at, body in np.argwhere(off >= limit)
        if basis.bodies[body].judged
    )
    turn = np.zeros_like(off)
    clear = np.where(off >= pop.OWN_SHARE * limit, off, 0.0)
    return Evidence("pop", events, OwnMotion(clear, off, turn, turn))


def _off(basis: Basis, found: Exposures) -> Floats:
    """(T,B) how far the frames between poses are off, against what carries the body, which may
    be on ones; 0 on poses, and of bodies that are on ones themselves."""
    marks = basis.own_marks
    off = np.zeros(basis.valid.shape)
    count = len(off)
    for step, first in found.firsts.items():
        chosen = np.flatnonzero((found.steps == step) & (found.own == step))
        for shift in range(1, step):
            between = np.arange(first + shift, count, step)
            before = between - shift
            after = np.minimum(before + step, count - 1)
            known = basis.valid[between] & basis.valid[before] & basis.valid[after]
            steps = [_step(marks, held, step) for held in (before - step, before, after)]
            far = _from_line(marks[between], marks[before], marks[after])
            far = np.where(far >= ARC_SHARE * np.max(steps, axis=0), far, 0.0).max(axis=-1)
            off[np.ix_(between, chosen)] = np.where(known, far, 0.0)[:, chosen]
    return off


def _from_line(points: Floats, before: Floats, after: Floats) -> Floats:
    """(N,B,3) how far marks (N,B,3,3) are from the straight way between two poses."""
    way, gap = after - before, points - before
    square = np.maximum(np.einsum("...i,...i->...", way, way), 1e-300)
    along = np.clip(np.einsum("...i,...i->...", gap, way) / square, 0.0, 1.0)
    return np.asarray(np.linalg.norm(gap - along[..., None] * way, axis=-1))


def _step(marks: Floats, held: NDArray[np.int64], step: int) -> Floats:
    """(N,B,3) how far marks go from a pose to the next one."""
    start = np.clip(held, 0, len(marks) - 1)
    after = np.clip(held + step, 0, len(marks) - 1)
    return np.asarray(np.linalg.norm(marks[after] - marks[start], axis=-1))


def _event(basis: Basis, body: int, at: int, size: float, limit: float, step: int) -> RawEvent:
    frame = frame_text(basis.frames[at])
    return RawEvent(
        check="pop",
        body=body,
        first=at,
        last=at,
        peak=at,
        amount=basis.amount(size),
        limit=basis.amount(limit),
        unit=basis.unit,
        visible_m=size,
        step_m=0.0,
        says=(
            f"The {{who}} breaks the {NAMES[step]} at frame {frame}: a pose of its own, "
            f"{basis.size_text(size)} off the ones beside it."
        ),
        suggestion=Suggestion(
            f"Hold the pose before it at frame {frame}, for {{who}}: delete the key there.",
            frame=float(basis.frames[at]),
        ),
    )
