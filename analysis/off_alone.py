# SPDX-License-Identifier: GPL-3.0-or-later
"""How far bodies are off by themselves: against what carries them.

There honest motion is slower and smoother than in the world, and a stray key of one control
stands alone: fast limbs hide in the world what is plain against the body.
"""

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .ends import Ends, Name
from .off_path import Block, Places, look_at, sizes, usual
from .pop_limits import BY_WIDTH, OWN_LEAST, OWN_LEAST_RAD, USUAL_S, comes_back

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# What a body's own motion, or that of what carries it, must explain of what is seen.
EXPLAINS = 0.5


class OffAlone:
    """The bodies of a basis where some blocks start, see `explains`."""

    def __init__(self, basis: Basis, ends: Ends, block: Block, at: Ints) -> None:
        self._basis, self._ends, self._block = basis, ends, block
        self._times = np.unique(at)
        least = OWN_LEAST * basis.height.scene_m
        self._metres, self._clear_m = self._off("own_marks", least)
        # A quaternion changes by half the angle that it turns.
        half, self._clear_turn = self._off("own_rotations", OWN_LEAST_RAD / 2.0)
        self._turn = 2.0 * half

    def explains(self, place: Places, size: float, factor: float) -> bool:
        """Whether a mark that is off by `size` metres is so by the doing of its body, or of
        one that carries it: it clearly (`factor` times) left its own path, and far enough."""
        at, body, mark = place
        row = int(np.searchsorted(self._times, at))
        point = self._basis.marks[at, body, mark]
        for n in (int(body), *self._basis.ancestors(int(body))):
            thrown = 0.0
            if self._clear_m[row, n] >= factor:
                thrown = float(self._metres[row, n])
            if self._clear_turn[row, n] >= factor:
                arm = float(np.linalg.norm(point - self._basis.positions[at, n]))
                thrown = max(thrown, float(self._turn[row, n]) * arm)
            if thrown >= EXPLAINS * size:
                return True
        return False

    def _off(self, name: Name, least: float) -> tuple[Floats, Floats]:
        """(U,B) how far each body is off at each time, and how clearly (1 at the limit)."""
        paths = self._ends.padded(name, self._block.margin)
        if name == "own_rotations":
            paths = tuple(path[:, :, None] for path in paths)
        size = sizes(paths[0], self._block)
        shape = (len(self._times), *size.shape[1:])
        row, body, mark = np.indices(shape).reshape(3, -1)
        places = Places(self._times[row], body, mark)
        seen = look_at(paths, self._block, places)
        limits = BY_WIDTH[self._block.width]
        around = usual(size, max(round(USUAL_S / self._basis.dt_s), 1), places)
        limit = least + np.maximum(limits.own_left * seen.left, limits.own_usual * around)
        clear = np.where(comes_back(seen), seen.size / limit, 0.0)
        return seen.size.reshape(shape).max(axis=2), clear.reshape(shape).max(axis=2)
