# SPDX-License-Identifier: GPL-3.0-or-later
"""The search for pops: blocks of samples that leave a path and come back, on every body."""

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .ends import EDGE, Ends
from .off_alone import OffAlone
from .off_path import REACH, Block, Places, Seen, look_at, sizes, strides, usual
from .pop_limits import (
    BY_WIDTH,
    LONGEST_S,
    PLAINLY_ALONE,
    STRIDE,
    USUAL_S,
    apart,
    comes_back,
    hidden,
    knees,
    least_sizes,
    starts,
    strikes,
)

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Samples of a loop on either side of its seam: a path that breaks there is off on one side.
AT_SEAM = 2


@dataclass(frozen=True, eq=False)
class Pop:
    """A block of samples of one mark that is off its path.

    first, last    the block's first and last sample
    offset (W,3)   its samples minus their path, scene metres; `stride` samples apart
    limit          what its size is compared with, widened by tolerance and style
    """

    body: int
    mark: int
    first: int
    last: int
    stride: int
    offset: Floats
    size: float
    limit: float

    @property
    def ratio(self) -> float:
        """Size over limit: how clear it is."""
        return self.size / self.limit


@dataclass(frozen=True, eq=False)
class _Blocks:
    """N blocks that were looked at.

    visible (N,)   what each must be off at least to be seen, metres
    strike (N,)    factor on limits where a leg's foot lands or leaves
    back (N,)      whether the point leaves a path and comes back to it
    """

    places: Places
    seen: Seen
    visible: Floats
    strike: Floats
    back: Bools

    def kept(self, which: Bools) -> "_Blocks":
        seen = {each.name: getattr(self.seen, each.name)[which] for each in fields(Seen)}
        places = Places(*(each[which] for each in self.places))
        rest = (self.visible[which], self.strike[which], self.back[which])
        return _Blocks(places, Seen(**seen), *rest)


def find_pops(basis: Basis, ends: Ends, known: Bools) -> list[Pop]:
    """All blocks over their limits, of all widths and strides; they may overlap.

    known (T,B)   False in gaps and near them
    """
    return [
        pop
        for stride in strides(basis.clip.fps)
        for width in BY_WIDTH
        if width * stride * basis.dt_s <= LONGEST_S + 1e-6
        for pop in _find(basis, ends, known, Block(width, stride))
    ]


def _find(basis: Basis, ends: Ends, known: Bools, block: Block) -> list[Pop]:
    if ends.length < 2 * REACH * block.stride + block.covers + 2:
        return []
    factor = basis.settings.factor("pop") * (STRIDE if block.stride > 1 else 1.0)
    factor *= apart(basis)
    paths = ends.padded("marks", block.margin)
    size = sizes(paths[0], block)
    size[~_judged(ends, known, block)] = 0.0
    blocks = _visible(basis, ends, block, paths, size, factor)
    limit = np.maximum(blocks.visible, _rough(basis, block, blocks, size, factor))
    limit[~blocks.back] = np.inf
    small = np.flatnonzero(blocks.seen.size < limit)
    if len(small):
        alone = OffAlone(basis, ends, block, blocks.places.at[small])
        for n in small:
            place = tuple(int(each[n]) for each in blocks.places)
            times = float(factor * blocks.strike[n]) * (1.0 if blocks.back[n] else PLAINLY_ALONE)
            if alone.explains(Places(*place), float(blocks.seen.size[n]), times):
                limit[n] = blocks.visible[n]
    return [
        _pop(block, blocks, int(n), limit[n]) for n in np.flatnonzero(blocks.seen.size >= limit)
    ]


def _visible(
    basis: Basis, ends: Ends, block: Block, paths: tuple[Floats, ...], size: Floats, factor: float
) -> _Blocks:
    """The blocks that can be seen, but for those that neither come back nor could be told by
    the body's own motion: between two stands, at a seam, where a foot lands."""
    least = factor * least_sizes(basis, block.width)
    places = Places(*np.nonzero(size >= least[:, None]))
    seen = look_at(paths, block, places)
    strike = strikes(basis, ends.lenience)[places.at, places.body]
    step = factor * strike * BY_WIDTH[block.width].step * seen.step * knees(basis)[places.body]
    visible = np.maximum(least[places.body], step)
    at_seam = np.minimum(places.at, ends.length - 1 - places.at) < AT_SEAM
    back = comes_back(seen, plainly=at_seam)
    blocks = _Blocks(places, seen, visible, strike, back)
    alone = starts(seen) | at_seam | (strike > 1.0)
    return blocks.kept((seen.size >= visible) & (back | ~alone))


def _rough(basis: Basis, block: Block, blocks: _Blocks, size: Floats, factor: float) -> Floats:
    """(N,) what the roughness of the paths themselves hides."""
    limits = BY_WIDTH[block.width]
    around = usual(size, max(round(USUAL_S / basis.dt_s), 1), blocks.places)
    rough = np.maximum(hidden(blocks.seen, block), limits.usual * around)
    return np.asarray(factor * blocks.strike * rough)


def _judged(ends: Ends, known: Bools, block: Block) -> Bools:
    """(L,B) blocks that can be judged, by their first samples."""
    judged = known[: ends.length].copy()
    for shift in range(1, block.covers):
        judged[:-shift] &= known[shift : ends.length]
    edge = 0 if ends.wraps and block.covers == 1 else EDGE * block.stride
    judged[:edge] = False
    judged[max(ends.length - edge - block.covers + 1, 0) :] = False
    return judged


def _pop(block: Block, blocks: _Blocks, n: int, limit: float) -> Pop:
    first = int(blocks.places.at[n])
    return Pop(
        body=int(blocks.places.body[n]),
        mark=int(blocks.places.mark[n]),
        first=first,
        last=first + block.covers - 1,
        stride=block.stride,
        offset=blocks.seen.offset[n],
        size=float(blocks.seen.size[n]),
        limit=float(limit),
    )
