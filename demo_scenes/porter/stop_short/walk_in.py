# SPDX-License-Identifier: GPL-3.0-or-later
"""The brisk walk's tables as a way into a shot that plays once.

The mover stays where it is: what the walk's mover would travel is added to what travels on it.
"""

from ..armature import SIDES
from ..strides import half_stride_later
from ..walk_feet import FOOT_IK, FOOT_ROLL, KNEE_POLE
from ..walk_poses import STRIDE_POSES
from ..walk_timing import SPEED, STRIDE

Keys = dict[int, float]
Table = dict[str, dict[str, Keys]]

# Keys of the stride before the shot, so that the curves are under way on its first frame.
_BEFORE = -12
_TRAVELLERS = ("body", "foot_ik", "knee_pole")
# The walk does not key how far ahead the knees' poles stand: they ride on the mover.
_KEPT: Keys = {1: 0.0, 13: 0.0, 25: 0.0}


def walked_into(shot: Table) -> Table:
    """A shot's tables with the walk's keys before the first key of each."""
    walk = _walk()
    return {
        control: {word: _joined(walk[control].get(word, {}), keys) for word, keys in words.items()}
        for control, words in shot.items()
    }


def _joined(walk: Keys, keys: Keys) -> Keys:
    return {frame: value for frame, value in walk.items() if frame < min(keys)} | keys


def _walk() -> Table:
    """One stride and the end of the one before it, for all controls; left foot lands on 1."""
    stride = dict(STRIDE_POSES)
    for name, words in {"foot_ik": FOOT_IK, "foot_roll": FOOT_ROLL}.items():
        stride[f"{name}.L"] = words
        stride[f"{name}.R"] = {
            word: half_stride_later(keys, STRIDE) for word, keys in words.items()
        }
    for side in SIDES:
        stride[f"knee_pole.{side}"] = {"ahead": _KEPT, **KNEE_POLE}
    return {
        control: {word: _travelled(control, word, keys) for word, keys in words.items()}
        for control, words in stride.items()
    }


def _travelled(control: str, word: str, keys: Keys) -> Keys:
    """A stride's keys with those before the shot, and with the mover's travel where it counts."""
    early = {frame - STRIDE: value for frame, value in keys.items() if frame != STRIDE + 1}
    both = {frame: value for frame, value in {**early, **keys}.items() if frame >= _BEFORE}
    if word != "ahead" or control.split(".")[0] not in _TRAVELLERS:
        return both
    return {frame: value + SPEED * (frame - 1) for frame, value in both.items()}
