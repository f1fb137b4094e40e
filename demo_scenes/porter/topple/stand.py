# SPDX-License-Identifier: GPL-3.0-or-later
"""He stands and sways before he falls, seen from the side.

He leans about his ankles on soft knees, and bends a little at waist, neck, shoulders and elbows.
Degrees, forward positive (knees and arms: negative is forward); between its keys a curve runs on at
the speed of the keys beside.
"""

from itertools import pairwise

import numpy as np

from .points import AT, NAMES, SIDES, Floats, rest

Keys = dict[int, float]

# The last lean is past the heels, which is where nothing holds him any more.
SWAY: dict[str, Keys] = {
    "lean": {1: 5.6, 10: 6.0, 19: 5.1, 28: 6.2, 36: 6.6, 43: 5.2, 50: 2.4, 54: 0.0},
    "knee": {1: -10.0, 22: -9.4, 38: -10.4, 54: -10.0},
    "hip": {1: 5.0, 22: 4.7, 38: 5.2, 54: 5.0},
    "waist": {1: 1.0, 9: 0.4, 20: 1.4, 30: 1.0, 40: 3.0, 50: 1.0, 54: 0.0},
    "neck": {1: 2.0, 14: 4.0, 24: 3.0, 34: 12.0, 40: 15.0, 46: 8.0, 50: -2.0, 54: -8.0},
    "shoulder.L": {1: -3.0, 14: -2.0, 28: -4.0, 40: -6.0, 50: -2.0, 54: -1.0},
    "shoulder.R": {1: -1.0, 12: -2.0, 26: 0.0, 38: -4.0, 50: -1.0, 54: 0.0},
    "elbow.L": {1: -6.0, 20: -4.0, 40: -7.0, 54: -5.0},
    "elbow.R": {1: -4.0, 22: -6.0, 42: -3.0, 54: -4.0},
}
_ARM = ("elbow", "wrist", "fingers")
_ARMS = tuple(f"{part}.{side}" for side in SIDES for part in _ARM)
_FEET = tuple(f"{part}.{side}" for side in SIDES for part in ("ankle", "ball"))
_LEGS = (*_FEET, *(f"knee.{side}" for side in SIDES))

# word -> about which point it turns, and which points it carries; what is carried comes first
_TURNS: dict[str, tuple[str, tuple[str, ...]]] = {
    **{f"elbow.{side}": (f"elbow.{side}", (f"wrist.{side}", f"fingers.{side}")) for side in SIDES},
    **{
        f"shoulder.{side}": ("shoulder", tuple(f"{part}.{side}" for part in _ARM)) for side in SIDES
    },
    "neck": ("neck", ("skull",)),
    "waist": ("waist", ("shoulder", "neck", "skull", *_ARMS)),
    "hip": ("hip", ("waist", "shoulder", "neck", "skull", *_ARMS)),
    "knee": ("knee.L", tuple(name for name in NAMES if name not in _LEGS)),
    "lean": ("ankle.L", tuple(name for name in NAMES if name not in _FEET)),
}


def standing(frame: float) -> Floats:
    """(P,2) metres: where the points are at a frame before he falls."""
    place = rest()
    for word, (about, carried) in _TURNS.items():
        moved = [AT[name] for name in carried]
        turn = np.radians(_smooth(SWAY[word], frame))
        place[moved] = _turned(place[moved], place[AT[about]], turn)
    return place


def joint_angles(frame: float) -> dict[str, float]:
    """Joint -> radians at a frame; joints that are not named are as at rest."""
    found = {word: np.radians(_smooth(keys, frame)) for word, keys in SWAY.items()}
    ankle, knee, hip = -found.pop("lean"), -found.pop("knee"), -found.pop("hip")
    for side in SIDES:
        found |= {f"ankle.{side}": ankle, f"knee.{side}": knee, f"hip.{side}": hip}
    return found


def _turned(points: Floats, about: Floats, turn: float) -> Floats:
    """Points (N,2) turned forward about one."""
    ahead, up = (points - about).T
    cos, sin = np.cos(turn), np.sin(turn)
    return np.asarray(about + np.stack([cos * ahead + sin * up, cos * up - sin * ahead], axis=1))


def _smooth(keys: Keys, frame: float) -> float:
    """The value of a curve through keys: cubic from key to key, at rest at both ends."""
    frames = list(keys)
    speeds = [0.0]
    for a, _, c in zip(frames, frames[1:], frames[2:], strict=False):
        speeds.append((keys[c] - keys[a]) / (c - a))
    speeds.append(0.0)
    for i, (a, b) in enumerate(pairwise(frames)):
        if frame <= b:
            span, u = b - a, (frame - a) / (b - a)
            return (
                keys[a] * (1 + 2 * u) * (1 - u) ** 2
                + speeds[i] * span * u * (1 - u) ** 2
                + keys[b] * (3 - 2 * u) * u**2
                - speeds[i + 1] * span * (1 - u) * u**2
            )
    return keys[frames[-1]]
