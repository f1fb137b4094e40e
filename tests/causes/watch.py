# SPDX-License-Identifier: GPL-3.0-or-later
"""How far the joints and tips that a clip follows are from where the clean motion has them."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

import bpy
import numpy as np

from analysis import Clip
from analysis import quaternions as quat

from .inside import addon

# Joints that are off, or turned, by at least this share of the largest way show the fault too.
SHOWN = 0.5
LEAST_TURN = np.radians(1.0)
APART_M = 1e-3  # frames on which nothing is further off than this count as unchanged


def ends(clip: Clip) -> np.ndarray:
    """(T,2J,3) heads, then tails of the clip's joints, metres."""
    along = np.zeros((*clip.rotations.shape[:2], 3))
    along[..., 1] = clip.lengths
    tails = clip.positions + quat.rotate(clip.rotations, along)
    return np.concatenate((clip.positions, tails), axis=1)


def apart(clip: Clip, clean: Clip) -> np.ndarray:
    """(T,J) how far each joint or its tip is off, whichever is more, metres."""
    off = np.linalg.norm(ends(clip) - ends(clean), axis=-1)
    return off.reshape(len(off), 2, -1).max(axis=1)


def turned(clip: Clip, clean: Clip) -> np.ndarray:
    """(T,J) how far each joint is turned against the clean motion, radians."""
    dots = np.abs((clip.rotations * clean.rotations).sum(axis=-1))
    return 2.0 * np.arccos(np.minimum(dots, 1.0))


def where_it_shows(
    clip: Clip, clean: Clip, own: Sequence[int]
) -> tuple[float, tuple[int, ...], str, tuple[str, ...]]:
    """Size, frames, part and shown parts; own: indices of the joints that are the figure's."""
    off = apart(clip, clean)[:, own]
    worst, turns = off.max(axis=0), turned(clip, clean)[:, own].max(axis=0)
    shown = (worst >= SHOWN * worst.max()) | (turns >= max(SHOWN * turns.max(), LEAST_TURN))
    part_of = {bone: part for part, bones in clean.meta.roles.items() for bone in bones}
    parts = [part_of.get(clean.joints[j], clean.joints[j]) for j in own]
    order = [j for j in np.argsort(-worst) if shown[j]]
    differing = clean.frames[off.max(axis=1) > APART_M]
    whole = tuple(round(float(frame)) for frame in differing)
    largest = float(worst.max())
    return largest, whole, parts[order[0]], tuple(dict.fromkeys(parts[j] for j in order))


class Watch:
    """Poses a rig in a scene of its own and measures it against a clean clip."""

    def __init__(self, rig: bpy.types.Object, clean: Clip, stage: object) -> None:
        self.evaluated = 0
        self._rig, self._stage = rig, stage
        self._first = round(float(clean.frames[0]))
        bones = rig.pose.bones
        joints = [(j, bones.find(name)) for j, name in enumerate(clean.joints)]
        self._joints = [j for j, at in joints if at >= 0]
        self._bones = [at for _j, at in joints if at >= 0]
        both = [*self._joints, *(len(clean.joints) + j for j in self._joints)]
        self._clean = ends(clean)[:, both]
        self._lengths = clean.lengths[self._joints]
        self._buffer = np.zeros(len(bones) * 16, np.float32)

    def off(self, frames: Sequence[int]) -> np.ndarray:
        """(F,) how far the worst joint or tip is off the clean clip on each frame, metres."""
        clean = self._clean[np.array(frames, dtype=int) - self._first]
        return np.linalg.norm(self.ends(frames) - clean, axis=-1).max(axis=1)

    def ends(self, frames: Sequence[int]) -> np.ndarray:
        """(F,2B,3) heads, then tails of the clip's joints as the rig stands now, metres."""
        found = []
        for frame in frames:
            matrices = self.pose(frame)[self._bones]
            along = matrices[
                :, :3, 1
            ]  # a stretched bone's is longer: a clip's joints do not stretch
            along = along / np.linalg.norm(along, axis=1, keepdims=True)
            tails = matrices[:, :3, 3] + along * self._lengths[:, None]
            found.append(np.concatenate((matrices[:, :3, 3], tails)))
        return np.array(found)

    def pose(self, frame: float) -> np.ndarray:
        """(B,4,4) world matrices of all bones on a frame."""
        self.evaluated += 1
        rig = self._rig.evaluated_get(self._stage.go(round(frame)))
        rig.pose.bones.foreach_get("matrix", self._buffer)
        return np.array(rig.matrix_world) @ self._buffer.reshape(-1, 4, 4).transpose(0, 2, 1)

    def matrix(self, bone: str, frame: float) -> np.ndarray:
        """(4,4) one bone's world matrix."""
        return self.pose(frame)[self._rig.pose.bones.find(bone)]


@contextmanager
def watching(scene: bpy.types.Scene, rig: bpy.types.Object, clean: Clip) -> Iterator[Watch]:
    """A watch on a rig, in a temporary scene that is gone when the block ends."""
    with addon("sampling.stages").temporary_stage(scene, [rig]) as stage:
        yield Watch(rig, clean, stage)
