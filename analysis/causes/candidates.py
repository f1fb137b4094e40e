# SPDX-License-Identifier: GPL-3.0-or-later
"""Which keys may have made a finding, the likeliest first, by what curves and matrices tell."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from .drafts import Draft, drafts
from .effect import Followers
from .groups import Group
from .own_path import lever, oddness, scales
from .places import Place, explained, names, rests
from .pose_keys import PoseKeys
from .repairs import RETIME, SMOOTH, SPREAD, UNWIND, Repair, keys_changed
from .values import held_side, jerk_of_smoothest

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# A repair that changes more samples than this is asked about around the finding alone.
MOST_SAMPLES = 40
# How much of a finding a repair is believed to take where only the rig can tell.
UNTOLD = 0.3
# What a finding is explained by has to count for something, and what does not not for nothing.
LEAST_EXPLAINED = 0.1
# A switch that moves nothing foretellable is worth asking about: as odd as this, metres.
SWITCH_ODD = 1.5
# Jerk that is usual on the keys of any curve, metres.
USUAL_M = 0.005
# A turn gone wrong and a value held exactly are seldom meant.
UNWIND_BONUS, HELD_BONUS = 5.0, 2.0
# A key that the curves alone show to be wrong: its way in metres counts so often. Keys away from
# the finding count less, by this much a frame.
PLAINLY, FORGOTTEN = 3.0, 0.1
# A key that takes all of a slip is as odd as this, metres.
STILL_ODD = 0.2
# A key that the finding itself names is odd, and odder than what its own curve shows.
NAMED_ODD, NAMED_BONUS = 0.5, 10.0
# Changes of a channel that are none.
LEAST_CHANGE = 1e-6
# Of so many of the oddest it is foretold what they take of the finding, and so many of the
# likeliest are judged by their very keys.
ROUGHLY, EXACTLY = 16, 8


@dataclass(frozen=True, eq=False)
class Candidate:
    """A repair, how odd its key is, and how much of the finding it is foretold to take.

    samples (N,), change (N,K)   what its channels gain where they change
    odd                          by the key's own curves; larger is odder
    foretold                     0 to 1
    cut                          whether it would change more samples than these
    """

    repair: Repair
    odd: float
    foretold: float
    samples: Ints
    change: Floats
    cut: bool = False

    @property
    def weight(self) -> float:
        """How likely it is, before the rig is asked."""
        return self.odd * (LEAST_EXPLAINED + self.foretold)


def candidates(
    basis: Basis, groups: Sequence[Group], poses: PoseKeys, place: Place
) -> list[Candidate]:
    """All repairs that touch a finding's frames, the likeliest first; of each group and key one of
    when it comes, and one of what it is.

    The repairs of all keys are looked at roughly, those that lead then exactly.
    """
    rough = [
        (odd, draft, judge)
        for group in groups
        if place.body is None
        or names(place, group)
        or any(_drives(basis, group, body) for body in place.led_by(basis, place.body))
        for judge in [Judge(basis, group, poses, place)]
        for draft in drafts(basis, group, poses, place, judge.followers)
        if (odd := judge.odd_of(draft)) > 0.0
    ]
    oddest = sorted(rough, key=lambda each: -each[0])[:ROUGHLY]
    found: dict[tuple[object, ...], tuple[float, Draft, Judge]] = {}
    for odd, draft, judge in oddest:
        weight = odd * (LEAST_EXPLAINED + judge.foretold(draft.change))
        group = judge.group
        timed = draft.kind == RETIME  # when a key comes, and what it is, are two questions
        key = (group.control, group.name, group.action, group.strip, draft.frame, timed)
        if key not in found or found[key][0] < weight:
            found[key] = (weight, draft, judge)
    leading = sorted(found.values(), key=lambda each: -each[0])[:EXACTLY]
    exact = [judge.candidate(draft.make()) for _weight, draft, judge in leading]
    return sorted((e for e in exact if e is not None), key=lambda each: -each.weight)


def _drives(basis: Basis, group: Group, body: int) -> bool:
    """Whether a group can move a body; what no curve drives (a prop) goes with what holds it."""
    each = basis.bodies[body]
    if each.name in group.drives:
        return True
    hangs = (each.part or "").startswith("prop") or each.added
    return hangs and any(basis.bodies[n].name in group.drives for n in basis.ancestors(body))


class Judge:
    """Judges repairs of one group for one finding."""

    def __init__(self, basis: Basis, group: Group, poses: PoseKeys, place: Place) -> None:
        self.followers = Followers.of(basis, group)
        self._basis, self.group, self._poses, self._place = basis, group, poses, place
        shown = 1.0 if place.body is None else float(self.followers.shares[place.body])
        self._lever_m = lever(basis, group.control, _turned(place, shown), place.first)
        self._share = max(shown, UNTOLD)
        self._foretells = group.is_transform and shown > UNTOLD
        self._usual = _usual(basis, group, self._lever_m)
        self._around = place.around(len(basis.frames))
        self._rests = rests(basis, group, place)

    def odd_of(self, draft: Draft) -> float:
        """How odd a key is by its draft; 0 where that moves nothing at the finding."""
        if not np.abs(draft.change[self._around]).max() > LEAST_CHANGE:
            return 0.0
        return self._odd(draft.kind, draft.frame, draft.to_frame, draft.change)

    def candidate(self, repair: Repair | None) -> Candidate | None:
        """The repair as it is judged by its very keys."""
        if repair is None:
            return None
        change = self.group.change(repair.mended, self._basis.frames)
        samples = np.flatnonzero(np.abs(change).max(axis=-1) > LEAST_CHANGE)
        cut = len(samples) > MOST_SAMPLES
        if cut:
            first, last = (
                self._around[n] + side * MOST_SAMPLES // 4 for n, side in ((0, -1), (-1, 1))
            )
            samples = samples[(samples >= first) & (samples <= last)]
        if len(samples) == 0:
            return None
        judged = change
        if repair.judged is not None:
            judged = self.group.change(repair.judged, self._basis.frames)
        odd = self._odd(repair.kind, repair.frame, repair.to_frame, judged)
        return Candidate(
            repair=repair,
            odd=odd / np.sqrt(keys_changed(repair)) if repair.kind == UNWIND else odd,
            foretold=self.foretold(change),
            samples=samples,
            change=change[samples],
            cut=cut,
        )

    def _odd(self, kind: str, frame: float, to_frame: float | None, change: Floats) -> float:
        """How odd a key is; one that the finding names is odder than what its curve shows."""
        odd = self._odd_by_curves(kind, frame, to_frame, change)
        named = names(self._place, self.group, frame, kind)
        return NAMED_BONUS * odd + NAMED_ODD if named else odd

    def _odd_by_curves(
        self, kind: str, frame: float, to_frame: float | None, change: Floats
    ) -> float:
        """How odd a key is: the jerk that mending it takes, how clear that is, and beside what the
        group's other keys would take."""
        group = self.group
        if not group.is_transform:
            return SWITCH_ODD if kind == SPREAD else 0.0
        still = self._around if self._rests else None
        told = oddness(self._basis, group, change, self._lever_m, still=still)
        if still is not None:
            return STILL_ODD * self._share * told.taken**2 / (told.taken**2 + told.left**2)
        usual = told.taken / self._usual
        away = self._basis.frames[self._place.first : self._place.last + 1] - frame
        near = float(np.exp(-FORGOTTEN * np.abs(away).min()))
        odd = told.taken * told.ratio * usual * self._share * near
        if kind == RETIME:
            lonely = self._poses.lonely(group, frame, frame if to_frame is None else to_frame)
            return max(odd * lonely, _plainly(told.size_m, lonely, near))
        if kind == SMOOTH:
            rare = self._poses.rare_corner(group, frame)
            return max(odd * rare, _plainly(told.size_m, rare, near))
        if kind == UNWIND:
            return odd * UNWIND_BONUS
        return odd * (HELD_BONUS if held_side(group, frame) else 1.0)

    def foretold(self, change: Floats) -> float:
        """How much of the finding goes, where that can be foretold."""
        if not self._foretells:
            return UNTOLD
        around = self._around
        before = self._basis.marks[around][:, :, :2]
        after = self.followers.moved(self.group, around, change[around])
        return explained(self._basis, self._place, before, after)


def _plainly(size_m: float, speaks: float, near: float) -> float:
    """How odd a key is whose curves alone say that it is wrong: by how far mending it moves it."""
    return PLAINLY * size_m * near if speaks > 1.0 else 0.0


def _turned(place: Place, share: float) -> list[int]:
    """The place's body where it turns with the control."""
    return [] if place.body is None or share <= UNTOLD else [place.body]


def _usual(basis: Basis, group: Group, lever_m: float) -> float:
    """The jerk that the smoothest value would take at the group's keys: their median, metres."""
    if not group.is_transform:
        return USUAL_M
    metres = scales(basis, group, lever_m)
    taken = [jerk_of_smoothest(basis, group, frame, metres) for frame in group.frames[1:-1]]
    return USUAL_M + (float(np.median(taken)) if taken else 0.0)
