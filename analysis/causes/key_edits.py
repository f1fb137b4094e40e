# SPDX-License-Identifier: GPL-3.0-or-later
"""The key values that a repair changes, to be typed."""

from ..cause import KeyEdit
from .groups import SAME_FRAME, field_factor
from .repairs import Repair

# Values that differ by no more are the same.
LEAST_EDIT = 1e-7


def edits_of(repair: Repair) -> tuple[KeyEdit, ...]:
    """The key values that the repair changes, as Blender's fields show them.

    Of quaternions all parts that are keyed there: a turn is told by four.
    """
    edits = []
    changed = _changed_frames(repair)
    whole = repair.group.name == "rotation_quaternion"
    for old, new in zip(repair.group.curves, repair.mended.curves, strict=True):
        if len(old.values) != len(new.values):
            continue
        scale = field_factor(old.channel)
        for n, (before, after) in enumerate(zip(old.values, new.values, strict=True)):
            if abs(after - before) > LEAST_EDIT or (whole and _near(changed, old.frames[n])):
                edits.append(
                    KeyEdit(
                        control=old.control,
                        channel=old.channel,
                        frame=old.frames[n],
                        before=before * scale,
                        after=after * scale,
                    )
                )
    return tuple(edits)


def _changed_frames(repair: Repair) -> list[float]:
    """Scene frames on which any curve's key gets another value."""
    return [
        frame
        for old, new in zip(repair.group.curves, repair.mended.curves, strict=True)
        if len(old.values) == len(new.values)
        for frame, before, after in zip(old.frames, old.values, new.values, strict=True)
        if abs(after - before) > LEAST_EDIT
    ]


def _near(frames: list[float], frame: float) -> bool:
    return any(abs(each - frame) <= SAME_FRAME for each in frames)
