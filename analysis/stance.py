# SPDX-License-Identifier: GPL-3.0-or-later
"""How long a foot bears in a stride: while it stands, and while it rolls over heel and toe.

A plant ends where its foot is fast, or lasts while a swing begins slowly; but a heel that comes
down, and toes that push off, bear the body while they still move, and a foot that has left does
not. What tells is the way ahead: a foot that bears does not go on with the body.

Frames are counted, the first and the last one on which it bears among them, as people count who
key: a foot that is keyed down from frame 1 to 15 bears on 15 of a stride's 24 frames, .62, though
.58 of its time lie between these keys. Of motion that keeps to no frames, as captures, the count is
right to half a frame on average.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis.contacts import Soles, runs
from .basis.ground import LOW_SHARE

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Shares of the height, centimetres at 1.7 m. A foot is still while a low point of its sole goes
# the body's way by less than 5 % of the body's pace, or .05 m/s where that is more, beyond what
# is usual in its plant. From there on it bears as long as it is no more than .2 cm further than it
# stood still; a capture trembles, so that it may be up to 1 cm off in between, and what goes back
# counts up to 1 cm. That is asked for so long before and after the plant.
STILL_PACE, STILL_SHARE, FURTHER_SHARE = 0.05, 0.05 / 1.7, 0.002 / 1.7
TREMBLE_SHARE, REACH_S = 0.01 / 1.7, 0.17
# The body goes on over a foot by this share of the height (5 cm), else there is no way ahead.
GOES_SHARE = 0.05 / 1.7


@dataclass(frozen=True, eq=False)
class Tread:
    """How one foot goes over what bears it: E samples, N points of its sole.

    low (E,N)      whether a point is near what bears it
    steps (E,N,3)  metres that a point goes over that until the next sample; the last are zero
    """

    low: Bools
    steps: Floats

    @classmethod
    def of(cls, soles: Soles, height_m: float) -> "Tread":
        """The tread of a foot over a range."""
        low = (soles.clearance < LOW_SHARE * height_m) & soles.sole.known
        return cls(low, np.concatenate((soles.steps, np.zeros_like(soles.steps[:1]))))

    def again(self, closing: Floats, length: int, rounds: int) -> "Tread":
        """The tread of so many rounds of a loop; `closing` (N,3) is the step over its seam."""
        each = np.concatenate((self.steps[: length - 1], closing[None]))
        return Tread(np.tile(self.low[:length], (rounds, 1)), np.tile(each, (rounds, 1, 1)))


def bears(stands: Bools, tread: Tread, lead: Floats, dt_s: float, height_m: float) -> Bools:
    """(E,) whether a foot bears that stands (E,) in its plants, under a body on its way (E,3).

    Plants become longer or shorter by what their ends do, and never meet. Where the body stays
    over its foot they are left as they are.
    """
    spans, found, last = runs(stands), np.array(stands), len(stands) - 1
    reach, ended = max(round(REACH_S / dt_s), 1), -2
    for n, (a, b) in enumerate(spans):
        way = (lead[b] - lead[a]) * [1.0, 1.0, 0.0]
        far = float(np.linalg.norm(way))
        ahead = _ahead(tread, way / far, a, b) if far >= GOES_SHARE * height_m else None
        if ahead is None:
            ended = b
            continue
        still = max(STILL_PACE * far / (b - a), STILL_SHARE * height_m * dt_s)
        before = max(ended + 2, a - reach)
        after = min(spans[n + 1][0] - 2 if n + 1 < len(spans) else last, b + reach)
        inner = (min((a + b) // 2, a + reach), max((a + b) // 2, b - reach))
        found[a : b + 1] = False
        b = _end(ahead, (inner[1], b, after), still, height_m)
        # The same backwards: samples are counted from the end.
        turned = (last - inner[0], last - a, last - before)
        a = last - _end(ahead[-2::-1], turned, still, height_m)
        found[a : b + 1], ended = True, b
    return found


def _ahead(tread: Tread, way: Floats, first: int, last: int) -> Floats | None:
    """(E,) metres that the sole goes along a unit vector until the next sample, more than in a
    plant: of the low point that goes on least; endless where none is low. None where none ever
    is in the plant."""
    both = tread.low.copy()
    both[:-1] &= tread.low[1:]
    both[-1] = False
    least = np.where(both, tread.steps @ way, np.inf).min(axis=1)
    inside = least[first:last][np.isfinite(least[first:last])]
    return np.asarray(least - np.median(inside)) if len(inside) else None


def _end(ahead: Floats, samples: tuple[int, int, int], still: float, height_m: float) -> int:
    """The last sample on which a foot bears, out of a range around where its plant ends.

    ahead (E,)   metres that it goes on until the next sample; `still`: what is none
    samples      the first of that range, the plant's last, the last of the range
    """
    first, stop, last = samples
    while stop > first and ahead[stop - 1] >= still:
        stop -= 1
    further = 0.0
    for at in range(stop, last):
        further = max(further + float(ahead[at]), -TREMBLE_SHARE * height_m)
        if further > TREMBLE_SHARE * height_m:
            break
        if further <= FURTHER_SHARE * height_m:
            stop = at + 1
    return stop
