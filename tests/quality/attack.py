# SPDX-License-Identifier: GPL-3.0-or-later
"""Clean set of snappy attacks: a drawn-out anticipation, a strike of two or three frames, a held
hit that overshoots and settles (or trembles), and a slow way back.

Timing is common practice for games and action (no source): what arrives at once is forgiven by
the overshoot and the settling that follow.
"""

import numpy as np

from .authored import clip, key_poses
from .case import Case
from .holds import breathing, random_pose
from .keying import Keyed
from .puppet import Floats

EACH = 24
_RATES = (24.0, 30.0)


def attack() -> list[Case]:
    """Two attacks a clip, over standing feet or with a step into the hit, at 24 and 30 fps."""
    found = []
    for number in range(2 * EACH):
        half, fps = "AB"[number % 2], _RATES[number // 2 % 2]
        rng = np.random.default_rng([6, number])
        keyed = _two_attacks(rng, fps, step=number % 4 < 2, trembles=number % 3 == 0)
        size = rng.uniform(0.8, 1.3)
        made = clip(keyed, fps, "attack", size=size, keys=number % 5 == 0)
        found.append(Case(f"attack/{number:02}", "attack", "attack", half, made))
    return found


def _two_attacks(rng: np.random.Generator, fps: float, *, step: bool, trembles: bool) -> Keyed:
    poses, fast, frame = {0: _guard(rng)}, [], round(0.3 * fps)
    for arm in rng.permutation(["L", "R"]):
        frame = _attack(poses, fast, frame, rng, fps, arm, step=step, trembles=trembles)
    late = {"chest": 0, "neck": 1, "forearm": 1, "hand": 1}
    return key_poses(poses, late=late, fast=fast)


def _guard(rng: np.random.Generator) -> dict:
    """Feet apart, knees bent, hands up."""
    pose = random_pose(rng, much=0.3)
    pose["hips.place"] = np.array([0.0, 0.02, -0.08]) + 0.01 * rng.normal(size=3)
    for side, out in (("L", -1.0), ("R", 1.0)):
        pose[f"upper_arm.{side}.turn"] = np.array([-40.0, 18.0 * out, 0.0]) + rng.normal(size=3) * 6
        pose[f"forearm.{side}.bend"] = np.array([75.0 + 12.0 * rng.normal()])
    pose["foot.L.place"], pose["foot.R.place"] = (
        np.array([0.06, -0.16, 0]),
        np.array([-0.06, 0.18, 0]),
    )
    return pose


def _attack(
    poses: dict,
    fast: list[int],
    frame: int,
    rng: np.random.Generator,
    fps: float,
    arm: str,
    *,
    step: bool,
    trembles: bool,
) -> int:
    """Add one attack's poses from a frame on; returns the frame on which the guard is back."""
    guard = poses[max(poses)]
    poses[frame] = breathing(guard, 0.4)
    back = _drawn_back(guard, rng, arm)
    hit = _hit(guard, rng, arm)
    drawn = frame + round(fps * rng.uniform(0.3, 0.5))
    poses[drawn] = back
    held = drawn + round(fps * rng.uniform(0.12, 0.25))
    poses[held] = _between(guard, back, 1.06)
    strikes = held + int(rng.integers(2, 4)) * round(fps / 24.0)
    poses[strikes] = hit
    fast.append(strikes)
    there = np.array([0.0, -0.22, 0.0]) if step else np.zeros(3)
    hit["hips.place"] = hit["hips.place"] + 0.45 * there
    _foot(poses, held, strikes, guard["foot.L.place"], guard["foot.L.place"] + there)
    settled = _settle(poses, strikes, back, hit, fps, trembles=trembles)
    last = settled + round(fps * rng.uniform(0.3, 0.6))
    poses[last] = breathing(hit, 0.5)
    home = last + round(fps * rng.uniform(0.5, 0.8))
    poses[home] = dict(guard)
    _foot(poses, last, home, guard["foot.L.place"] + there, guard["foot.L.place"])
    return home


def _foot(poses: dict, first: int, last: int, start: Floats, end: Floats) -> None:
    """Lift the left foot over from one place to another, where they differ."""
    poses[first]["foot.L.place"], poses[last]["foot.L.place"] = start, end
    if (start != end).any():
        lift = np.array([0.0, 0.0, 0.05 if last - first < 5 else 0.09])
        poses.setdefault((first + last) // 2, {})["foot.L.place"] = 0.5 * (start + end) + lift


def _settle(poses: dict, at: int, back: dict, hit: dict, fps: float, *, trembles: bool) -> int:
    """Past the hit, back, and at rest; or to and fro four times, less each time."""
    swings = (0.10, -0.06, 0.035, -0.02, 0.0) if trembles else (0.12, -0.03, 0.0)
    for swing in swings:
        at += (1 if trembles else 2) * max(1, round(fps / 24.0)) + (0 if trembles else 1)
        poses[at] = _between(back, hit, 1.0 + swing)
    return at


def _between(a: dict, b: dict, share: float) -> dict:
    """Pose b as seen from a: 1 is b itself, more goes beyond it. Feet are left out."""
    return {
        name: np.array(a[name]) + share * (np.array(b[name]) - np.array(a[name]))
        for name in b
        if name in a and not name.startswith("foot")
    }


def _drawn_back(guard: dict, rng: np.random.Generator, arm: str) -> dict:
    turn = out = -1.0 if arm == "L" else 1.0
    pose = {name: np.array(values, dtype=float) for name, values in guard.items()}
    pose["hips.place"] = pose["hips.place"] + [0.0, 0.06, -0.03]
    pose["hips.turn"] = pose["hips.turn"] + [-3.0, 0.0, -turn * rng.uniform(8, 18)]
    pose["chest.turn"] = pose["chest.turn"] + [-5.0, 0.0, -turn * rng.uniform(18, 30)]
    pose["neck.turn"] = pose["neck.turn"] + [3.0, 0.0, turn * rng.uniform(20, 35)]
    pose[f"upper_arm.{arm}.turn"] = np.array([rng.uniform(10, 35), rng.uniform(30, 55) * out, 0.0])
    pose[f"forearm.{arm}.bend"] = np.array([rng.uniform(85, 115)])
    return {name: values for name, values in pose.items() if not name.startswith("foot")}


def _hit(guard: dict, rng: np.random.Generator, arm: str) -> dict:
    turn = out = -1.0 if arm == "L" else 1.0
    pose = {name: np.array(values, dtype=float) for name, values in guard.items()}
    pose["hips.place"] = pose["hips.place"] + [0.0, -rng.uniform(0.08, 0.14), -0.02]
    pose["hips.turn"] = pose["hips.turn"] + [4.0, 0.0, turn * rng.uniform(10, 20)]
    pose["chest.turn"] = pose["chest.turn"] + [7.0, 0.0, turn * rng.uniform(15, 28)]
    pose["neck.turn"] = pose["neck.turn"] + [-5.0, 0.0, -turn * rng.uniform(18, 30)]
    pose[f"upper_arm.{arm}.turn"] = np.array([-rng.uniform(70, 95), rng.uniform(0, 15) * out, 0.0])
    pose[f"forearm.{arm}.bend"] = np.array([rng.uniform(8, 25)])
    return {name: values for name, values in pose.items() if not name.startswith("foot")}
