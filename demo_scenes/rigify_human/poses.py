# SPDX-License-Identifier: GPL-3.0-or-later
"""Which frames of a motion an animator would key: its contacts, extremes and turns; numpy only."""

import numpy as np

from ..captured.motions import CapturedMotion
from ..captured.rotations import Floats, conjugate, rotate
from .contacts import FootContact, runs
from .controls import SIDES
from .retarget import turns_since_rest

GAP_S = 0.1  # least time between two poses, unless both are contacts
CONTACT_GAP_S = 0.06
ROOT_SWING_M = 0.012  # least rise or fall of the root that makes an extreme
LIMB_SWING_M = 0.05  # least travel of a hand or foot about the pelvis that makes one
SLOW_SHARE = 0.35  # a limb's pause: slower than this share of the peaks around it

# What matters more is kept where two poses come too close.
_CONTACT, _PLANT, _ROOT, _LIMB, _PAUSE = 5, 4, 3, 2, 1


def pose_frames(motion: CapturedMotion, contacts: dict[str, FootContact]) -> list[int]:
    """Indices (0 to T-1, rising) of the pose frames, first and last frame included.

    Contacts and plants of the feet, extremes of the root's height, of hands and feet about
    the pelvis, and pauses of these, thinned out so that no two lie closer than GAP_S.
    """
    last = motion.frame_count - 1
    chosen: dict[int, int] = {0: _CONTACT, last: _CONTACT}
    for frame, weight in _by_weight(_candidates(motion, contacts)):
        if all(_apart(frame - other, weight, chosen[other], motion.fps) for other in chosen):
            chosen[frame] = weight
    return sorted(chosen)


def turning_points(values: Floats, least: float) -> list[int]:
    """Indices of the highs and lows of a series (T,) between which it moves by `least` or more."""
    found, low, high, rising = [], 0, 0, None
    for t in range(1, len(values)):
        low = t if values[t] < values[low] else low
        high = t if values[t] > values[high] else high
        if rising is not False and values[high] - values[t] >= least:
            found.append(high)
            rising, low = False, t
        elif rising is not True and values[t] - values[low] >= least:
            found.append(low)
            rising, high = True, t
    return found


def _candidates(motion: CapturedMotion, contacts: dict[str, FootContact]) -> list[tuple[int, int]]:
    found = []
    for contact in contacts.values():
        found += [(t, _CONTACT) for run in runs(contact.down) for t in run]
        found += [(t, _PLANT) for run in runs(contact.flat) for t in run]
    height = motion.positions[:, motion.joint("hips"), 2]
    found += [(t, _ROOT) for t in turning_points(height, ROOT_SWING_M)]
    for limb in ("hand", "foot"):
        for side in SIDES:
            path = _about_pelvis(motion, f"{limb}.{side}")
            for values in path.T:
                found += [(t, _LIMB) for t in turning_points(values, LIMB_SWING_M)]
            found += [(t, _PAUSE) for t in _pauses(path)]
    return found


def _by_weight(candidates: list[tuple[int, int]]) -> list[tuple[int, int]]:
    return sorted(set(candidates), key=lambda item: (-item[1], item[0]))


def _apart(distance: int, weight: int, other: int, fps: float) -> bool:
    """Whether two poses of these weights may lie this many frames from each other."""
    both_contacts = min(weight, other) >= _PLANT
    gap_s = CONTACT_GAP_S if both_contacts else GAP_S
    return abs(distance) >= max(2 if both_contacts else 3, round(gap_s * fps))


def _about_pelvis(motion: CapturedMotion, joint: str) -> Floats:
    """(T,3) a joint's path in the pelvis's own axes, metres."""
    offset = motion.positions[:, motion.joint(joint)] - motion.positions[:, motion.joint("hips")]
    return rotate(conjugate(turns_since_rest(motion, "hips")), offset)


def _pauses(path: Floats) -> list[int]:
    """Frames where a path is slowest between two faster stretches."""
    speed = np.linalg.norm(np.gradient(path, axis=0), axis=1)
    turns = turning_points(speed, (1.0 - SLOW_SHARE) * float(speed.max()) * 0.5)
    lows = []
    for before, at, after in zip(turns, turns[1:], turns[2:], strict=False):
        if speed[at] < SLOW_SHARE * min(speed[before], speed[after]):
            lows.append(at)
    return lows
