# SPDX-License-Identifier: GPL-3.0-or-later
"""The small figure on feet that may be wanted further away than its legs reach."""

from dataclasses import replace
from types import MappingProxyType

import numpy as np
from figures import NAMES
from walker import ANKLE, SHIN, THIGH, steer

LENGTH = THIGH + SHIN
FACING = np.array([0.0, -1.0, 0.0])


def wanted(seconds, fps, *, lift=0.0, pulled=0.0, lasts_s=0.5, least=0.895, bob=0.012):
    """Root (T,3) and ankles' goals {side: (T,3)}: it stands and sways; in the middle of the clip
    the left foot is pulled `pulled` metres further from the hip than the leg is long, slowly there
    and back within `lasts_s`, or the hips are lifted by `lift` metres for that time."""
    time = np.arange(round(seconds * fps) + 1) / fps
    zero = 0.0 * time
    hump = np.where(
        np.abs(time - 0.5 * seconds) < 0.5 * lasts_s,
        np.cos(np.pi * (time - 0.5 * seconds) / lasts_s) ** 2,
        0.0,
    )
    high = ANKLE + least * LENGTH
    bobs = bob * np.sin(2 * np.pi * 0.9 * time)
    root = np.stack((zero, 0.03 * np.sin(2 * np.pi * 0.7 * time), high + bobs + lift * hump), -1)
    goals = {
        side: np.stack((zero + x, zero, zero + ANKLE), axis=-1)
        for side, x in (("L", 0.1), ("R", -0.1))
    }
    if pulled:
        way = goals["L"] - root
        way[:, 0] = 0.0
        reach = np.linalg.norm(way, axis=-1, keepdims=True)
        further = (LENGTH + pulled) / reach[len(time) // 2] - 1.0
        goals["L"] = goals["L"] + way * further * hump[:, None]
    return root, goals


def clamped(root, goals, fps, **meta):
    """The figure with its ankles at their goals, or as near to them as the legs reach."""
    ankles = {}
    for side, goal in goals.items():
        way = goal - root
        reach = np.hypot(way[:, 1], way[:, 2])
        share = np.minimum(1.0, (LENGTH - 1e-6) / reach)
        ankles[side] = goal.copy()
        ankles[side][:, 1:] = root[:, 1:] + way[:, 1:] * share[:, None]
    return steer(root, ankles, fps, **meta)


def with_target(clip, part, goal):
    """The clip with an IK target of a hand or foot: a control that is at `goal` (T,3)."""
    name = f"ik.{part}"
    matrices = np.tile(np.eye(4), (len(clip.frames), 1, 1, 1))
    matrices[:, 0, :3, 3] = goal
    if clip.control_matrices is not None:
        matrices = np.concatenate((clip.control_matrices, matrices), axis=1)
    told = replace(
        clip.meta,
        controls=(*clip.meta.controls, name),
        targets=MappingProxyType({**clip.meta.targets, part: name}),
    )
    return replace(clip, control_matrices=matrices, meta=told)


def stretched(clip, side, share):
    """The clip with one leg's bones longer by shares (T,), its hip where it is."""
    places = np.array(clip.positions)
    thigh, shin, foot = (NAMES.index(f"{part}.{side}") for part in ("thigh", "shin", "foot"))
    grow = 1.0 + np.asarray(share)[:, None]
    upper = (places[:, shin] - places[:, thigh]) * grow
    lower = (places[:, foot] - places[:, shin]) * grow
    places[:, shin] = places[:, thigh] + upper
    places[:, foot] = places[:, shin] + lower
    return replace(clip, positions=places)


def beyond_samples(root, goals, side="L"):
    """Samples on which a goal lies beyond the leg."""
    way = goals[side] - root
    return np.flatnonzero(np.hypot(way[:, 1], way[:, 2]) > LENGTH)
