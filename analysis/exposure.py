# SPDX-License-Identifier: GPL-3.0-or-later
"""On ones, on twos, stepped: how many frames each pose of a body is shown.

A body that is animated on twos repeats every pose exactly once. That is a choice, not a row
of faults: its spacing is judged from pose to pose. Stepped blocking holds each pose for
many frames and jumps to the next; spacing is no question there yet.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .once import once
from .parts import label
from .words import count_text

Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]

# A point that moves by less than this share of the height is where it was (.02 mm at 1.7 m):
# what sampling in single precision leaves of a pose that is repeated exactly.
SAME_SHARE = 1.2e-5
# A pose that is shown longer than this is a hold, whatever the animation is on.
LONGEST = 4
# Of the poses that are no holds, so many must be shown equally long, and there must be some.
ALIKE_SHARE, FEWEST = 0.75, 5
# Stepped: so much of the range is held, and the jumps between holds stand alone. The holds are
# long, or they are no shorter than `LONGEST` and of many lengths.
HELD_SHARE, ALONE_SHARE, FEWEST_JUMPS = 0.7, 0.8, 2
LONG_SHARE, NO_SHORTER_SHARE, MANY_SHARE = 0.5, 0.8, 0.2
# Of all keys, so many are constant where the curves are stepped.
CONSTANT_SHARE = 0.9
NAMES = {2: "twos", 3: "threes", 4: "fours"}


@dataclass(frozen=True, eq=False)
class Exposures:
    """steps (B,): frames that each body shows a pose for; 1 on ones, 0 where it is stepped.

    own (B,)                the same against what carries it, whatever that is on
    firsts {step: sample}   the first sample that shows a new pose, for each step above 1
    poses                   how many poses the stepped bodies hold, the most of any
    """

    steps: Ints
    own: Ints
    firsts: dict[int, int]
    poses: int = 0

    @property
    def groups(self) -> list[int]:
        """The steps that occur among bodies that can be judged, the smallest first."""
        return sorted({int(step) for step in self.steps if step > 0})


@once
def find_exposures(basis: Basis) -> Exposures:
    """How long each body's poses are shown, from its own motion and that of what carries it.

    A body that hangs on another which is on twos is on twos at the least.
    """
    changes = changes_of(basis)
    own = np.array([_step(changes[:, body]) for body in range(len(basis.bodies))])
    if has_constant_keys(basis):  # held from key to key: what is on no even step is stepped
        own[np.isin(own, (1, LONGEST)) & changes.any(axis=0)] = 0
    steps = own.copy()
    for body in range(len(basis.bodies)):
        above = [own[n] for n in basis.ancestors(body) if changes[:, n].any()]
        if changes[:, body].any() and own[body] > 0:
            steps[body] = max([own[body], *above])
        elif above:  # still against what carries it: as that
            steps[body] = 0 if above[0] == 0 else max(above)
    firsts = {
        step: _first(changes[:, steps == step], step) for step in sorted(set(steps[steps > 1]))
    }
    poses = max((int(changes[:, n].sum()) + 1 for n in np.flatnonzero(steps == 0)), default=0)
    return Exposures(steps, own, firsts, poses)


@once
def has_constant_keys(basis: Basis) -> bool:
    """Whether the clip's curves are held from key to key, nearly all of them."""
    kinds = [kind for curve in basis.clip.meta.curves for kind in curve.interpolation]
    return bool(kinds) and kinds.count("CONSTANT") >= CONSTANT_SHARE * len(kinds)


def exposure_text(basis: Basis, found: Exposures) -> str:
    """A sentence for what is not on ones; empty where all is."""
    judged = np.array([body.judged for body in basis.bodies])
    told = []
    for step in sorted(set(found.steps[judged])):
        if step == 1:
            continue
        who = _who(basis, judged & (found.steps == step), judged)
        if step == 0:
            poses = count_text(found.poses, "pose")
            told.append(f"{who} stepped blocking ({poses}): spacing is not judged there")
        else:
            told.append(
                f"{who} animated on {NAMES[int(step)]}: spacing is judged from pose to pose"
            )
    return "; ".join(told) + "." if told else ""


def _who(basis: Basis, chosen: Bools, judged: Bools) -> str:
    if (chosen == judged).all():
        return "The ball is" if basis.clip.is_ball else "The whole figure is"
    names = [
        label(body.part) if body.part else body.name
        for n, body in enumerate(basis.bodies)
        if chosen[n]
    ]
    if len(names) > 3:
        return f"{names[0].capitalize()}, {names[1]} and {len(names) - 2} more parts are"
    return f"{', '.join(names).capitalize()} {'is' if len(names) == 1 else 'are'}"


def changes_of(basis: Basis) -> Bools:
    """(T-1,B) whether each body's pose against what carries it differs from the sample before."""
    moved = np.linalg.norm(np.diff(basis.own_marks, axis=0), axis=-1).max(axis=-1)
    return np.asarray(moved > SAME_SHARE * basis.height.scene_m)


def _step(changes: Bools) -> int:
    """Frames that a body shows a pose for: 1 to 4, or 0 where it is stepped."""
    at = np.flatnonzero(changes)
    if len(at) < FEWEST_JUMPS:
        return 1
    lengths = np.diff(at)
    if _stepped(changes, at):
        return 0
    moving = lengths[lengths <= LONGEST]
    if len(moving) < FEWEST:
        return 1
    for step in NAMES:
        if np.count_nonzero(moving == step) >= ALIKE_SHARE * len(moving):
            return step
    return 1


def _stepped(changes: Bools, at: Ints) -> bool:
    held = 1.0 - len(at) / len(changes)
    padded = np.concatenate(([False], changes, [False]))
    alone = ~padded[at] & ~padded[at + 2]
    lengths, count = np.diff(at), max(len(at) - 1, 1)
    longer = np.count_nonzero(lengths > LONGEST) / count
    no_shorter = np.count_nonzero(lengths >= LONGEST) / count
    long = longer >= LONG_SHARE or (no_shorter >= NO_SHORTER_SHARE and longer >= MANY_SHARE)
    return bool(held >= HELD_SHARE and alone.mean() >= ALONE_SHARE and long)


def _first(changes: Bools, step: int) -> int:
    """The phase on which most new poses appear."""
    at = np.flatnonzero(changes.any(axis=1)) + 1
    return int(np.bincount(at % step, minlength=step).argmax())
