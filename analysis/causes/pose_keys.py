# SPDX-License-Identifier: GPL-3.0-or-later
"""How the shot is keyed: which controls share their key frames, and how rare corners are."""

from collections.abc import Sequence

from .groups import SAME_FRAME, Group

# A frame that this share of the other controls is keyed on is a pose; one that so few are, is not.
POSE, LONELY = 0.3, 0.1
# A key that stands alone beside a pose is likely late or early; one on a pose is likely right.
BESIDE_POSE, ON_POSE = 5.0, 0.15
# Linear and stepped keys, where fewer of the shot's are, are none of its style; the key that such a
# segment arrives at is hardly to blame for it.
RARE, RARE_CORNER, ARRIVES = 0.1, 8.0, 0.5

_CORNERS = {"LINEAR", "CONSTANT"}


class PoseKeys:
    """Counts over all groups of a shot."""

    def __init__(self, groups: Sequence[Group]) -> None:
        self._groups = [group for group in groups if group.is_transform]
        self._controls = {group.control for group in self._groups}
        kinds = [
            curve.interpolation[n] in _CORNERS
            for group in self._groups
            for curve in group.curves
            for n in range(len(curve.frames))
        ]
        # The share of keys that are linear or stepped.
        self.corners = sum(kinds) / max(len(kinds), 1)

    def others_on(self, control: str, frame: float) -> set[str]:
        """Other controls that are keyed on a frame."""
        return {
            group.control
            for group in self._groups
            if group.control != control
            and any(abs(each - frame) <= SAME_FRAME for each in group.frames)
        }

    def lonely(self, group: Group, frame: float, to_frame: float) -> float:
        """What speaks for a key's being a frame off: others are keyed where it would go."""
        others = max(len(self._controls) - 1, 1)
        here = len(self.others_on(group.control, frame)) / others
        there = len(self.others_on(group.control, to_frame)) / others
        if there >= POSE and here <= LONELY:
            return BESIDE_POSE
        return ON_POSE if here >= POSE else 1.0

    def rare_corner(self, group: Group, frame: float) -> float:
        """What speaks for a corner's being a mistake: the shot has hardly any such key."""
        kinds = [
            curve.interpolation[n]
            for curve in group.curves
            if (n := group.key_at(curve, frame)) is not None
        ]
        if not _CORNERS.intersection(kinds):
            return ARRIVES
        return RARE_CORNER if self.corners < RARE else 1.0
