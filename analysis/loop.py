# SPDX-License-Identifier: GPL-3.0-or-later
"""Loops: whether a range plays as one, how many frames repeat at its end, does it travel?"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .basis.ball import BallBasis
from .poses import REPEAT_SHARE, STILL_SHARE, closeness_of, counts, pose_gap, seam_steps
from .seam import TURN_RAD, WRAP, find_seam, roughness, step_over

Floats = NDArray[np.float64]

# A loop travels when its ends are further apart than this share of the height, or turned more.
TRAVEL_SHARE = 0.15
# A guessed loop must close this well: the step over the seam against its neighbours.
CLOSE_SHARE = 1.35
# Over the seam a guessed loop goes on as it began: the step there is no stall (share of a
# step), two steps lead further than one (share of one), and the pose leaves by so many steps.
LEAST_SHARE, FURTHER_SHARE, LEAVES_STEPS = 0.5, 1.4, 4.0
LEAST_FRAMES = 8
# ... and goes the way that it goes before and after: a cosine of all points' steps.
SAME_WAY = 0.7
# A guessed loop runs on over its seam: a shot that begins and ends at rest is none.
RUNS_ON_SHARE = 0.3
# Only short ranges are guessed to be loops, and only few frames too many: a shot of many
# strides ends like its beginning now and then, and is no loop.
LONGEST_GUESS_S = 5.0
MOST_GUESSED = 3
# More than this is no repeat of a few frames but another round: seconds, and at least samples.
MOST_REPEATS_S, LEAST_MOST = 0.25, 3
# Without its repeats a loop must run on more smoothly than with them, by this share; not so
# where they are closer, and where they are exact the seam may even be rougher.
SMOOTHER_SHARES = ((0.05, 1.5), (0.2, 1.15), (0.3, 0.9), (np.inf, 0.75))


@dataclass(frozen=True, kw_only=True)
class Cycle:
    """Whether the range plays as a loop, and how it ends.

    plays     True when the range is judged as a loop
    why       how that is known: asked, stated, guessed; or gaps, where nothing can be known
    repeats   samples at the end that repeat the loop's beginning
    closeness mean distance of those from what they repeat, as a share of a step
    travels   True when the loop moves over the floor or turns
    """

    plays: bool
    why: str
    repeats: int = 0
    closeness: float = 0.0
    travels: bool = False

    @property
    def why_not(self) -> str:
        """Why a check of loops is skipped; empty where the range plays as one."""
        if self.plays:
            return ""
        if self.why == "gaps":
            return "every part has a gap, and a loop is judged on whole paths"
        return "the range does not play as a cycle"


def find_cycle(basis: Basis) -> Cycle:
    """Decide whether the range plays as a loop: as asked, else as stated, else guessed.

    Bodies with gaps do not take part; where none is without gaps, the range is no loop. A ball
    plays as its figure does: a single point comes back to where it was and goes on alike too often.
    """
    if isinstance(basis, BallBasis) and basis.figure is not None:
        return find_cycle(basis.figure)
    asked, stated = basis.settings.cycle, basis.clip.meta.cycle
    poses = _poses(basis)
    if asked != "auto":
        why, may_play = "asked", asked == "yes"
    elif stated is not None:
        why, may_play = "stated", stated
    else:
        why, may_play = "guessed", basis.dt_s * len(poses) <= LONGEST_GUESS_S
    if not may_play or poses.shape[1] == 0:
        travels = _travels(basis, len(poses))
        return Cycle(plays=False, why="gaps" if may_play else why, travels=travels)
    repeats, closeness, travels = _repeats(basis, poses)
    if why == "guessed" and not (
        _looks_closed(poses, basis.height.scene_m, repeats, travels)
        and _goes_on(basis, len(poses) - repeats, travels)
    ):
        return Cycle(plays=False, why=why, travels=travels)
    return Cycle(plays=True, why=why, repeats=repeats, closeness=closeness, travels=travels)


def _repeats(basis: Basis, poses: Floats) -> tuple[int, float, bool]:
    """The repeats at the end of the range, if cutting them lets the loop run on smoothly.

    Also how close they are, and whether the loop that is left travels. Where spacing is small
    (an extreme at the seam) neighbouring poses are as close as repeats; there, cutting one
    would make the seam rougher. An exact repeat counts unless the seam gets much rougher:
    captured motion may break there as well.
    """
    most = max(round(MOST_REPEATS_S / basis.dt_s), LEAST_MOST)
    share = REPEAT_SHARE / basis.settings.factor("double_frame")
    with_them = _travels(basis, len(poses))
    best = (0, 0.0, with_them)
    least = np.inf
    for k in counts(poses, most):
        length = len(poses) - k
        travels = _travels(basis, length)
        closeness = closeness_of(poses, k, basis.height.scene_m, level=travels, share=share)
        if closeness is None or length < WRAP:
            continue
        allowed = next(factor for upper, factor in SMOOTHER_SHARES if closeness < upper)
        rough = roughness(basis, length, travels=travels)
        if rough < least and rough <= allowed * roughness(basis, len(poses), travels=with_them):
            best, least = (k, closeness, travels), rough
    return best


def _poses(basis: Basis) -> Floats:
    """(T,N,3) joints and tips of all judged bodies that have no gap."""
    known = np.all(basis.valid, axis=0)
    judged = [
        n for n, body in enumerate(basis.bodies) if body.judged and not body.added and known[n]
    ]
    return basis.marks[:, judged, :2].reshape(len(basis.frames), -1, 3)


def _travels(basis: Basis, length: int) -> bool:
    """Whether the first judged body begins the next round elsewhere, or facing elsewhere.

    length   samples of a round; where the range ends with it, the usual step follows its last
    """
    place = basis.positions[:, basis.lead, :2]
    heading = np.unwrap(np.arctan2(basis.forward[:, 1], basis.forward[:, 0]))
    gap = float(np.linalg.norm(_next(place, length) - place[0]))
    turned = float(_next(heading, length) - heading[0])
    turned = abs((turned + np.pi) % (2.0 * np.pi) - np.pi)
    return bool(gap > TRAVEL_SHARE * basis.height.scene_m or turned > TURN_RAD)


def _next(values: Floats, length: int) -> Floats:
    """The sample after a round: known where the range goes on, else a usual step further."""
    if length < len(values):
        return np.asarray(values[length])
    step = 0.5 * (values[-1] - values[-2] + values[1] - values[0])
    return np.asarray(values[-1] + step)


def _looks_closed(poses: Floats, height: float, repeats: int, travels: bool) -> bool:
    """A guess that errs towards no: the pose leaves, comes back, and goes on as it began."""
    length = len(poses) - repeats
    if length < LEAST_FRAMES or repeats > MOST_GUESSED:
        return False
    step = float(seam_steps(poses, length, travels).mean())
    usual = np.linalg.norm(np.diff(poses, axis=0), axis=-1).mean(axis=1)
    if step < max(STILL_SHARE * height, RUNS_ON_SHARE * float(np.median(usual))):
        return False
    over = pose_gap(poses[length - 1], poses[0], level=travels)
    if not LEAST_SHARE * step < over < CLOSE_SHARE * step:
        return False  # most shots; the rest takes longer
    two_over = pose_gap(poses[length - 1], poses[1], level=travels)
    gaps = (pose_gap(poses[0], pose, level=travels) for pose in poses[1:length:2])
    return two_over > FURTHER_SHARE * over and any(gap > LEAVES_STEPS * step for gap in gaps)


def _goes_on(basis: Basis, length: int, travels: bool) -> bool:
    """Whether the step over the seam leads the way of the steps beside it."""
    seam = find_seam(basis, length, travels=travels)
    return step_over(basis, seam).cosine >= SAME_WAY
