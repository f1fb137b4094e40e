# SPDX-License-Identifier: GPL-3.0-or-later
"""The puppet's splines as the keys that a clip carries."""

import numpy as np

from analysis.curves import Curve

from .puppet import Puppet
from .splines import Spline

# Channel of the puppet -> how a rig would spell it: property, axes, index of the first.
_SPELLED = {
    "place": ("location", "xyz", 0),
    "turn": ("rotation_quaternion", "wxyz", 0),
    "bend": ("rotation_euler", "x", 0),
    "swivel": ("rotation_euler", "y", 1),
}
_HANDLES = {"clamped": "AUTO_CLAMPED", "plain": "AUTO_CLAMPED", "auto": "AUTO", "linear": "VECTOR"}


def curves_of(puppet: Puppet, splines: dict[str, Spline], first: int = 1) -> tuple[Curve, ...]:
    """Every channel's keys, the splines' frame 0 on scene frame `first`."""
    return tuple(
        _curve(puppet, name, curve, column, first)
        for name, curve in splines.items()
        for column in range(curve.values.shape[1])
    )


def _curve(puppet: Puppet, name: str, curve: Spline, column: int, first: int) -> Curve:
    control, _, channel = name.rpartition(".")
    path, axes, index = _SPELLED[channel]
    frames, values = curve.frames + first, curve.values[:, column]
    gaps = np.diff(curve.frames)
    before, after = np.concatenate((gaps[:1], gaps)), np.concatenate((gaps, gaps[-1:]))
    before, after = curve.reach * before, curve.reach * after
    left = np.stack((frames - before, values - before * curve.slopes_in[:, column]), axis=-1)
    right = np.stack((frames + after, values + after * curve.slopes_out[:, column]), axis=-1)
    broken = curve.slopes_in[:, column] != curve.slopes_out[:, column]
    kind = _HANDLES[curve.kind]
    return Curve(
        control=control,
        channel=f"{path}.{axes[column]}",
        data_path=f'pose.bones["{control}"].{path}',
        index=index + column,
        action="keyed",
        strip=None,
        frames=tuple(frames.tolist()),
        action_frames=tuple(frames.tolist()),
        values=tuple(values.tolist()),
        interpolation=("LINEAR" if curve.kind == "linear" else "BEZIER",) * len(frames),
        handle_left=tuple((a, b) for a, b in left.tolist()),
        handle_right=tuple((a, b) for a, b in right.tolist()),
        handle_types=tuple(("FREE", kind) if each else (kind, kind) for each in broken),
        key_types=("KEYFRAME",) * len(frames),
        cyclic=curve.cyclic,
        drives=_drives(puppet, control),
    )


def _drives(puppet: Puppet, control: str) -> tuple[str, ...]:
    """The joints that a control can move: all that hangs on it; a leg's steer its whole leg."""
    part, _, side = control.partition(".")
    if part in ("foot", "knee"):
        lowest = ("foot",) if part == "foot" else ()
        return tuple(f"{joint}.{side}" for joint in ("thigh", "shin", *lowest))
    found = {puppet.joints.index(control)}
    for joint, parent in enumerate(puppet.parents):
        if parent in found:
            found.add(joint)
    # The feet are steered in the world, so that the hips move their legs and not their soles.
    return tuple(n for j, n in enumerate(puppet.joints) if j in found and not n.startswith("foot"))
