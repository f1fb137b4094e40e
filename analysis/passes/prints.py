# SPDX-License-Identifier: GPL-3.0-or-later
"""Was anything of a limb touched there? Prints of a shot's motion, two bytes a limb and frame.

A mark sees a joint's way, and tracks see places to 2 cm. Prints see all: joints, tips and twists to
a tenth of a millimetre, against what leads the figure; so they are the same wherever it stands and
whichever way it faces. They tell no more than that something is as it was, or is not.
"""

import zlib
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from .. import quaternions as quat
from ..basis import Basis
from ..parts import TRUNK as TRUNK_KINDS
from ..parts import limb_of, split_part
from .kept import Motion, Prints
from .times import TimeMap

Floats = NDArray[np.float64]
# What is smaller than this share of the height is float rounding (.17 mm at 1.7 m).
FINE_SHARE = 1e-4
# So many seconds before and after a finding belong to it, as to its mark.
BESIDE_S = 0.25
# Checks that look at the whole body: where its mass goes, or whether all of it does the same.
OF_THE_BODY = frozenset(
    ("balance", "carry", "double_frame", "frozen", "gravity", "hang_time", "push", "stop_together")
)
# Checks that look at the whole range of a limb: keys of an arc, strides, both ends of a loop.
OF_THE_RANGE = frozenset(("double_frame", "loop_seam", "off_arc", "sway"))
LEAD, TRUNK, HEAD, OTHER = "lead", "trunk", "head", "other"


def prints_of(basis: Basis) -> Mapping[str, Prints]:
    """By the limb that a body belongs to, its innermost part, (T,) a number for each sample's pose;
    what leads, the trunk, the head with its neck and what is none of these (props) have theirs."""
    lead, fine = basis.lead, FINE_SHARE * basis.height.scene_m
    against = (basis.marks - basis.positions[:, lead, None, None]) / fine
    back = quat.conjugate(basis.rotations[:, lead])
    own = quat.rotate(back[:, None, None], against)
    groups: dict[str, list[int]] = {}
    for n, body in enumerate(basis.bodies):
        if body.judged and not body.added:
            groups.setdefault(_limb(body.part), []).append(n)
    return {
        LEAD: _printed(_of_lead(basis, back, fine)),
        **{limb: _printed(own[:, bodies]) for limb, bodies in groups.items()},
    }


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

    def _names(self, part: str | None) -> list[str]:
        """The prints that tell of a part; none where one of the passes lacks them."""
        every = set(self._was) | set(self._now)
        limb = _limb(part)
        # What a prop does hangs on who holds it; a rig without roles is whole.
        names = every if part is None or limb == OTHER else {LEAD, TRUNK, limb} & every
        return sorted(names) if names <= set(self._was) & set(self._now) else []


def _limb(part: str | None) -> str:
    """What the prints of a part's limb are called; a rig without roles is all trunk."""
    kind = "" if part is None else split_part(part)[0]
    if part is None or kind in TRUNK_KINDS:
        return HEAD if kind in ("neck", "head") else TRUNK
    return next(iter(limb_of(part)), OTHER)


def _of_lead(basis: Basis, back: Floats, fine: float) -> Floats:
    """(T,8): the way and the turn of what leads since the sample before, as it sees them, how it
    leans and how high it is."""
    lead = basis.lead
    path, turn = basis.positions[:, lead], basis.rotations[:, lead]
    way = quat.rotate(back, np.diff(path, axis=0, prepend=path[:1])) / fine
    since = quat.multiply(back, np.concatenate((turn[:1], turn[:-1])))
    up = quat.rotate(back, np.broadcast_to([0.0, 0.0, 1.0], path.shape))
    high = path[:, 2:] / fine
    return np.concatenate((way, since[:, 1:] / FINE_SHARE, up / FINE_SHARE, high), axis=1)


def _printed(values: Floats) -> Prints:
    """(T,) a number for each of (T,...) values."""
    whole = np.round(values).astype(np.int64).reshape(len(values), -1)
    return np.array([zlib.crc32(row.tobytes()) & 0xFFFF for row in whole], dtype=np.uint16)
