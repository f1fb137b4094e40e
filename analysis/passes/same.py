# SPDX-License-Identifier: GPL-3.0-or-later
"""Was anything of a limb touched there? Two passes' prints, side by side."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil, floor

import numpy as np
from numpy.typing import NDArray

from .kept import Keyed, Motion
from .prints import LEAD, OTHER, TRUNK, limb_title
from .times import TimeMap

# So many seconds before and after a finding belong to it, as to its mark.
BESIDE_S = 0.25
# Checks that look at the whole body: where its mass goes, or whether all of it does the same.
OF_THE_BODY = frozenset(
    ("balance", "carry", "double_frame", "frozen", "gravity", "hang_time", "push", "stop_together")
)
# Checks that look at the whole range of a limb: keys of an arc, strides, both ends of a loop.
OF_THE_RANGE = frozenset(("double_frame", "loop_seam", "off_arc", "sway"))


class Same:
    """Two passes' prints, side by side.

    begins   first frame of the pass before and of this one; fps of this one
    parts    whether parts are taken for other bones than in the pass before: then other bones are
             followed, and all counts as untouched
    """

    def __init__(
        self,
        was: Motion | None,
        now: Motion,
        time: TimeMap,
        begins: tuple[float, float],
        fps: float,
        *,
        parts: bool = False,
    ) -> None:
        self._parts = parts
        self._was = {} if was is None else was.prints
        self._now, self._step, self._first = now.prints, now.step, begins[1]
        self._beside = BESIDE_S * fps
        self._keys = other_stretch(was, now)
        count = len(next(iter(self._was.values()), ()))
        frames = begins[0] + (1.0 if was is None else was.step) * np.arange(count)
        places = np.array([time.at(frame) for frame in frames])
        self._at = np.round((places - self._first) / self._step).astype(np.int64)

    def at(self, frames: tuple[float, float], part: str | None, check: str) -> bool | None:
        """Whether nothing that a check looks at was touched: of a part's limb and of what carries
        it, on these frames of this pass and near them; of the whole body, or in the whole range,
        where the check looks at that. None where that is not known."""
        if self._parts:
            return True
        if self._keys is not None:
            return self._keyed_alike(self._keys, frames, part, check)
        first = round((frames[0] - self._beside - self._first) / self._step)
        last = round((frames[1] + self._beside - self._first) / self._step)
        names = self._names(None if check in OF_THE_BODY else part)
        if names and check in OF_THE_RANGE:
            first, last = 0, len(self._now[names[0]]) - 1
        inside = (self._at >= first) & (self._at <= last)
        if not inside.any() or not names:
            return None
        there = self._at[inside]
        count = len(self._now[names[0]])
        wanted = range(
            max(first, int(self._at.min()), 0), min(last, int(self._at.max()), count - 1)
        )
        if not set(wanted) <= set(there.tolist()):
            return False  # frames were put in
        # The first sample of a range has none before it that could tell its way.
        held = (there > 0) & (there < count) & (np.flatnonzero(inside) > 0)
        if not held.any():
            return None
        return all(
            np.array_equal(self._was[name][inside][held], self._now[name][there[held]])
            for name in names
        )

    def _keyed_alike(
        self, keys: "SameKeys", frames: tuple[float, float], part: str | None, check: str
    ) -> bool | None:
        """The same by keys, where time is remapped: poses lie between those of the pass before."""
        limbs = None if check in OF_THE_BODY else _limbs(part)
        span = frames[0] - self._beside, frames[1] + self._beside
        return keys.at(None if limbs and check in OF_THE_RANGE else span, limbs)

    def _names(self, part: str | None) -> list[str]:
        """The prints that tell of a part; none where one of the passes lacks them."""
        every = set(self._was) | set(self._now)
        limbs = _limbs(part)
        names = every if limbs is None else {LEAD, *limbs} & every
        return sorted(names) if names <= set(self._was) & set(self._now) else []


def _limbs(part: str | None) -> set[str] | None:
    """The limbs whose poses tell of a part, besides what leads; None for all."""
    limb = limb_title(part)
    # What a prop does hangs on who holds it; a rig without roles is whole.
    return None if part is None or limb == OTHER else {TRUNK, limb}


def other_stretch(was: Motion | None, now: Motion) -> "SameKeys | None":
    """The keys of two passes in which time is remapped otherwise; None where it is not."""
    before = None if was is None else was.keyed
    if before is None or now.keyed is None or before.stretch == now.keyed.stretch:
        return None
    return SameKeys(before, now.keyed)


@dataclass(frozen=True, eq=False)
class SameKeys:
    """The keys of two passes side by side, in which time is remapped otherwise."""

    was: Keyed
    now: Keyed

    @property
    def times(self) -> float:
        """How many scene frames of this pass take one of the pass before."""
        return self.now.stretch / self.was.stretch

    def share(self) -> float:
        """Of the frames of animation that both played, those on which all keys say the same."""
        begin, end = max(self.was.first, self.now.first), min(_end(self.was), _end(self.now))
        if end <= begin or set(self.was.prints) != set(self.now.prints):
            return 0.0
        alike = [
            _cut(self.was, name, begin, end) == _cut(self.now, name, begin, end)
            for name in self.was.prints
        ]
        return float(np.all(alike, axis=0).mean())

    def at(self, span: tuple[float, float] | None, limbs: Iterable[str] | None) -> bool | None:
        """Whether nothing was keyed otherwise that moves these limbs, all where None, on scene
        frames of this pass, all where None. None where that is not known."""
        begin = max(self.was.first, self.now.first)
        end = min(_end(self.was), _end(self.now))
        if span is not None:
            begin = max(begin, floor(span[0] / self.now.stretch))
            end = min(end, ceil(span[1] / self.now.stretch) + 1)
        both = set(self.was.prints) | set(self.now.prints)
        # What nothing keyed moves by itself goes with what does.
        names = (both & set(limbs or ())) or both
        if end <= begin or not names:
            return None
        return all(
            name in self.was.prints
            and name in self.now.prints
            and np.array_equal(_cut(self.was, name, begin, end), _cut(self.now, name, begin, end))
            for name in names
        )


def _end(keyed: Keyed) -> int:
    return keyed.first + len(next(iter(keyed.prints.values())))


def _cut(keyed: Keyed, name: str, begin: int, end: int) -> NDArray[np.uint16]:
    return keyed.prints[name][begin - keyed.first : end - keyed.first]
