# SPDX-License-Identifier: GPL-3.0-or-later
"""Clean set of moves that end in a pose, one part after the other, as overlap has it.

The hips arrive first, then chest, head and arms, the hands last: three frames at 24 a second or
more from the first to the last (common practice, no source). Half of the moves go a little beyond
the pose and come back to it. Then the pose is held while the body breathes. A move whose parts
all arrive at once is the fault that belongs to it.
"""

from functools import cache

import numpy as np

from analysis import Clip

from .authored import clip, key_poses
from .case import Case
from .holds import BREATH_S, breathing, random_pose
from .keying import Keyed
from .standing import hangs

EACH = 24
_RATES = (24.0, 30.0)
# Frames at 24 a second by which parts arrive after the hips: from, to.
LATE = {
    "chest": (1, 2),
    "neck": (2, 4),
    "upper_arm": (2, 4),
    "forearm": (3, 6),
    "hand": (4, 8),
}
# A move lasts so long, in seconds, and the pose after it; how many moves a shot has.
MOVE_S, HOLD_S, MOVES = (0.35, 0.8), (0.9, 1.4), (2, 4)
# How far beyond a pose a move goes that overshoots, and in how many frames it comes back.
BEYOND, BACK = (0.06, 0.14), (4, 7)


def arrivals() -> list[Case]:
    """Shots of two or three moves, at 24 and 30 fps.

    Their poses are drawn at random, and some are out of balance.
    """
    return [_case(n, shot(n)[0]) for n in range(2 * EACH)]


def _case(number: int, made: Clip) -> Case:
    name, faulty = f"arrivals/{number:02}", ("balance",) if hangs(made) else ()
    return Case(name, "arrivals", "arrivals", "AB"[number % 2], made, faulty=faulty)


@cache
def shot(number: int, together: int | None = None, within: int = 0) -> tuple[Clip, list[int]]:
    """The clip of a shot, and the sample on which the hips arrive in each move.

    together   the move whose parts all arrive within so many frames, without overshoot
    """
    fps = _RATES[number // 2 % 2]
    rng = np.random.default_rng([16, number])
    size = rng.uniform(0.8, 1.3)
    keyed, ends = _keyed(rng, fps, together, within)
    return clip(keyed, fps, "arrivals", size=size, keys=number % 4 in (1, 2)), ends


def _keyed(
    rng: np.random.Generator, fps: float, together: int | None, within: int
) -> tuple[Keyed, list[int]]:
    poses: dict[int, dict] = {0: random_pose(rng)}
    frame, ends, pose = round(0.3 * fps), [], poses[0]
    _tell(poses, frame, breathing(poses[0], 0.3))
    for move in range(int(rng.integers(MOVES[0], MOVES[1]))):
        start, pose = pose, random_pose(rng, much=rng.uniform(1.0, 1.5))
        pose["hips.place"][:2] += rng.choice([-1.0, 1.0]) * rng.uniform(0.04, 0.1, size=2)
        frame += round(fps * rng.uniform(*MOVE_S))
        late = {part: int(rng.integers(a, b + 1)) for part, (a, b) in LATE.items()}
        near = {part: int(rng.random() * (within + 1)) for part in LATE}
        beyond = rng.uniform(*BEYOND) if rng.integers(2) else 0.0
        back = int(rng.integers(BACK[0], BACK[1] + 1))
        if move == together:
            late, beyond = near, 0.0
        else:
            late = {part: round(frames * fps / 24.0) for part, frames in late.items()}
        ends.append(frame)
        _arrive(poses, frame, start, pose, late, beyond, round(back * fps / 24.0))
        frame = _held(poses, frame + max(late.values()) + back, pose, rng, fps)
    return key_poses(poses), ends


def _arrive(
    poses: dict, frame: int, start: dict, pose: dict, late: dict, beyond: float, back: int
) -> None:
    """Key a pose part by part; where it goes beyond, the pose itself comes some frames later."""
    for name, values in pose.items():
        at = frame + late.get(name.split(".")[0], 0)
        if beyond > 0.0:
            far = np.array(values) + beyond * (np.array(values) - np.array(start[name]))
            _tell(poses, at, {name: far})
            at += back
        _tell(poses, at, {name: values})


def _held(poses: dict, frame: int, pose: dict, rng: np.random.Generator, fps: float) -> int:
    """Breathe in the pose for a while; returns the frame on which the next move may begin."""
    first, last = frame, frame + round(fps * rng.uniform(*HOLD_S))
    while frame < last:
        frame += round(fps * BREATH_S / 4.0 * rng.uniform(0.85, 1.15))
        _tell(poses, frame, breathing(pose, (frame - first) / fps, depth=0.5))
    return frame


def _tell(poses: dict, frame: int, told: dict) -> None:
    poses.setdefault(frame, {}).update(told)
