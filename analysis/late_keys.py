# SPDX-License-Identifier: GPL-3.0-or-later
"""Keys that stand a frame beside a pose: late or early by that frame.

In a shot whose controls share their key frames, a key that stands alone beside a shared frame on
which its own channels have none belongs there.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .causes.effect import Followers
from .causes.groups import CORNERS, SAME_FRAME, Group, groups_of
from .causes.pose_keys import LONELY, POSE, PoseKeys
from .causes.repairs import retime
from .parts import split_part

Floats = NDArray[np.float64]

# A group with fewer keys, or with more of them beside the shot's poses, says nothing.
LEAST_KEYS, BESIDE = 6, 0.1
# Of the height: how far moving the key must move what follows (1.5 cm at 1.7 m).
SEEN_SHARE = 0.009
# Straight and even by design, only bent by the rig, or showing all largest.
_UNTOLD = ("mover", "camera", "prop", "thigh", "shin")


@dataclass(frozen=True, eq=False)
class LateKey:
    """A key that belongs on another frame.

    group, frame, to_frame   scene frames; others: how many controls are keyed on the latter
    first, last              samples of the neighbouring keys; sample: where it shows most
    body, mark               what shows it; offset (3,) metres from there to where it would be
    """

    group: Group
    frame: float
    to_frame: float
    others: int
    first: int
    last: int
    sample: int
    body: int
    mark: int
    offset: Floats

    @property
    def amount(self) -> float:
        """How far the point is off, metres."""
        return float(np.linalg.norm(self.offset))


def late_keys(basis: Basis, factor: float) -> list[LateKey]:
    """All of them, in time's order; factor widens how far they must be off."""
    clip = basis.clip
    if clip.channel_values is None or clip.control_matrices is None:
        return []
    groups = [each for each in groups_of(clip) if each.is_transform and each.name != "scale"]
    poses = PoseKeys(groups)
    found = []
    for group in groups:
        for frame, to_frame, others in _beside(poses, group):
            if basis.frames[0] < min(frame, to_frame) and max(frame, to_frame) < basis.frames[-1]:
                key = _seen(basis, group, frame, to_frame, others)
                if key and key.amount >= factor * SEEN_SHARE * basis.height.scene_m:
                    found.append(key)
    return sorted(found, key=lambda each: each.sample)


def _beside(poses: PoseKeys, group: Group) -> list[tuple[float, float, int]]:
    """Lone keys of a group that stand a frame beside a pose: their frame, the pose's, and how many
    other controls are keyed there."""
    if len(group.frames) < LEAST_KEYS or poses.controls < 3:
        return []
    apart = [frame for frame in group.frames if poses.share_on(group.control, frame) < POSE]
    if len(apart) > max(1.0, BESIDE * len(group.frames)):
        return []
    found = []
    for frame in apart:
        there = [
            frame + shift
            for shift in (-1.0, 1.0)
            if poses.share_on(group.control, frame + shift) >= POSE
            and not any(abs(each - frame - shift) <= SAME_FRAME for each in group.frames)
        ]
        if len(there) == 1 and poses.share_on(group.control, frame) <= LONELY:
            others = len(poses.others_on(group.control, there[0]))
            found.append((frame, there[0], others))
    inside = [each for each in found if group.frames[0] < each[0] < group.frames[-1]]
    # What a linear or stepped key makes of the path is told by that.
    return [each for each in inside if not CORNERS & group.kinds_at(each[0])]


def _seen(basis: Basis, group: Group, frame: float, to_frame: float, others: int) -> LateKey | None:
    mended = retime(group, frame, to_frame)
    followers = Followers.of(basis, group)
    bodies = [
        n
        for n, body in enumerate(basis.bodies)
        if body.judged
        and followers.shares[n] > 0.0
        and split_part(body.part or "")[0] not in _UNTOLD
    ]
    if mended is None or not bodies:
        return None
    change = group.change(mended.mended, basis.frames)
    samples = np.flatnonzero(np.abs(change).max(axis=-1) > 0.0)
    if len(samples) == 0:
        return None
    off = followers.moved(group, samples, change[samples])[:, bodies]
    off = off - basis.marks[samples][:, bodies, :2]
    sizes = np.linalg.norm(off, axis=-1) * basis.valid[samples][:, bodies, None]
    at, body, mark = (int(k) for k in np.unravel_index(int(sizes.argmax()), sizes.shape))
    keys = np.asarray(group.frames)
    n = int(np.argmin(np.abs(keys - frame)))
    first, last = (int(np.argmin(np.abs(basis.frames - keys[n + side]))) for side in (-1, 1))
    return LateKey(
        group=group,
        frame=frame,
        to_frame=to_frame,
        others=others,
        first=first,
        last=last,
        sample=int(samples[at]),
        body=bodies[body],
        mark=mark,
        offset=off[at, body, mark],
    )
