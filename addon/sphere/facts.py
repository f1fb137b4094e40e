# SPDX-License-Identifier: GPL-3.0-or-later
"""What a ball carries with it: what it stands for, and from which motion it was made."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

import bpy
import numpy as np

if TYPE_CHECKING:
    from .point import Point

# What it stands on; whether it follows or was baked; and of a baked one its path, its frames, and
# what tells of the keys of its rig.
ON = "plumbline_sphere_on"
KIND = "plumbline_sphere_kind"
PATH = "plumbline_sphere_path"
FRAMES = "plumbline_sphere_frames"
KEYS = "plumbline_sphere_keys"
# On the ball's action: its curves, the span of its keys, and values on whole frames, as baked.
AS_BAKED = "plumbline_sphere_as_baked"
# The name that it was given here: where it has another, that is the user's.
NAME = "plumbline_sphere_name"
OF_BALLS = frozenset((ON, KIND, PATH, FRAMES, KEYS, AS_BAKED, NAME))
OF_BAKES = (PATH, FRAMES, KEYS)

FOLLOW, BAKE = "follow", "bake"
# What a ball on the centre of mass says that it is on.
COM = "com"
NONE: Mapping[str, Any] = MappingProxyType({})


@dataclass(frozen=True)
class BonePoint:
    """A point of a rig's bone, one of those whose weighted mean a ball stands for.

    bone    its name; empty for the object itself
    at      where from head (0) to tail (1)
    share   its weight; those of all points are 1
    """

    bone: str
    at: float
    share: float


def keep_place(sphere: bpy.types.Object, point: "Point") -> None:
    """Keep what a ball stands for."""
    where = point.where
    told = [{"bone": each.bone, "at": each.at, "share": each.share} for each in where.points]
    sphere[ON] = {
        "what": where.what,
        "joint": where.joint,
        "control": where.control,
        "points": {str(n): each for n, each in enumerate(told)},
        "height_m": float(point.height_m),
        "ahead": [float(each) for each in point.ahead],
    }


def place_of(sphere: bpy.types.Object) -> Mapping[str, Any]:
    """What a ball stands for: what, joint, control, ...; empty for one that was never told."""
    told = sphere.get(ON)
    return NONE if told is None else told.to_dict()


def points_of(sphere: bpy.types.Object) -> tuple[BonePoint, ...]:
    """The points whose weighted mean a ball stands for; none where it was never told."""
    told = place_of(sphere).get("points", {})
    return tuple(BonePoint(**told[number]) for number in sorted(told, key=int))


def keep_path(sphere: bpy.types.Object, frames: Any, path: Any, keys: str) -> None:
    """Keep the path (T,3), metres, that a ball was baked from, on frames (T,), and what tells of
    the keys of its rig (`key_text`)."""
    sphere[KIND] = BAKE
    sphere[PATH] = np.asarray(path, dtype=np.float64).ravel().tolist()
    sphere[FRAMES] = [round(float(frames[0])), round(float(frames[-1]))]
    sphere[KEYS] = keys


def frames_of(sphere: bpy.types.Object) -> tuple[int, int] | None:
    """First and last scene frame that a ball was baked over; None for one that was not."""
    told = sphere.get(FRAMES)
    return None if told is None else (int(told[0]), int(told[1]))


def kept_path(sphere: bpy.types.Object) -> Any:
    """(T,3) metres: the path that a ball was baked from, a row a frame; None for others."""
    told = sphere.get(PATH)
    return None if told is None else np.array(told, dtype=np.float64).reshape(-1, 3)


def follows(sphere: bpy.types.Object) -> bool:
    """Whether a ball follows its rig, live."""
    return bool(sphere.get(KIND) == FOLLOW)


def forget_bake(sphere: bpy.types.Object) -> None:
    """Forget what a ball was baked from."""
    for name in OF_BAKES:
        sphere.pop(name, None)
