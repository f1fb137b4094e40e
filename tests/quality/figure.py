# SPDX-License-Identifier: GPL-3.0-or-later
"""A clip as local channels, and back: edits of one joint that carry all that hangs on it."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis import Clip
from analysis import quaternions as quat

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Channels:
    """A clip's joints against their parents; a joint without a parent against the world.

    places (T,J,3)   the joint's head in its parent's axes, metres
    turns (T,J,4)    its orientation in its parent's axes, signs continuous in time
    """

    places: Floats
    turns: Floats


def channels_of(clip: Clip) -> Channels:
    """The local channels that `posed` makes the clip from again."""
    places, turns = clip.positions.copy(), clip.rotations.copy()
    for joint, parent in enumerate(clip.parents):
        if parent >= 0:
            back = quat.conjugate(clip.rotations[:, parent])
            away = clip.positions[:, joint] - clip.positions[:, parent]
            places[:, joint] = quat.rotate(back, away)
            turns[:, joint] = quat.multiply(back, clip.rotations[:, joint])
    return Channels(places, quat.continuous(turns))


def posed(clip: Clip, channels: Channels) -> Clip:
    """The clip with its joints where these channels put them; all else is kept."""
    places, turns = channels.places.copy(), channels.turns.copy()
    for joint in parents_first(clip):
        parent = clip.parents[joint]
        if parent >= 0:
            above = turns[:, parent]
            places[:, joint] = places[:, parent] + quat.rotate(above, places[:, joint])
            turns[:, joint] = quat.multiply(above, turns[:, joint])
    return replace(clip, positions=places, rotations=quat.continuous(quat.normalise(turns)))


def rebuild(
    clip: Clip, joint: int, *, shift: Floats | None = None, turn: Floats | None = None
) -> Clip:
    """The clip with one joint moved, and all that hangs on it moved rigidly with it.

    shift (T,3) is added to the joint's head, metres in the world; turn (T,4) turns it about
    that head, in the world's axes. Frames with a zero shift and an identity turn keep their
    values to the bit.
    """
    count = len(clip.frames)
    shift = np.zeros((count, 3)) if shift is None else np.asarray(shift, dtype=np.float64)
    turn = np.tile([1.0, 0.0, 0.0, 0.0], (count, 1)) if turn is None else np.asarray(turn)
    still = (turn == [1.0, 0.0, 0.0, 0.0]).all(axis=1) & (shift == 0.0).all(axis=1)
    moved = subtree(clip, joint)
    at = np.ix_(np.flatnonzero(~still), moved)
    head, turn, shift = clip.positions[~still, joint][:, None], turn[~still], shift[~still]
    places, turns = clip.positions.copy(), clip.rotations.copy()
    places[at] = head + shift[:, None] + quat.rotate(turn[:, None], places[at] - head)
    turns[at] = quat.multiply(np.broadcast_to(turn[:, None], turns[at].shape), turns[at])
    return replace(clip, positions=places, rotations=quat.continuous(turns))


def add_joint(
    clip: Clip,
    name: str,
    *,
    parent: str | None,
    place: Floats,
    turn: Floats,
    length: float = 0.0,
    points: dict[str, tuple[float, float, float]] | None = None,
) -> Clip:
    """The clip with one more joint on a path: place (T,3) metres, turn (T,4), in the world.

    points are told in the joint's axes. The joint rests as it stands on the first frame.
    """
    joint, points = len(clip.joints), points or {}
    old = clip.point_offset if clip.point_offset is not None else np.zeros((0, 3))
    kept = clip.point_joint if clip.point_joint is not None else np.zeros(0, dtype=np.int64)
    return replace(
        clip,
        joints=(*clip.joints, name),
        parents=np.append(clip.parents, -1 if parent is None else clip.joint(parent)),
        positions=np.concatenate((clip.positions, place[:, None]), axis=1),
        rotations=np.concatenate((clip.rotations, quat.continuous(turn)[:, None]), axis=1),
        rest_positions=np.concatenate((clip.rest_positions, place[:1])),
        rest_rotations=np.concatenate((clip.rest_rotations, turn[:1])),
        lengths=np.append(clip.lengths, length),
        points=(*clip.points, *points),
        point_joint=np.concatenate((kept, np.full(len(points), joint))),
        point_offset=np.concatenate((old, np.array(list(points.values())).reshape(-1, 3))),
    )


def subtree(clip: Clip, joint: int) -> list[int]:
    """The joint and every joint that hangs on it."""
    found = {joint}
    for each in parents_first(clip):
        if clip.parents[each] in found:
            found.add(each)
    return sorted(found)


def parents_first(clip: Clip) -> list[int]:
    """All joints, each after its parent."""

    def depth(joint: int) -> int:
        steps = 0
        while clip.parents[joint] >= 0:
            joint, steps = int(clip.parents[joint]), steps + 1
        return steps

    return sorted(range(len(clip.joints)), key=depth)
