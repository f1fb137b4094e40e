# SPDX-License-Identifier: GPL-3.0-or-later
"""Stray keys: one key of one control moved off its arc, all others as they are."""

from dataclasses import dataclass

import numpy as np

from analysis import Clip
from analysis import quaternions as quat

from ..case import Case
from ..key_data import curves_of, splines_of, tracks_in
from ..moves import about, height_of
from ..planted import Kind, Planted
from ..posing import clip_of
from ..puppet import SIDES, Floats, Puppet, Tracks
from ..splines import Spline
from . import STORY_M

# Part -> channels of which a key is moved, and the joint and end (0: its head, 1: its tip) that
# show it. An elbow that only bends moves its hand along one arc, whatever its keys.
_SHOWN = {
    "root": {"hips.place": ("hips", 0)},
    "head": {"neck.turn": ("head", 1), "chest.turn": ("head", 1), "hips.turn": ("head", 1)},
    "hand": {"upper_arm.{}.turn": ("hand.{}", 0), "hand.{}.turn": ("hand.{}", 1)},
}
# Keys that a control has at least, as the check asks for five.
_KEYS = 6
# Share of the size by which what is measured afterwards may differ from what was asked for.
_EXACT = 0.1
# A way between the neighbours shorter than this (metres) is none to be square to.
_WAY_M = 0.01


@dataclass(frozen=True, eq=False)
class _Stray:
    """What is moved: a channel's key, the point that shows it (T,3), the joint that turns."""

    channel: str
    key: int
    path: Floats
    joint: int


def plant_stray(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """A key that puts a point `size` cm at 1.7 m off, square to the way between its neighbours."""
    clip = case.clip
    if not clip.meta.curves:
        return None
    puppet, splines, tracks = puppet_in(clip), splines_of(clip), tracks_in(clip)
    stray = _draw(clip, splines, part, rng)
    if stray is None:
        return None
    metres = size / 100.0 * height_of(clip) / STORY_M
    curve = splines[stray.channel]
    values = curve.values.copy()
    values[stray.key] = _moved(clip, puppet, curve, stray, metres, rng)
    moved = curve.with_values(values)
    try:
        faulty = _posed(clip, puppet, splines | {stray.channel: moved}, tracks)
    except ValueError:  # a leg does not reach its foot
        return None
    at = int(curve.frames[stray.key])
    joint, end = _named(part, stray.channel)
    off = float(np.linalg.norm(_end(faulty, joint, end)[at] - stray.path[at]))
    if abs(off - metres) > _EXACT * metres:
        return None
    frame = float(clip.frames[0] + at)
    return Planted(
        clip=faulty,
        check="off_arc",
        part=_part_of(joint),
        carriers=_carriers(part, joint),
        frames=(frame, frame),
        size=off * 100.0 * STORY_M / height_of(clip),
        where=f"{stray.channel}, keys {np.diff(curve.frames)[stray.key - 1 : stray.key + 1]} apart",
        whole=True,
    )


def puppet_in(clip: Clip) -> Puppet:
    """The figure that a clip of it shows."""
    return Puppet(
        joints=clip.joints,
        parents=tuple(clip.parents.tolist()),
        rest_positions=clip.rest_positions,
        rest_rotations=clip.rest_rotations,
        lengths=clip.lengths,
        points=clip.points,
        point_joint=tuple(clip.point_joint.tolist()),
        point_offset=clip.point_offset,
    )


def _draw(
    clip: Clip, splines: dict[str, Spline], part: str, rng: np.random.Generator
) -> _Stray | None:
    side = str(rng.choice(SIDES))
    names = [name.format(side) for name in _SHOWN[part]]
    channel = str(rng.choice(names))
    curve = splines.get(channel)
    if curve is None or len(curve.frames) < _KEYS:
        return None
    joint, end = _named(part, channel)
    control = channel.rpartition(".")[0]
    key = int(rng.integers(1, len(curve.frames) - 1))
    return _Stray(channel, key, _end(clip, joint, end), clip.joint(control))


def _named(part: str, channel: str) -> tuple[str, int]:
    for name, (joint, end) in _SHOWN[part].items():
        for side in SIDES:
            if name.format(side) == channel:
                return joint.format(side), end
    raise ValueError(f"no key of {channel!r} is moved for {part!r}.")


def _end(clip: Clip, joint: str, end: int) -> Floats:
    at = clip.joint(joint)
    reach = np.array([0.0, end * clip.lengths[at], 0.0])
    return clip.positions[:, at] + quat.rotate(clip.rotations[:, at], reach)


def _moved(
    clip: Clip,
    puppet: Puppet,
    curve: Spline,
    stray: _Stray,
    metres: float,
    rng: np.random.Generator,
) -> Floats:
    """The key's values, by which its point is so far aside."""
    before, at, after = curve.frames[stray.key - 1 : stray.key + 2].astype(int)
    way = stray.path[after] - stray.path[before]
    aside = rng.normal(size=3)
    if np.linalg.norm(way) > _WAY_M:
        aside -= way * (aside @ way) / (way @ way)
    value = curve.values[stray.key]
    if stray.channel.endswith("place"):
        return value + metres * aside / np.linalg.norm(aside)
    arm = stray.path[at] - clip.positions[at, stray.joint]
    axis = way - arm * (way @ arm) / (arm @ arm)
    if np.linalg.norm(axis) < _WAY_M:
        axis = np.cross(arm, aside)
    axis *= rng.choice([-1.0, 1.0]) / np.linalg.norm(axis)
    half = min(0.5 * metres / float(np.linalg.norm(arm)), 1.0)
    turn = about(axis, np.array([2.0 * np.arcsin(half)]))[0]
    rest = puppet.rest_rotations[stray.joint]
    now = quat.multiply(clip.rotations[at, stray.joint], quat.conjugate(rest))
    above = quat.multiply(now, quat.conjugate(quat.normalise(value)))
    new = quat.multiply(quat.conjugate(above), quat.multiply(turn, now))
    return new if new @ value >= 0.0 else -new


def _posed(clip: Clip, puppet: Puppet, splines: dict[str, Spline], tracks: Tracks) -> Clip:
    at = np.arange(len(clip.frames))
    new = {name: splines[name].at(at) if name in splines else tracks[name] for name in tracks}
    curves = curves_of(puppet, splines, first=int(clip.frames[0]))
    meta = clip.meta
    return clip_of(puppet, new, clip.fps, name=meta.name, cycle=meta.cycle, curves=curves)


def _part_of(joint: str) -> str:
    return "root" if joint == "hips" else joint


def _carriers(part: str, joint: str) -> tuple[str | None, ...]:
    """Turned hips or a turned chest show at the hands as well."""
    if part == "head":
        return ("head", *(f"hand.{side}" for side in SIDES))
    return ("root", "pelvis") if part == "root" else (joint,)


_SIZES = (2.0, 3.0, 4.0, 6.0, 8.0)
KINDS = (
    Kind(
        name="off_arc",
        check="off_arc",
        says="one key of one control moved, square to the way between its neighbours",
        unit="cm",
        sizes=dict.fromkeys(_SHOWN, _SIZES),
        promised={"root": (3.0, 3.0), "head": (3.0, 3.0), "hand": (3.0, 3.0)},
        sets=("holds", "arrivals", "keyed_24", "keyed_30", "keyed_hops_24"),
        plant=plant_stray,
        unpromised=("keyed_24", "keyed_30", "keyed_hops_24"),
    ),
)
