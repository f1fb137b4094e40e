# SPDX-License-Identifier: GPL-3.0-or-later
"""Loops: how far two poses are apart, which frames repeat, and whether a range is a loop.

Poses are compared as the eye compares them: by their points, with the travel over the
floor and the turn about the vertical taken out where the loop travels or turns.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .seam import TURN_RAD, WRAP, roughness

Floats = NDArray[np.float64]

# A repeat is closer to its original than this share of a normal step.
REPEAT_SHARE = 0.4
# A loop travels when its ends are further apart than this share of the height, or turned more.
TRAVEL_SHARE = 0.15
# A guessed loop must close this well: the step over the seam against its neighbours.
CLOSE_SHARE = 1.35
# Over the seam a guessed loop goes on as it began: the step there is no stall (share of a
# step), two steps lead further than one (share of one), and the pose leaves by so many steps.
LEAST_SHARE, FURTHER_SHARE, LEAVES_STEPS = 0.5, 1.4, 4.0
LEAST_FRAMES = 8
# A guessed loop runs on over its seam: a shot that begins and ends at rest is none.
RUNS_ON_SHARE = 0.3
# Only short ranges are guessed to be loops, and only few frames too many: a shot of many
# strides ends like its beginning now and then, and is no loop.
LONGEST_GUESS_S = 5.0
MOST_GUESSED = 3
# More than this is no repeat of a few frames but another round: seconds, and at least samples.
MOST_REPEATS_S, LEAST_MOST = 0.25, 3
# Without its repeats a loop must run on more smoothly than with them, by this share.
SMOOTHER_SHARE = 0.75
# A repeat this close is exact; then the seam may even be rougher without it, up to this.
EXACT, EXACT_SHARE = 0.05, 1.5
# Mean step, as a share of the height, below which nothing moves enough to loop.
STILL_SHARE = 2e-4


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

    Bodies with gaps do not take part; where none is without gaps, the range is no loop.
    """
    asked, stated = basis.settings.cycle, basis.clip.meta.cycle
    poses = _poses(basis)
    travels = _travels(basis)
    if asked != "auto":
        why, may_play = "asked", asked == "yes"
    elif stated is not None:
        why, may_play = "stated", stated
    else:
        why, may_play = "guessed", basis.dt_s * len(poses) <= LONGEST_GUESS_S
    if not may_play or poses.shape[1] == 0:
        return Cycle(plays=False, why="gaps" if may_play else why, travels=travels)
    repeats, closeness = _repeats(basis, poses, travels)
    if why == "guessed" and not _looks_closed(poses, basis.height.scene_m, repeats, travels):
        return Cycle(plays=False, why=why, travels=travels)
    return Cycle(plays=True, why=why, repeats=repeats, closeness=closeness, travels=travels)


def _repeats(basis: Basis, poses: Floats, travels: bool) -> tuple[int, float]:
    """The repeats at the end of the range, if cutting them lets the loop run on smoothly.

    Where spacing is small (an extreme at the seam) neighbouring poses are as close as
    repeats; there, cutting one would make the seam rougher. An exact repeat counts unless
    the seam gets much rougher: captured motion may break there as well.
    """
    most = max(round(MOST_REPEATS_S / basis.dt_s), LEAST_MOST)
    nearness = REPEAT_SHARE / basis.settings.factor("double_frame")
    repeats, closeness = find_repeats(
        poses, basis.height.scene_m, level=travels, most=most, share=nearness
    )
    if repeats == 0 or len(poses) - repeats < WRAP:
        return 0, 0.0
    allowed = EXACT_SHARE if closeness < EXACT else SMOOTHER_SHARE
    without = roughness(basis, len(poses) - repeats, travels=travels)
    if without > allowed * roughness(basis, len(poses), travels=travels):
        return 0, 0.0
    return repeats, closeness


def find_repeats(
    poses: Floats, height: float, *, level: bool, most: int, share: float = REPEAT_SHARE
) -> tuple[int, float]:
    """How many samples at the end of poses (T,N,3) repeat its first ones, and how closely.

    For k = 1, 2, ... `most` the last k poses are compared with the first k, point by point,
    as a share of the point's step (the mean of its four steps around the seam); points that
    hardly move do not count, and the median of the others speaks, so that one arm which
    does not come home hides no repeat. Every one of the k must be nearer than `share`. The
    closest k wins; 0 where none fits or nothing moves. `level` takes travel and turn out of
    each comparison. At most a third of the range can be repeats.
    """
    best, closeness = 0, 0.0
    for k in range(1, min(most, max(len(poses) // 3, 1)) + 1):
        steps = _seam_steps(poses, len(poses) - k, level)
        if steps.mean() < STILL_SHARE * height:
            continue
        moving = steps >= max(0.5 * float(np.median(steps)), STILL_SHARE * height)
        shares: list[float] = []
        for i in range(k):
            gaps = point_gaps(poses[len(poses) - k + i], poses[i], level=level)
            shares.append(float(np.median(gaps[moving] / steps[moving])))
            if shares[-1] >= share:
                break
        else:
            if best == 0 or np.mean(shares) < closeness:
                best, closeness = k, float(np.mean(shares))
    return best, closeness


def pose_gap(a: Floats, b: Floats, *, level: bool) -> float:
    """Mean distance in metres between two poses (N,3), see `point_gaps`."""
    return float(point_gaps(a, b, level=level).mean())


def point_gaps(a: Floats, b: Floats, *, level: bool) -> Floats:
    """(N,) distances in metres between the points of two poses (N,3).

    With `level`, the second is first shifted over the floor and turned about the vertical
    to fit the first best, and then once more to fit the two thirds that fit best, so that
    one limb that is elsewhere does not move the rest.
    """
    if not level:
        return np.asarray(np.linalg.norm(a - b, axis=-1))
    gaps = _fitted_gaps(a, b, np.ones(len(a), dtype=bool))
    return _fitted_gaps(a, b, gaps <= np.quantile(gaps, 2.0 / 3.0))


def _fitted_gaps(a: Floats, b: Floats, fit: NDArray[np.bool_]) -> Floats:
    """Distances after the best shift and turn in the plane for the points of `fit`.

    The plane case of Kabsch 1976, Acta Cryst. A32:922.
    """
    p, q = a - a[fit].mean(axis=0), b - b[fit].mean(axis=0)
    cos = float(np.sum(p[fit, :2] * q[fit, :2]))
    sin = float(np.sum(p[fit, 1] * q[fit, 0] - p[fit, 0] * q[fit, 1]))
    length = np.hypot(cos, sin) or 1.0
    c, s = cos / length, sin / length
    turned = np.stack((c * q[:, 0] - s * q[:, 1], s * q[:, 0] + c * q[:, 1]), axis=-1)
    gap = np.concatenate((p[:, :2] - turned, (a[:, 2] - b[:, 2])[:, None]), axis=-1)
    return np.asarray(np.linalg.norm(gap, axis=-1))


def _poses(basis: Basis) -> Floats:
    """(T,N,3) joints and tips of all judged bodies that have no gap."""
    known = np.all(basis.valid, axis=0)
    judged = [
        n for n, body in enumerate(basis.bodies) if body.judged and not body.added and known[n]
    ]
    return basis.marks[:, judged, :2].reshape(len(basis.frames), -1, 3)


def _travels(basis: Basis) -> bool:
    """Whether the first judged body ends elsewhere, or facing elsewhere, than it began."""
    gap = basis.positions[-1, basis.lead, :2] - basis.positions[0, basis.lead, :2]
    cosine = float(basis.forward[0] @ basis.forward[-1])
    turned = np.arccos(np.clip(cosine, -1.0, 1.0))
    return bool(np.linalg.norm(gap) > TRAVEL_SHARE * basis.height.scene_m or turned > TURN_RAD)


def _seam_steps(poses: Floats, length: int, level: bool) -> Floats:
    """(N,) mean of each point's two steps before a seam after `length` samples and two after."""
    pairs = [(i, i + 1) for i in (length - 3, length - 2, 0, 1) if i >= 0 and i + 1 < len(poses)]
    gaps = [point_gaps(poses[i], poses[j], level=level) for i, j in pairs]
    return np.asarray(np.mean(gaps, axis=0))


def _looks_closed(poses: Floats, height: float, repeats: int, travels: bool) -> bool:
    """A guess that errs towards no: the pose leaves, comes back, and goes on as it began."""
    length = len(poses) - repeats
    if length < LEAST_FRAMES or repeats > MOST_GUESSED:
        return False
    step = float(_seam_steps(poses, length, travels).mean())
    usual = np.linalg.norm(np.diff(poses, axis=0), axis=-1).mean(axis=1)
    if step < max(STILL_SHARE * height, RUNS_ON_SHARE * float(np.median(usual))):
        return False
    furthest = max(pose_gap(poses[0], pose, level=travels) for pose in poses[1:length:2])
    over = pose_gap(poses[length - 1], poses[0], level=travels)
    two_over = pose_gap(poses[length - 1], poses[1], level=travels)
    goes_on = two_over > FURTHER_SHARE * over and over > LEAST_SHARE * step
    return furthest > LEAVES_STEPS * step and over < CLOSE_SHARE * step and goes_on
