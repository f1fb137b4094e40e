# SPDX-License-Identifier: GPL-3.0-or-later
"""A key's new values as people type them: axis by axis, turns in degrees."""

from collections.abc import Sequence

import numpy as np

from .. import quaternions as quat
from ..cause import KeyEdit
from ..words import frame_text

# So many values are said; the rest stands in the edits.
MOST_SAID = 3
# Of the largest change: what is less shows in no pose.
LEAST_OF_LARGEST = 0.05
AXES = "xyz"


def values_text(edits: Sequence[KeyEdit]) -> str:
    """`x 0 to -0.041, z -0.05 to -0.029`; empty where no value changes that can be read.

    Metres or scene units as Blender's fields show them, Euler angles in degrees.
    """
    largest = max((_size(each) for each in edits), default=0.0)
    least = LEAST_OF_LARGEST * largest
    said = sorted(edits, key=_size, reverse=True)[:MOST_SAID]
    clear = sorted((e for e in said if _size(e) >= least), key=lambda each: each.channel)
    told = [each.text for each in clear if each.shows]
    turned = bool(edits) and edits[0].channel.startswith("rotation_euler")
    return ", ".join(told) + (" degrees" if told and turned else "")


def turn_text(edits: Sequence[KeyEdit]) -> str:
    """`27.4 degrees about its own y axis`, of a quaternion's four parts.

    Two turns or three are told in the order in which they are typed, each about the axes as they
    stand by then. Empty where a part is not known, or nothing turns that can be read.
    """
    parts = {each.channel.rpartition(".")[2]: each for each in edits}
    if sorted(parts) != sorted("wxyz"):
        return ""
    before, after = (
        quat.normalise(np.array([getattr(parts[axis], side) for axis in "wxyz"]))
        for side in ("before", "after")
    )
    angles = np.degrees(_about_own_axes(quat.multiply(quat.conjugate(before), after)))
    least = max(LEAST_OF_LARGEST * float(np.abs(angles).max()), 0.05)
    told = [(axis, angle) for axis, angle in zip(AXES, angles, strict=True) if abs(angle) >= least]
    if len(told) == 1:
        ((axis, angle),) = told
        return f"{angle:.1f} degrees about its own {axis} axis"
    by = ", then ".join(f"{axis} by {angle:.1f}" for axis, angle in told)
    return f"{by} degrees, about its own axes" if by else ""


def held_text(edits: Sequence[KeyEdit]) -> str:
    """`on its 3 keys from frame 35 to 43: y -1.2`, of keys on several frames; else empty.

    All that shows is told, as all of it is held; of a quaternion all four parts.
    """
    frames = sorted({each.frame for each in edits})
    if len(frames) < 2:
        return ""
    whole = edits[0].channel.startswith("rotation_quaternion")
    held = {
        each.channel.rpartition(".")[2]: each.told(each.after)
        for each in sorted(edits, key=lambda each: each.channel)
        if whole or each.shows
    }
    where = f"on its {len(frames)} keys from frame {frame_text(frames[0])} to "
    where += frame_text(frames[-1])
    if not held:
        return where
    unit = " degrees" if edits[0].channel.startswith("rotation_euler") else ""
    return f"{where}: {', '.join(f'{axis} {value}' for axis, value in held.items())}{unit}"


def _about_own_axes(turn: np.ndarray) -> np.ndarray:
    """(3,) radians about x, then the y that there is then, then the z."""
    x, y, z = (quat.rotate(turn, axis) for axis in np.eye(3))
    return np.array(
        [np.arctan2(-z[1], z[2]), np.arcsin(np.clip(z[0], -1.0, 1.0)), np.arctan2(-y[0], x[0])]
    )


def _size(edit: KeyEdit) -> float:
    return abs(edit.after - edit.before)
