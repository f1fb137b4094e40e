# SPDX-License-Identifier: GPL-3.0-or-later
"""A shot's motion in a few bytes a frame, and how unlike two of its moments are."""

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..mark import STEP_SHARE
from .kept import Motion
from .keyed import keyed_of
from .marks import LONGEST, between
from .prints import prints_of

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
# What shows a figure's pose; of others the ends of what is followed, so many at most.
ENDS = ("head", "hand.L", "hand.R", "foot.L", "foot.R")
# What leads is followed by its way from so many seconds before to as many after.
WAY_S = 1.0 / 12.0
# Places of ends against what leads are told in so many steps of a mark (2 cm at 1.7 m).
COARSE = 4.0
# Points so many of these coarse steps apart (10 cm), and ways so many steps apart, are as unlike
# as can be: whatever was done to one part leaves the others to tell the time. Ways may differ by
# that share of them besides, as the same motion slower has shorter ones.
UNLIKE_PLACE, UNLIKE_WAY, UNLIKE_PACE = 5.0, 20.0, 0.5


def motion_of(basis: Basis) -> Motion:
    """The motion of a shot: six points at most, three bytes each a frame.

    Of the body that leads its way over a sixth of a second; of head, hands and feet, or other
    ends, their place against it; level axes turned to where the figure faces; signed bytes of .3 %
    and 1.2 % of the height. It is the same wherever the figure stands and whenever it moves.
    """
    lead, size = basis.lead, STEP_SHARE * basis.height.scene_m
    at = np.arange(len(basis.frames), dtype=np.float64)
    path, beside = basis.positions[:, lead], WAY_S / basis.dt_s
    way = between(path, at + beside) - between(path, at - beside)
    tracks = {basis.bodies[lead].title: _bytes(_level(basis, way) / size)}
    for body in _ends(basis):
        place = _level(basis, basis.positions[:, body] - path)
        tracks[basis.bodies[body].title] = _bytes(place / (COARSE * size))
    step = float(basis.frames[1] - basis.frames[0])
    return Motion(step=step, tracks=tracks, prints=prints_of(basis), keyed=keyed_of(basis))


def unlike(old: Motion, new: Motion, rows: Ints) -> Floats | None:
    """(K,T) how unlike the pose at samples `rows` (K,) of one motion is to each sample of another,
    from 0 to 1; None where they share no point."""
    titles = [title for title in old.tracks if title in new.tracks]
    if not titles:
        return None
    lead = next(iter(new.tracks))
    total: Floats = np.zeros((len(rows), len(new.tracks[titles[0]])))
    for title in titles:
        was, now = old.tracks[title][rows].astype(np.float32), new.tracks[title].astype(np.float32)
        squares = (was**2).sum(-1)[:, None] + (now**2).sum(-1) - 2.0 * (was @ now.T)
        off = np.sqrt(np.maximum(squares, 0.0))
        far = np.full(len(rows), UNLIKE_PLACE)
        if title == lead:
            far = UNLIKE_WAY + UNLIKE_PACE * np.linalg.norm(was, axis=-1)
        total += np.minimum(off / far[:, None], 1.0)
    return total / len(titles)


def _ends(basis: Basis) -> list[int]:
    known = [body for part in ENDS if (body := basis.body(part)) is not None]
    if known:
        return [body for body in known if body != basis.lead]
    carrying = {body.parent for body in basis.bodies}
    ends = [n for n, b in enumerate(basis.bodies) if b.judged and not b.added and n not in carrying]
    return [n for n in ends if n != basis.lead][: len(ENDS)]


def _level(basis: Basis, way: Floats) -> Floats:
    """(T,3) world ways in the level axes that face where the figure does."""
    ahead = basis.forward
    left = np.stack((-ahead[:, 1], ahead[:, 0], np.zeros(len(ahead))), axis=-1)
    return np.stack(((way * ahead).sum(-1), (way * left).sum(-1), way[:, 2]), axis=-1)


def _bytes(steps: Floats) -> NDArray[np.int8]:
    return np.clip(np.round(steps), -LONGEST, LONGEST).astype(np.int8)
