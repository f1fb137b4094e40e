# SPDX-License-Identifier: GPL-3.0-or-later
"""Keys of a control as points in space: where each of them puts what the control carries.

What carries the control is taken out: a control's matrix is what carries it times its own channels,
so that the first is the matrix times the channels' inverse. A key then puts a point that goes along
with the control to one place against what carries it, whatever the rest of the rig does.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from . import quaternions as quat
from .basis import Basis
from .channel_turns import carrier_axes, turns_of
from .curves import Curve
from .memory import recalled

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

GROUPS = {"location": "location"} | dict.fromkeys(
    ("rotation_quaternion", "rotation_euler", "rotation_axis_angle"), "rotation"
)
# Keys between two samples are those of the nearer one, up to this share of a step.
NEAR_STEP = 0.51
# Values that differ by less are one.
LEVEL = 1e-6
# A point this near to a control's head (share of the height) is not turned by it.
LEAST_ARM = 0.02


@dataclass(frozen=True, eq=False)
class KeyPath:
    """The keys of one group of a control's channels; K keys.

    control, group     `location` or `rotation`; prop: the property as Blender spells it
    channels           the keyed ones of the group, such as `location.x`
    samples (K,)       rising sample indices; frames (K,) scene frames
    key_types (K,)     KEYFRAME, EXTREME, BREAKDOWN, ...
    moving             how many of the channels differ from key to key: a single one moves its point
                       along one curve, whatever its values
    stepped            whether any key holds until the next one, so that there is no arc
    body, mark         index of the followed body and of its point that shows the keys most
    values (K,3) or (K,4)   location as keyed, or the turn as a quaternion
    carrier (K,3,3)    takes the channels' axes to the world's; scene metres a unit
    arm (K,3)          from the control's head to the point, in the control's axes before it turns
    """

    control: str
    group: str
    prop: str
    channels: tuple[str, ...]
    samples: Ints
    frames: Floats
    key_types: tuple[str, ...]
    moving: int
    stepped: bool
    body: int
    mark: int
    values: Floats
    carrier: Floats
    arm: Floats

    def places(self, keys: Ints, at: Ints) -> Floats:
        """(N,M,3) where keys (N,M) put the point, in the world's axes as what carries the control
        stands at key `at` (N,), metres; only differences between them mean something."""
        if self.group == "location":
            own = self.values[keys]
        else:
            own = quat.rotate(self.values[keys], self.arm[at][:, None])
        return np.asarray(np.einsum("nij,nmj->nmi", self.carrier[at], own))


def key_paths(basis: Basis) -> Iterator[KeyPath]:
    """Every keyed control of which the clip has matrix and values, group by group."""
    clip = basis.clip
    if clip.control_matrices is None or clip.channel_values is None:
        return
    grouped: dict[tuple[str, str, str], list[Curve]] = {}
    for curve in clip.meta.curves:
        prop = curve.channel.rpartition(".")[0]
        if prop in GROUPS and f"{curve.control}|{curve.channel}" in clip.channels:
            grouped.setdefault((curve.control, GROUPS[prop], prop), []).append(curve)
    for (control, group, prop), curves in grouped.items():
        if control in clip.meta.controls:
            path = _path(basis, control, group, prop, curves)
            if path is not None:
                yield path


def _path(
    basis: Basis, control: str, group: str, prop: str, curves: Sequence[Curve]
) -> KeyPath | None:
    samples, frames, kinds = recalled(basis.memory, _keys, tuple(curves), basis.frames)
    matrices = basis.clip.control_matrices
    if len(samples) < 3 or matrices is None:
        return None
    matrix = matrices[samples, basis.clip.meta.controls.index(control)]
    shown = _shown(basis, group, curves, matrix, samples)
    if shown is None:
        return None
    turns = turns_of(basis.clip, control, samples)
    carrier = carrier_axes(basis.clip, control, samples)
    point = basis.marks[samples, shown[0], shown[1]]
    if group == "location":
        names = [f"{control}|location.{axis}" for axis in "xyz"]
        values = _columns(basis, names, samples)
        arm = np.zeros((len(samples), 3))
    else:
        values = turns
        gap = (point - matrix[:, :3, 3])[..., None]
        arm = np.linalg.solve(matrix[:, :3, :3] + 1e-12 * np.eye(3), gap)[..., 0]
    return KeyPath(
        control=control,
        group=group,
        prop=prop,
        channels=tuple(dict.fromkeys(curve.channel for curve in curves)),
        samples=samples,
        frames=frames,
        key_types=kinds,
        moving=len({c.channel for c in curves if max(c.values) - min(c.values) > LEVEL}),
        stepped=any("CONSTANT" in curve.interpolation[:-1] for curve in curves),
        body=shown[0],
        mark=shown[1],
        values=values,
        carrier=carrier,
        arm=arm,
    )


def _columns(basis: Basis, names: Sequence[str], samples: Ints) -> Floats:
    """(K,N) channels on samples; what is not keyed stays 0, as it is alike everywhere."""
    clip, found = basis.clip, np.zeros((len(samples), len(names)))
    for n, name in enumerate(names):
        if name in clip.channels and clip.channel_values is not None:
            found[:, n] = clip.channel_values[samples, clip.channels.index(name)]
    return found


def _keys(curves: tuple[Curve, ...], all_frames: Floats) -> tuple[Ints, Floats, tuple[str, ...]]:
    """Samples, frames and types of the keys of any of the curves, inside the range."""
    found: dict[int, tuple[float, str]] = {}
    step = float(all_frames[1] - all_frames[0]) if len(all_frames) > 1 else 1.0
    for curve in curves:
        nearest = _nearest(all_frames, curve.times).tolist()
        for frame, kind, at in zip(curve.frames, curve.key_types, nearest, strict=True):
            if abs(all_frames[at] - frame) <= NEAR_STEP * step:
                known = found.get(at)
                found[at] = (frame, kind if known is None or known[1] == "KEYFRAME" else known[1])
    samples = np.array(sorted(found), dtype=np.int64)
    frames = np.array([found[at][0] for at in sorted(found)])
    return samples, frames, tuple(found[at][1] for at in sorted(found))


def _nearest(frames: Floats, wanted: Floats) -> Ints:
    """Indices of the rising `frames` that lie nearest, the earlier one of two."""
    after = np.clip(np.searchsorted(frames, wanted), 1, len(frames) - 1)
    before = after - 1
    nearer = np.abs(frames[before] - wanted) <= np.abs(frames[after] - wanted)
    return np.where(nearer, before, after)


def _shown(
    basis: Basis, group: str, curves: Sequence[Curve], matrix: Floats, samples: Ints
) -> tuple[int, int] | None:
    """Body and mark that show the keys: of a shift the nearest body, of a turn the furthest
    point. What steered legs do is not what the trunk's controls say."""
    driven = {joint for curve in curves for joint in curve.drives}
    bodies = [n for n, each in enumerate(basis.bodies) if each.name in driven and each.judged]
    upper = [n for n in bodies if not _is_leg(basis, n)]
    bodies = upper or bodies
    marks = [(n, mark) for n in bodies for mark in ((0,) if group == "location" else (0, 1))]
    if not marks:
        return None
    which, mark = np.array(marks).T
    ways = basis.marks[samples[:, None], which, mark] - matrix[:, None, :3, 3]
    gaps = np.median(np.linalg.norm(ways, axis=-1), axis=0)
    if group == "location":
        return marks[int(np.argmin(gaps))]
    furthest = int(np.argmax(gaps))
    return marks[furthest] if gaps[furthest] > LEAST_ARM * basis.height.scene_m else None


def _is_leg(basis: Basis, body: int) -> bool:
    part = basis.bodies[body].part
    return part is not None and part.partition(".")[0] in ("thigh", "shin", "foot", "toe")
