# SPDX-License-Identifier: GPL-3.0-or-later
"""Key a captured motion on the Rigify human as an animator would: poses, then breakdowns."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import bpy
import numpy as np

from ..captured.fcurves import BREAKDOWN, EXTREME, bone_path, set_scene_rate, write_channel
from ..captured.motions import CapturedMotion
from ..captured.resample import resample
from ..captured.rotations import Floats
from .contacts import runs
from .controls import (
    ARM_CONTROLS,
    BODY_CONTROLS,
    FOOT_CONTROLS,
    HEAD_CONTROLS,
    SIDES,
    Track,
    sided,
)
from .matching import FIRST_FRAME, Match, match
from .poses import pose_frames
from .retarget import scale_of
from .sampling import sample_heads

# What is compared with the capture: part -> deform bone whose head it is.
POINTS = MappingProxyType(
    {
        "pelvis": "DEF-spine",
        "head": "DEF-spine.006",
        "hand.L": "DEF-hand.L",
        "hand.R": "DEF-hand.R",
        "foot.L": "DEF-foot.L",
        "foot.R": "DEF-foot.R",
        "toe.L": "DEF-toe.L",
        "toe.R": "DEF-toe.R",
    }
)
_BODY_POINTS = ("pelvis", "head", "foot.L", "foot.R", "toe.L", "toe.R")
_ARM_POINTS = ("hand.L", "hand.R")
MOST_ROUNDS = 16
ONES_FROM = 2.0  # tolerances by which a move must be missed to be keyed on ones


@dataclass(frozen=True, eq=False)
class KeyedShot:
    """A captured motion keyed on a rig, and how close the splines come to it.

    frames (first, last) of the scene; scale: rig's leg over captured leg.
    keys: control -> its key frames; breakdowns: those of them that are breakdowns.
    worst_cm, median_cm: part of POINTS -> distance from the rig matched on every frame.
    plants: side -> (first, last) frames on which the foot stands flat and still.
    contacts: side -> (first, last) frames on which heel or toe bears.
    """

    name: str
    fps: float
    arms: str
    scale: float
    frames: tuple[int, int]
    keys: Mapping[str, tuple[int, ...]]
    breakdowns: Mapping[str, tuple[int, ...]]
    worst_cm: Mapping[str, float]
    median_cm: Mapping[str, float]
    plants: Mapping[str, tuple[tuple[int, int], ...]]
    contacts: Mapping[str, tuple[tuple[int, int], ...]]


@dataclass
class _Group:
    """Controls that share their key frames, and the points that these have to bring home."""

    controls: tuple[str, ...]
    points: tuple[str, ...]
    poses: list[int]
    breakdowns: list[int] = field(default_factory=list)

    @property
    def keys(self) -> list[int]:
        return sorted({*self.poses, *self.breakdowns})


def key_motion(
    rig: bpy.types.Object,
    motion: CapturedMotion,
    *,
    tolerance_m: float = 0.02,
    arms: str = "ik",
    offset_frames: int = 0,
    fps: float | None = None,
) -> KeyedShot:
    """Key a captured motion on the rig's main controls, from frame 1 of the current scene.

    The same pose frames go on all controls, as extremes; breakdowns are added where the
    splines miss the matched motion by more than tolerance_m at pelvis, head, wrists, ankles
    or toes: two frames or more apart, and on ones only where they miss by twice as much.
    arms "ik" keys hands and elbow poles, "fk" upper arms, forearms and hands. offset_frames
    other than 0 moves the poses of arms, neck and head by so many frames, and gives them
    breakdowns of their own. fps resamples the motion first. The scene takes on its rate and
    range; earlier keys on the rig are lost.
    """
    _check(tolerance_m, arms)
    motion = motion if fps is None else resample(motion, fps)
    matched = match(rig, motion, arms)
    wanted = _points(rig, motion.frame_count)
    poses = pose_frames(motion, {side: foot.contact for side, foot in matched.feet.items()})
    groups = _groups(poses, arms, offset_frames, motion.frame_count - 1)
    for _ in range(MOST_ROUNDS):
        _write(rig, matched.tracks, groups)
        missed = np.linalg.norm(_points(rig, motion.frame_count) - wanted, axis=-1)
        if not _add_breakdowns(groups, missed, tolerance_m):
            break
    last = FIRST_FRAME + motion.frame_count - 1
    set_scene_rate(bpy.context.scene, motion.fps, FIRST_FRAME, last)
    return _report(motion, matched, groups, missed, arms)


def _check(tolerance_m: float, arms: str) -> None:
    if not tolerance_m > 0.0:
        raise ValueError(
            f"tolerance_m is {tolerance_m:g}, expected a number above 0: pass metres, such as 0.02."
        )
    if arms not in ARM_CONTROLS:
        raise ValueError(
            f"arms is {arms!r}, expected one of {', '.join(ARM_CONTROLS)}: choose how to key arms."
        )


def _points(rig: bpy.types.Object, count: int) -> Floats:
    """(T,P,3) where the points of POINTS are, metres."""
    frames = np.arange(FIRST_FRAME, FIRST_FRAME + count)
    return sample_heads(rig, frames, list(POINTS.values()))


def _groups(poses: list[int], arms: str, offset: int, last: int) -> list[_Group]:
    body = BODY_CONTROLS + sided(FOOT_CONTROLS)
    upper = HEAD_CONTROLS + sided(ARM_CONTROLS[arms])
    if offset == 0:
        return [_Group(body + upper, tuple(POINTS), poses)]
    moved = {min(max(pose + offset, 0), last) for pose in poses} | {0, last}
    return [
        _Group(body, _BODY_POINTS, poses),
        _Group(upper, _ARM_POINTS, sorted(moved)),
    ]


def _write(rig: bpy.types.Object, tracks: dict[str, Track], groups: list[_Group]) -> None:
    """Key every control of every group on its frames."""
    for group in groups:
        at = np.array(group.keys)
        types = [EXTREME if frame in group.poses else BREAKDOWN for frame in group.keys]
        for control in group.controls:
            for prop, values in tracks[control].channels():
                path = bone_path(control, prop)
                write_channel(rig, path, at + FIRST_FRAME, values[at], key_types=types)


def _add_breakdowns(groups: list[_Group], missed: Floats, tolerance_m: float) -> bool:
    """One breakdown in every gap between keys that misses by too much; False when none does."""
    added = False
    for group in groups:
        columns = [list(POINTS).index(point) for point in group.points]
        worst = missed[:, columns].max(axis=1)
        new = [
            _worst_inside(worst, a, b, tolerance_m)
            for a, b in zip(group.keys, group.keys[1:], strict=False)
        ]
        found = [frame for frame in new if frame is not None]
        group.breakdowns += found
        added = added or bool(found)
    return added


def _worst_inside(worst: Floats, a: int, b: int, tolerance_m: float) -> int | None:
    """The frame between keys a and b where a breakdown helps most; None when all is in reach.

    Two frames away from both keys where there is room; a fast move that is still missed by
    far is keyed on ones.
    """
    if b - a < 2 or worst[a + 1 : b].max() <= tolerance_m:
        return None
    inside = np.arange(a + 2, b - 1)
    if not len(inside):
        inside = np.arange(a + 1, b)
        if worst[inside].max() <= ONES_FROM * tolerance_m:
            return None
    return int(inside[np.argmax(worst[inside])])


def _report(
    motion: CapturedMotion, matched: Match, groups: list[_Group], missed: Floats, arms: str
) -> KeyedShot:
    def frames(indices: list[int]) -> tuple[int, ...]:
        return tuple(FIRST_FRAME + index for index in sorted(indices))

    def by_control(pick: str) -> Mapping[str, tuple[int, ...]]:
        return MappingProxyType(
            {
                control: frames(getattr(group, pick))
                for group in groups
                for control in group.controls
            }
        )

    def stretches(pick: str) -> Mapping[str, tuple[tuple[int, int], ...]]:
        return MappingProxyType(
            {
                side: tuple(
                    (FIRST_FRAME + a, FIRST_FRAME + b)
                    for a, b in runs(getattr(matched.feet[side].contact, pick))
                )
                for side in SIDES
            }
        )

    cm = 100.0 * missed
    return KeyedShot(
        name=motion.name,
        fps=motion.fps,
        arms=arms,
        scale=scale_of(matched.figure, motion),
        frames=(FIRST_FRAME, FIRST_FRAME + motion.frame_count - 1),
        keys=by_control("keys"),
        breakdowns=by_control("breakdowns"),
        worst_cm=MappingProxyType(dict(zip(POINTS, cm.max(axis=0).tolist(), strict=True))),
        median_cm=MappingProxyType(dict(zip(POINTS, np.median(cm, axis=0).tolist(), strict=True))),
        plants=stretches("flat"),
        contacts=stretches("down"),
    )
