# SPDX-License-Identifier: GPL-3.0-or-later
"""In which way a control is moved or turned, told as changes of its channels."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from analysis import quaternions as quat

from .curves import write_group
from .takes import Take
from .watch import Watch

if TYPE_CHECKING:
    from .plant import Site

STEP = 0.01


@dataclass(frozen=True, eq=False)
class Limb:
    """gap (3,) from the limb's root to its target, metres; reach: how long the limb is."""

    gap: np.ndarray
    reach: float


def way(rng: np.random.Generator, prop: str, indices: Sequence[int]) -> np.ndarray:
    """(3,) a drawn unit vector: of a shift, or the axis of a turn; Euler: weights of angles.

    Of channels that are not keyed it has nothing, but for a quaternion, which is keyed whole.
    """
    drawn = rng.normal(size=3)
    if prop != "rotation_quaternion":
        drawn *= [index in indices for index in range(3)]
    return drawn / np.linalg.norm(drawn)


def deltas(
    prop: str, values: Mapping[int, float], along: np.ndarray, amount: float
) -> dict[int, float]:
    """Index -> change: metres along `along`, or radians about it, about the control's own axes."""
    if prop != "rotation_quaternion":
        return {index: float(along[index] * amount) for index in values}
    now = np.array([values[index] for index in range(4)])
    half = 0.5 * amount
    turn = np.concatenate(([np.cos(half)], np.sin(half) * along))
    new = np.linalg.norm(now) * quat.multiply(now / np.linalg.norm(now), turn)
    return {index: float(new[index] - now[index]) for index in range(4)}


def to_channels(site: "Site", shift: np.ndarray) -> dict[int, float]:
    """Index -> change of the location channels that moves a control by a world vector, metres."""
    name, frame = site.group.name, site.frame
    rest = site.watch.matrix(name.control, frame)[:3, 3]
    columns = {}
    for index, keys in site.group.keys.items():
        points = keys.points.copy()
        points[:, :, 1] += STEP
        write_group(site.take.rig, name, {index: type(keys)(points, keys.extras)})
        columns[index] = (site.watch.matrix(name.control, frame)[:3, 3] - rest) / STEP
        write_group(site.take.rig, name, {index: keys})
    indices = sorted(columns)
    solved = np.linalg.lstsq(np.stack([columns[i] for i in indices], axis=1), shift, rcond=None)[0]
    return dict(zip(indices, solved.tolist(), strict=True))


def limb_root(take: Take, watch: Watch, control: str, frame: float) -> Limb:
    """The limb that a hand's or foot's IK control pulls, as it stands on a frame."""
    kind, side = control.split(".")[0].removesuffix("_ik"), control[-1]
    upper, lower = ("thigh", "shin") if kind == "foot" else ("upper_arm", "forearm")
    prefix = "ORG-" if take.base.rig == "rigify" else ""
    pose, bones = watch.pose(frame), take.rig.pose.bones
    names = [f"{prefix}{each}.{side}" for each in (upper, lower, kind)]
    root, end = (pose[bones.find(each)][:3, 3] for each in (names[0], names[2]))
    reach = sum(bones[each].bone.length for each in names[:2])
    return Limb(gap=end - root, reach=float(reach))
