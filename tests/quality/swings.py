# SPDX-License-Identifier: GPL-3.0-or-later
"""Clean set of swings with a blade in one hand: wound up, struck through, overshot and settled.

The wrist is cocked in the wind-up and opens a frame or two after the arm, so that the tip drags
and arrives last (overlap; common practice, no source). The blade cuts into nothing, and a camera
sees its flat.
"""

import numpy as np

from .armed import CLEAR, shown
from .authored import clip, key_poses
from .blade import LENGTH, WIDTH, Blade, with_blade
from .case import Case
from .holds import breathing, random_pose
from .keying import Keyed
from .moves import height_of
from .puppet import Floats
from .skins import clearance

EACH, TRIES = 20, 30
_RATES = (24.0, 30.0)
# Degrees (forward, to its left, turned left) of the upper arm at the wind-up and at the end of a
# strike, for the right arm: over the shoulder and down, from the side across, up from below.
STROKES = (
    ((-150.0, 25.0, 0.0), (-25.0, 15.0, 0.0)),
    ((-75.0, 75.0, -20.0), (-70.0, -10.0, 20.0)),
    ((45.0, 25.0, 0.0), (-120.0, 25.0, 0.0)),
)


def swings() -> list[Case]:
    """Two strikes a clip, at 24 and 30 frames a second."""
    found = []
    for number in range(2 * EACH):
        half, fps = "AB"[number % 2], _RATES[number // 2 % 2]
        rng = np.random.default_rng([9, number])
        for _ in range(TRIES):
            made = _clip(rng, fps, keys=number % 4 == 0)
            if made is not None:
                found.append(Case(f"swings/{number:02}", "swings", "swings", half, made))
                break
    return found


def _clip(rng: np.random.Generator, fps: float, *, keys: bool):
    side = str(rng.choice(["L", "R"]))
    size = rng.uniform(0.8, 1.3)
    made = clip(_strikes(rng, fps, side), fps, "swings", size=size, keys=keys)
    height = height_of(made)
    down = np.radians(rng.uniform(15.0, 60.0))
    blade = Blade(
        side=side,
        way=np.array([0.0, np.sin(down), -np.cos(down)]),
        length=height * rng.uniform(*LENGTH),
        width=height * rng.uniform(*WIDTH),
        trails_s=0.0,
    )
    held = with_blade(made, blade)
    if clearance(held, side).min() < CLEAR * height:
        return None
    return shown(held, rng)


def _strikes(rng: np.random.Generator, fps: float, side: str) -> Keyed:
    poses, frame = {0: _guard(rng)}, round(0.3 * fps)
    for _ in range(2):
        frame = _strike(poses, frame, rng, fps, side)
    late = {"chest": 0, "neck": 1, "forearm": 1, "hand": int(rng.integers(2, 4))}
    return key_poses(poses, late=late)


def _guard(rng: np.random.Generator) -> dict:
    pose = random_pose(rng, much=0.3)
    pose["hips.place"] = np.array([0.0, 0.0, -0.07])
    pose["foot.L.place"] = np.array([0.08, -0.14, 0.0])
    pose["foot.R.place"] = np.array([-0.08, 0.14, 0.0])
    for each, out in (("L", -1.0), ("R", 1.0)):
        pose[f"upper_arm.{each}.turn"] = np.array([-25.0, 25.0 * out, 0.0]) + rng.normal(size=3) * 5
        pose[f"forearm.{each}.bend"] = np.array([70.0 + 10.0 * rng.normal()])
        pose[f"hand.{each}.turn"] = np.array([5.0, 0.0, 0.0]) + rng.normal(size=3) * 3
    return pose


def _strike(poses: dict, frame: int, rng: np.random.Generator, fps: float, side: str) -> int:
    """Add one strike's poses from a frame on; returns the frame on which the guard is back."""
    guard = poses[max(poses)]
    poses[frame] = breathing(guard, 0.4)
    up, down = (np.array(each) + rng.normal(size=3) * 6 for each in STROKES[rng.integers(3)])
    cocked, opened = rng.uniform(25.0, 45.0), rng.uniform(15.0, 30.0)
    # The wrist goes against the stroke while it winds up, and with it at the end.
    way = 1.0 if up[0] < down[0] else -1.0
    back = _posed(guard, side, up, rng.uniform(80, 105), -way * cocked, -1.0, rng)
    hit = _posed(guard, side, down, rng.uniform(12, 30), way * opened, 1.0, rng)
    for pose, seconds in ((back, (0.35, 0.55)), (None, (0.08, 0.15)), (hit, (0.2, 0.35))):
        frame += max(round(fps * rng.uniform(*seconds)), 2)
        poses[frame] = _between(guard, back, 1.04) if pose is None else pose
    for share in (1.08, 0.98, 1.0):
        frame += max(round(fps * 0.12), 2)
        poses[frame] = _between(back, hit, share)
    frame += round(fps * rng.uniform(0.3, 0.5))
    poses[frame] = breathing(hit, 0.5)
    frame += round(fps * rng.uniform(0.5, 0.8))
    poses[frame] = dict(guard)
    return frame


def _posed(
    guard: dict,
    side: str,
    arm: Floats,
    bend: float,
    wrist: float,
    sign: float,
    rng: np.random.Generator,
) -> dict:
    """The guard with the arm that strikes elsewhere, hips and chest turned with it."""
    out = -1.0 if side == "L" else 1.0
    pose = {name: np.array(values, dtype=float) for name, values in guard.items()}
    pose[f"upper_arm.{side}.turn"] = arm * [1.0, out, out]
    pose[f"forearm.{side}.bend"] = np.array([bend])
    pose[f"hand.{side}.turn"] = np.array([wrist, 0.0, 0.0]) + rng.normal(size=3) * 3
    turn = sign * out * rng.uniform(8.0, 18.0)
    pose["hips.turn"] = pose["hips.turn"] + [0.0, 0.0, turn]
    pose["chest.turn"] = pose["chest.turn"] + [2.0 * sign, 0.0, 1.2 * turn]
    pose["neck.turn"] = pose["neck.turn"] + [0.0, 0.0, -1.8 * turn]
    return {name: values for name, values in pose.items() if not name.startswith("foot")}


def _between(a: dict, b: dict, share: float) -> dict:
    """Pose b as seen from a: 1 is b itself, more goes beyond it. Feet are left out."""
    return {
        name: np.array(a[name]) + share * (np.array(b[name]) - np.array(a[name]))
        for name in b
        if name in a and not name.startswith("foot")
    }
