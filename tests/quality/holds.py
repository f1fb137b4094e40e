# SPDX-License-Identifier: GPL-3.0-or-later
"""Clean set of moving holds, and of idling on straight legs.

A pose is reached with ease, then the body breathes: a few millimetres and fractions of a degree
that never stop (a held drawing dies on screen; common practice, no source).
"""

import numpy as np

from .authored import STANCE, clip, key_poses
from .case import Case
from .keying import Keyed

_RATES = (24.0, 30.0)
_EACH = 10
BREATH_S = 1.9
# Straight legs: bent by about 4 degrees at the knee.
IDLE_REACH = 0.9994


def holds() -> list[Case]:
    """Poses held for about two seconds each, and idles on straight legs, at 24 and 30 fps."""
    found = []
    for number in range(2 * _EACH):
        half, fps = "AB"[number % 2], _RATES[number // 2 % 2]
        rng = np.random.default_rng([4, number])
        for style, make in (("hold", _hold), ("idle", _idle)):
            keyed = make(rng, fps)
            name = f"holds/{style}.{number:02}"
            made = clip(keyed, fps, style, size=rng.uniform(0.8, 1.3), keys=number % 3 == 0)
            found.append(Case(name, style, "holds", half, made))
    return found


def random_pose(rng: np.random.Generator, *, much: float = 1.0) -> dict:
    """A plausible pose over standing feet, the further from STANCE the more `much` is."""
    spread = {
        "hips.place": (0.05, 0.04, 0.03),
        "hips.turn": (5.0, 3.0, 10.0),
        "chest.turn": (7.0, 5.0, 14.0),
        "neck.turn": (8.0, 5.0, 20.0),
        **{f"upper_arm.{side}.turn": (25.0, 12.0, 15.0) for side in "LR"},
        **{f"forearm.{side}.bend": (30.0,) for side in "LR"},
        **{f"hand.{side}.turn": (12.0, 5.0, 10.0) for side in "LR"},
    }
    pose = {}
    for name, reach in spread.items():
        away = much * np.array(reach) * np.clip(rng.normal(size=len(reach)), -1.8, 1.8)
        pose[name] = np.array(STANCE[name]) + away
    pose["hips.place"][2] = -0.03 - abs(pose["hips.place"][2])
    for side, out in (("L", -1.0), ("R", 1.0)):
        pose[f"upper_arm.{side}.turn"][1] = out * (10.0 + abs(pose[f"upper_arm.{side}.turn"][1]))
        pose[f"upper_arm.{side}.turn"][0] -= 15.0 * much
        pose[f"forearm.{side}.bend"] = np.clip(pose[f"forearm.{side}.bend"] + 20.0, 8.0, 110.0)
    return pose


def breathing(pose: dict, at_s: float, depth: float = 1.0) -> dict:
    """The pose as it stands at one moment of a breath."""
    swell = depth * np.sin(2.0 * np.pi * at_s / BREATH_S)
    moved = {name: np.array(values, dtype=float) for name, values in pose.items()}
    moved["hips.place"] += swell * np.array([0.0015, 0.0, -0.002])
    moved["chest.turn"] += swell * np.array([-0.8, 0.1, 0.2])
    moved["neck.turn"] += swell * np.array([0.6, 0.0, -0.2])
    for side, out in (("L", -1.0), ("R", 1.0)):
        moved[f"upper_arm.{side}.turn"] += swell * np.array([0.4, 0.5 * out, 0.0])
        moved[f"forearm.{side}.bend"] += swell * 0.6
    return moved


def _hold(rng: np.random.Generator, fps: float) -> Keyed:
    """Three poses; each is reached in a third of a second or more and held for about two."""
    poses, frame, pose = {0: random_pose(rng)}, 0, None
    for _ in range(3):
        pose = random_pose(rng)
        frame += round(fps * rng.uniform(0.4, 0.8))
        poses[frame] = pose
        start = frame
        while frame - start < fps * rng.uniform(1.6, 2.2):
            frame += round(fps * BREATH_S / 4.0 * rng.uniform(0.85, 1.15))
            poses[frame] = breathing(pose, (frame - start) / fps)
    late = {"chest": 1, "neck": int(rng.integers(1, 4)), "upper_arm": 2, "forearm": 3, "hand": 4}
    return key_poses(poses, late=late)


def _idle(rng: np.random.Generator, fps: float) -> Keyed:
    """Five seconds upright: the weight goes from leg to leg by millimetres, arms hang."""
    base = {name: np.array(values, dtype=float) for name, values in STANCE.items()}
    base["hips.place"] = np.array([0.0, 0.0, 0.0])
    base["foot.L.place"], base["foot.R.place"] = (
        np.array([0.03, 0.0, 0]),
        np.array([-0.03, 0.02, 0]),
    )
    poses, frame = {}, 0
    while frame < 5.0 * fps:
        pose = breathing(base, frame / fps, depth=0.5)
        sway = np.array([0.004, 0.002, 0.0]) * rng.normal(size=3)
        pose["hips.place"] = base["hips.place"] + sway
        pose["neck.turn"] += rng.normal(size=3) * [1.5, 1.0, 4.0]
        poses[frame] = pose
        frame += round(fps * BREATH_S / 4.0 * rng.uniform(0.9, 1.3))
    late = {"chest": 1, "neck": 3, "upper_arm": 2, "forearm": 3, "hand": 4}
    return key_poses(poses, late=late, straightest=IDLE_REACH)
