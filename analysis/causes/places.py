# SPDX-License-Identifier: GPL-3.0-or-later
"""Where a finding is, or a question, and how much is gone there when the figure moves otherwise."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..finding import Finding
from ..parts import limb_of
from .groups import SAME_FRAME, Group, field_factor
from .own_path import jerk
from .repairs import SUGGESTED

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# Frames beside a finding whose jerk it changes: third differences reach so far.
MARGIN = 3
# What the range that plays does, or the camera: no key of the figure makes it.
OF_NO_KEY = ("double_frame", "camera_jump")
# What is to rest and does not: its way is the fault, and not its jerk.
RESTING = ("slide",)
# What is wrong there is how a joint bends, and what carries it may have turned beneath it.
OF_A_JOINT = ("torso_break",)
# What stands dead needs a pose of its own: a move just over the limit is none.
DEAD = ("frozen",)
# Who points at a frame may be so many frames off.
POINTED = 2.0
# A foot whose height over what bears it changes by more than this share of the height (.5 cm) does
# not stand as it stood.
LIFT_SHARE = 0.005 / 1.7


@dataclass(frozen=True, eq=False)
class Place:
    """A finding's body (None for the whole figure) and its first and last sample.

    finding   None where no check found anything and the user asks
    """

    finding: Finding | None
    body: int | None
    first: int
    last: int

    @property
    def rests(self) -> bool:
        """Whether the part should keep still there."""
        return self.finding is not None and self.finding.check in RESTING

    @property
    def offset(self) -> Floats | None:
        """(3,) where the finding asks for the body's joint, from where it is; or None."""
        advice = None if self.finding is None else self.finding.suggestion
        return None if advice is None else advice.offset

    def led_by(self, basis: Basis, body: int) -> tuple[int, ...]:
        """The place's body, and what else may have moved against it: what carries it."""
        parent = basis.bodies[body].parent
        bends = self.finding is not None and self.finding.check in OF_A_JOINT and parent >= 0
        return (body, parent) if bends else (body,)

    def peak_frame(self, basis: Basis) -> float:
        """The frame that shows it most, or the middle of those that are asked about."""
        if self.finding is not None:
            return self.finding.peak_frame
        return float(basis.frames[(self.first + self.last) // 2])

    def reach(self, basis: Basis) -> tuple[float, float]:
        """The scene frames whose keys may be to blame, from the first to the last."""
        beside = POINTED if self.finding is None else 0.0
        return float(basis.frames[self.first]) - beside, float(basis.frames[self.last]) + beside

    def around(self, count: int) -> Ints:
        """Sample indices of the finding with some on either side, of a clip of `count`."""
        first, last = max(self.first - MARGIN, 0), min(self.last + MARGIN, count - 1)
        return np.arange(first, last + 1)


def place_of(basis: Basis, finding: Finding) -> Place:
    """The finding's samples and the body that is to be mended."""
    first, last = (int(np.argmin(np.abs(basis.frames - f))) for f in finding.frames)
    bodies = [n for n, body in enumerate(basis.bodies) if body.title == finding.owner]
    return Place(finding, bodies[0] if bodies else None, first, last)


def stand(basis: Basis, place: Place) -> tuple[float, float]:
    """First and last frame on which the place's foot stands; of other parts the finding's own."""
    side = (basis.bodies[place.body or 0].part or "").rpartition(".")[2]
    for plant in basis.plants:
        if plant.side == side and plant.first <= place.last and place.first <= plant.last:
            return float(basis.frames[plant.first]), float(basis.frames[plant.last])
    return float(basis.frames[place.first]), float(basis.frames[place.last])


def named_off(place: Place, group: Group, frame: float) -> Floats | None:
    """(K,) what the channels gain on a key's frame by the finding's own advice, in their units;
    None where that names no key, or another one."""
    advice = None if place.finding is None else place.finding.suggestion
    if advice is None:
        return None
    off, named = np.zeros(len(group.curves)), False
    for edit in advice.edits:
        for k, curve in enumerate(group.curves):
            here = (edit.control, edit.channel) == (curve.control, curve.channel)
            if here and abs(edit.frame - frame) <= SAME_FRAME:
                off[k], named = (edit.after - edit.before) / field_factor(curve.channel), True
    return off if named else None


def tells_point(place: Place) -> bool:
    """Whether the finding tells where one point should be on one frame, and no more."""
    advice = None if place.finding is None else place.finding.suggestion
    return advice is not None and len({edit.frame for edit in advice.edits}) <= 1


def names(place: Place, group: Group, frame: float | None = None, kind: str = "") -> bool:
    """Whether the finding names a group, or its key on a frame, as one that such a repair mends."""
    advice = None if place.finding is None else place.finding.suggestion
    if advice is None:
        return False
    key = advice.key
    if key is not None and (key.control, key.group) == (group.control, group.name):
        here = frame is None or abs(key.frame - frame) <= SAME_FRAME
        return here and kind in ("", key.mend)
    if frame is None:
        return any(edit.control == group.control for edit in advice.edits)
    return kind in ("", SUGGESTED) and named_off(place, group, frame) is not None


def rests(basis: Basis, group: Group, place: Place) -> bool:
    """Whether a group's control should keep still there: it is what holds the part, and no more."""
    if not place.rests or place.body is None:
        return False
    limb = limb_of(basis.bodies[place.body].part or "")
    driven = {body.part for body in basis.bodies if body.judged and body.name in group.drives}
    return bool(driven) and driven <= set(limb)


def explained(basis: Basis, place: Place, before: Floats, after: Floats) -> float:
    """The share of what is wrong at a place that is gone, 0 to 1.

    before, after   (N,B,2,3) joints and tips of all bodies over the place's samples

    Of the part's jerk; of a part that should keep still, of its way, where that is more.
    """
    chosen = [
        n
        for n, body in enumerate(basis.bodies)
        if (body.judged if place.body is None else n == place.body)
    ]
    one, other = before[:, chosen], after[:, chosen]
    gone = _share(jerk(one), jerk(other))
    if place.rests:
        gone = max(gone, _share(np.diff(one, axis=0), np.diff(other, axis=0)))
    return gone


def still_stands(before: Basis, after: Basis, place: Place) -> float:
    """1 where a foot that stands at a place keeps its height in `after`, and none of its sole is
    lifted, 0 where it does not: tipped onto its toes it slips no more either."""
    at = slice(place.first, place.last + 1)
    for was, now in zip(before.soles, after.soles, strict=True):
        if was.sole.body == place.body:
            lowest = now.clearance[at].min(axis=1) - was.clearance[at].min(axis=1)
            lifted = (now.clearance[at] - was.clearance[at]).max()
            most = max(float(np.abs(lowest).max()), float(lifted))
            return float(most <= LIFT_SHARE * before.height.scene_m)
    return 1.0


def reached(before: Basis, after: Basis, place: Place) -> float:
    """How much of the way that a finding asks for its part goes in `after`, 0 to 1; 1 where it asks
    for none."""
    if place.finding is None or place.offset is None or place.body is None:
        return 1.0
    advice = place.finding.suggestion
    frame = place.finding.peak_frame if advice is None or advice.frame is None else advice.frame
    at = int(np.argmin(np.abs(before.frames - frame)))
    moved = after.positions[at, place.body] - before.positions[at, place.body]
    return float(np.clip(moved @ place.offset / max(place.offset @ place.offset, 1e-12), 0.0, 1.0))


def _share(before: Floats, after: Floats) -> float:
    was = float((before**2).sum())
    return float(np.clip(1.0 - (after**2).sum() / max(was, 1e-18), 0.0, 1.0))
