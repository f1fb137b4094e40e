# SPDX-License-Identifier: GPL-3.0-or-later
"""How much of a held prop's width and length the camera sees."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .carried import Carried
from .screen import picture_of

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Less of its width or length than this, and it cannot be read.
LEAST_SHARE = 0.15
# Props smaller on the picture than this, per cent of its height, are not read at all.
SMALLEST = 2.0


@dataclass(frozen=True, eq=False)
class View:
    """A prop as the camera sees it, over T frames.

    share (T,)      of its true width or length, whichever is seen worse
    by_length (T,)  whether that is the length: it points at the camera
    turn (T,)       degrees that it would have to turn about its own length to be seen flat
    shows (T,)      it is in the picture, known, and large enough
    """

    carried: Carried
    share: Floats
    by_length: Bools
    turn: Floats
    shows: Bools


def view_of(basis: Basis, carried: Carried) -> View:
    """How a camera sees a prop; the clip must have one."""
    ends = carried.placed(basis, carried.lines[0])
    sight = _sight(basis, ends.mean(axis=1))
    along = carried.directed(basis, carried.tip - carried.base)
    length = np.linalg.norm(np.cross(along, sight), axis=-1)
    across, turn = np.ones(len(length)), np.zeros(len(length))
    if carried.width > 0.0:
        wide = carried.directed(basis, carried.edges[1] - carried.edges[0])
        flat = np.abs(np.einsum("ti,ti->t", np.cross(along, wide), sight))
        # Across the seen length; of what points at the camera the length tells it.
        across = np.minimum(flat / np.maximum(length, LEAST_SHARE), 1.0)
        turn = 90.0 - np.degrees(np.arcsin(across))
    return View(
        carried=carried,
        share=np.minimum(length, across),
        by_length=length <= across,
        turn=turn,
        shows=_shows(basis, carried, ends),
    )


def _sight(basis: Basis, place: Floats) -> Floats:
    """(T,3) unit vectors from the camera to places (T,3); of a parallel one, its own direction."""
    picture = picture_of(basis.clip)
    parallel = np.abs(picture.projection[:, 3, 2]) < 1e-9
    way = np.where(parallel[:, None], -picture.axes[:, 2], place - picture.pose[:, :3, 3])
    return np.asarray(way / np.maximum(np.linalg.norm(way, axis=-1, keepdims=True), 1e-12))


def _shows(basis: Basis, carried: Carried, ends: Floats) -> Bools:
    middle = ends.mean(axis=1, keepdims=True)
    _, scale, inside = picture_of(basis.clip).seen(np.concatenate((ends, middle), axis=1))
    size = carried.length * scale[:, 2]
    return np.asarray(inside[:, 2] & (size >= SMALLEST) & basis.valid[:, carried.body])
