# SPDX-License-Identifier: GPL-3.0-or-later
"""How the shot is keyed: which controls share their key frames, and how rare corners are."""

from collections.abc import Sequence

from .groups import CORNERS, SAME_FRAME, Group

# A frame that this share of the other controls is keyed on is a pose; one that so few are, is not.
POSE, LONELY = 0.3, 0.1
# A key that stands alone beside a pose is likely late or early; one on a pose is likely right.
BESIDE_POSE, ON_POSE = 5.0, 0.15
# Linear and stepped keys, where fewer of the shot's are, are none of its style; the key that such a
# segment arrives at is hardly to blame for it.
RARE, RARE_CORNER, ARRIVES = 0.1, 8.0, 0.5


class PoseKeys:
    """Counts over all groups of a shot."""

    def __init__(self, groups: Sequence[Group]) -> None:
        moving = [group for group in groups if group.is_transform]
        self._keyed: dict[str, set[float]] = {}
        for group in moving:
            self._keyed.setdefault(group.control, set()).update(map(_near, group.frames))
        kinds = [
            curve.interpolation[n] in CORNERS
            for group in moving
            for curve in group.curves
            for n in range(len(curve.frames))
        ]
        # The share of keys that are linear or stepped.
        self.corners = sum(kinds) / max(len(kinds), 1)

    @property
    def controls(self) -> int:
        """How many controls are keyed to move."""
        return len(self._keyed)

    def others_on(self, control: str, frame: float) -> set[str]:
        """Other controls that are keyed on a frame."""
        near = _near(frame)
        return {each for each, keyed in self._keyed.items() if each != control and near in keyed}

    def share_on(self, control: str, frame: float) -> float:
        """The share of the other controls that is keyed on a frame."""
        return len(self.others_on(control, frame)) / max(len(self._keyed) - 1, 1)

    def lonely(self, group: Group, frame: float, to_frame: float) -> float:
        """What speaks for a key's being a frame off: others are keyed where it would go."""
        here = self.share_on(group.control, frame)
        if self.share_on(group.control, to_frame) >= POSE and here <= LONELY:
            return BESIDE_POSE
        return ON_POSE if here >= POSE else 1.0

    def rare_corner(self, group: Group, frame: float) -> float:
        """What speaks for a corner's being a mistake: the shot has hardly any such key."""
        if not CORNERS & group.kinds_at(frame):
            return ARRIVES
        return RARE_CORNER if self.corners < RARE else 1.0


def _near(frame: float) -> float:
    """Frames that are one pose as one number."""
    return round(frame / SAME_FRAME) * SAME_FRAME
