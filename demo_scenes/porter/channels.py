# SPDX-License-Identifier: GPL-3.0-or-later
"""The words that the pose tables use, and the channel that each one stands for.

Every word means the same on both sides of the figure: `swing` is forward, `out` is away
from the body, `toe_out` turns the toes outwards. Where the right side's channel runs the
other way, the sign is turned here and nowhere else.
"""

from dataclasses import dataclass
from math import radians

LOCATION, ROTATION = "location", "rotation_euler"


@dataclass(frozen=True)
class Channel:
    """One component of a control's property; `sign` turns a table's value into the channel's."""

    control: str
    prop: str
    index: int
    sign: float = 1.0

    @property
    def data_path(self) -> str:
        """The channel's data path on the armature object."""
        return f'pose.bones["{self.control}"].{self.prop}'

    def scaled(self, value: float) -> float:
        """A table's value, metres or degrees, as the channel holds it: metres or radians."""
        return self.sign * (radians(value) if self.prop == ROTATION else value)


# word -> property, index, and whether the sign is (the same on) left, right
_Meaning = tuple[str, int, float, float]

_FLAT: dict[str, _Meaning] = {  # controls that point ahead: mover, body, foot_ik, knee_pole
    "right": (LOCATION, 0, 1.0, 1.0),
    "apart": (LOCATION, 0, -1.0, 1.0),
    "ahead": (LOCATION, 1, 1.0, 1.0),
    "up": (LOCATION, 2, 1.0, 1.0),
    "lean": (ROTATION, 0, -1.0, -1.0),
    "toes_up": (ROTATION, 0, 1.0, 1.0),
    "tilt": (ROTATION, 1, 1.0, 1.0),
    "turn": (ROTATION, 2, 1.0, 1.0),
    "toe_out": (ROTATION, 2, 1.0, -1.0),
}
_TRUNK: dict[str, _Meaning] = {  # lean: forward; turn: to the left; tilt: to the right
    "lean": (ROTATION, 0, 1.0, 1.0),
    "turn": (ROTATION, 1, 1.0, 1.0),
    "tilt": (ROTATION, 2, 1.0, 1.0),
}
_ARM: dict[str, _Meaning] = {  # swing: forward, on the forearm the elbow's bend; twist: palm back
    "swing": (ROTATION, 0, 1.0, 1.0),
    "twist": (ROTATION, 1, 1.0, -1.0),
    "out": (ROTATION, 2, 1.0, -1.0),
}
_SHOULDER: dict[str, _Meaning] = {
    "forward": (ROTATION, 0, 1.0, 1.0),
    "shrug": (ROTATION, 2, 1.0, -1.0),
}
_ROLL: dict[str, _Meaning] = {"heel_up": (ROTATION, 0, 1.0, 1.0)}

_WORDS: dict[str, dict[str, _Meaning]] = {
    **dict.fromkeys(("mover", "body", "foot_ik", "knee_pole"), _FLAT),
    **dict.fromkeys(("hips", "spine", "chest", "neck", "head"), _TRUNK),
    **dict.fromkeys(("upper_arm", "forearm", "hand"), _ARM),
    "shoulder": _SHOULDER,
    "foot_roll": _ROLL,
}


def channel(control: str, word: str) -> Channel:
    """The channel that a word of the pose tables means on a control."""
    part, _, side = control.partition(".")
    prop, index, left, right = _WORDS[part][word]
    return Channel(control, prop, index, right if side == "R" else left)
