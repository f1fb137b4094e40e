# SPDX-License-Identifier: GPL-3.0-or-later
"""Captured human motion as plain numbers: fifteen short clips of one actor-sized figure.

Source: PyPI pybullet 3.2.7, pybullet_data/data/motions/humanoid3d_*.txt. One row a frame:
duration, root place, root turn, then chest, neck, right leg, right arm, left leg, left arm;
balls as quaternions w x y z, knees and elbows as one angle. y is up, and the frame rate
differs from clip to clip. None of it is stored in the project.
"""

import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from .rotations import Floats, about, continuous, multiply, normalise, rotate
from .skeleton import SOURCE_TO_WORLD, Skeleton, read_skeleton

MOTIONS = "data/motions"
NAMES = (
    "backflip",
    "cartwheel",
    "crawl",
    "dance_a",
    "dance_b",
    "getup_facedown",
    "getup_faceup",
    "jump",
    "kick",
    "punch",
    "roll",
    "run",
    "spin",
    "spinkick",
    "walk",
)

_SIDE = ("hip", "knee", "ankle", "shoulder", "elbow")
_ORDER = (
    "root",
    "chest",
    "neck",
    *(f"right_{joint}" for joint in _SIDE),
    *(f"left_{joint}" for joint in _SIDE),
)
_HINGES = ("knee", "elbow")
# The source's z axis (to the right) is the hinge of knees and elbows (URDF: axis 0 0 1).
_HINGE_AXIS: Floats = np.array([0.0, 0.0, 1.0])
_ROW_LENGTH = 44


@dataclass(frozen=True, eq=False)
class CapturedMotion:
    """One motion: T frames of J joints, metres, Z up, world, looking along -Y at rest.

    name; fps frames a second; joints (J,) names; parents (J,) index or -1.
    positions (T,J,3) joint heads. rotations (T,J,4) unit quaternions w, x, y, z, plain world
    orientation with Y along the bone, signs continuous in time. rest_positions (J,3),
    rest_rotations (J,4), lengths (J,): the figure standing with hanging arms on z = 0.
    points (P,), point_joint (P,), point_offset (P,3): soles and head top in the joint's axes.
    """

    name: str
    fps: float
    joints: tuple[str, ...]
    parents: tuple[int, ...]
    positions: Floats
    rotations: Floats
    rest_positions: Floats
    rest_rotations: Floats
    lengths: Floats
    points: tuple[str, ...] = ()
    point_joint: tuple[int, ...] = ()
    point_offset: Floats | None = None

    @property
    def frame_count(self) -> int:
        """T, the number of frames."""
        return len(self.positions)

    def joint(self, name: str) -> int:
        """Index of a joint; raises ValueError when there is none of that name."""
        if name not in self.joints:
            raise ValueError(
                f"the motion has no joint {name!r}, it has {', '.join(self.joints)}: "
                "use one of these."
            )
        return self.joints.index(name)

    def point_positions(self, name: str) -> Floats:
        """World path (T,3) of a named point, such as `heel.L`, in metres."""
        if name not in self.points:
            raise ValueError(
                f"the motion has no point {name!r}, it has {', '.join(self.points)}: "
                "use one of these."
            )
        at = self.points.index(name)
        joint = self.point_joint[at]
        return self.positions[:, joint] + rotate(self.rotations[:, joint], self.point_offset[at])


def load_all(folder: Path | str) -> dict[str, CapturedMotion]:
    """All motions of NAMES by name, from the folder that holds data/motions and humanoid."""
    return {name: load_motion(folder, name) for name in NAMES}


def load_motion(folder: Path | str, name: str) -> CapturedMotion:
    """Read one motion of NAMES; raises ValueError when it is missing or not as published."""
    skeleton = read_skeleton(folder)
    rows = _read_rows(folder, name)
    hips, turns = _turns(rows)
    positions, rotations = pose(skeleton, hips, turns)
    return CapturedMotion(
        name=name,
        fps=frame_rate(rows[:, 0]),
        joints=skeleton.names,
        parents=skeleton.parents,
        positions=positions,
        rotations=continuous(rotations),
        rest_positions=skeleton.positions,
        rest_rotations=skeleton.rotations,
        lengths=skeleton.lengths,
        points=skeleton.points,
        point_joint=skeleton.point_joint,
        point_offset=skeleton.point_offset,
    )


def frame_rate(durations_s: Floats) -> float:
    """Frames a second from the frames' durations (T,) in seconds.

    The last duration is often 0 and single ones are off, so the median decides; durations are
    rounded decimals, so a rate within 0.05 % of a whole one is that.
    """
    rate = 1.0 / float(np.median(durations_s))
    whole = round(rate)
    return float(whole) if abs(rate - whole) < 5e-4 * rate else round(rate, 2)


def pose(skeleton: Skeleton, hips: Floats, turns: dict[str, Floats]) -> tuple[Floats, Floats]:
    """Forward kinematics: world heads (T,J,3) in metres and world rotations (T,J,4).

    hips (T,3) is the root's path; turns hold (T,4) a joint, relative to its parent and in the
    axes of the figure at rest, by the skeleton's source names.
    """
    count = len(hips)
    positions = np.zeros((count, len(skeleton.names), 3))
    since_rest = np.zeros((count, len(skeleton.names), 4))
    for j, parent in enumerate(skeleton.parents):
        turn = turns.get(skeleton.sources[j], np.array([1.0, 0.0, 0.0, 0.0]))
        if parent < 0:
            positions[:, j], since_rest[:, j] = hips, turn
            continue
        offset = skeleton.positions[j] - skeleton.positions[parent]
        positions[:, j] = positions[:, parent] + rotate(since_rest[:, parent], offset)
        since_rest[:, j] = multiply(since_rest[:, parent], turn)
    return positions, normalise(multiply(since_rest, skeleton.rotations))


def _read_rows(folder: Path | str, name: str) -> Floats:
    """The motion file's rows (T,44)."""
    path = Path(folder) / MOTIONS / f"humanoid3d_{name}.txt"
    if name not in NAMES or not path.is_file():
        raise ValueError(
            f"there is no motion {name!r} at {path}, expected one of {', '.join(NAMES)}: "
            "choose one of these and pass the pybullet_data folder of PyPI pybullet 3.2.7."
        )
    rows = np.array(json.loads(path.read_text(encoding="utf-8"))["Frames"], dtype=np.float64)
    if rows.ndim != 2 or rows.shape[1] != _ROW_LENGTH or len(rows) < 2:
        raise ValueError(
            f"{path} holds frames of shape {rows.shape}, expected rows of {_ROW_LENGTH} numbers: "
            "fetch the file of PyPI pybullet 3.2.7 again."
        )
    return rows


def _turns(rows: Floats) -> tuple[Floats, dict[str, Floats]]:
    """The hips' world path (T,3) and each joint's turn (T,4), in the world's axes."""
    hips = rows[:, 1:4] @ SOURCE_TO_WORLD.T
    turns, at = {}, 4
    for joint in _ORDER:
        if joint.endswith(_HINGES):
            turn, at = about(_HINGE_AXIS, rows[:, at]), at + 1
        else:
            turn, at = normalise(rows[:, at : at + 4]), at + 4
        turns[joint] = _to_world_axes(turn)
    return hips, turns


def _to_world_axes(q: Floats) -> Floats:
    """The same turn, told in the world's axes: its axis moves as the axes do."""
    return np.concatenate((q[..., :1], q[..., 1:] @ SOURCE_TO_WORLD.T), axis=-1)
