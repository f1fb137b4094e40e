# SPDX-License-Identifier: GPL-3.0-or-later
"""A figure that walks on steered feet, or hops: contacts and flights that are known exactly."""

from dataclasses import dataclass

import numpy as np
from figures import NAMES, pose, to_clip

from analysis import Clip
from analysis import quaternions as quat

THIGH, SHIN, ANKLE = 0.45, 0.42, 0.08
# A foot stands for this share of a stride, as feet do in walking (about 60 %: Perry &
# Burnfield 2010, Gait Analysis, 2nd ed., from memory).
STANCE = 0.6


@dataclass(frozen=True)
class Walk:
    """Seconds and metres; at 24 fps a stride is 21.6 frames, so that no two plants are alike."""

    frames: int = 72
    fps: float = 24.0
    stride_s: float = 0.9
    speed: float = 1.2
    in_place: bool = False

    @property
    def time(self):
        return np.arange(self.frames) / self.fps

    def phase(self, side):
        """(T,) place in the stride, 0 where that foot lands; strides are counted on."""
        return self.time / self.stride_s + (0.0 if side == "L" else 0.5)

    def plants(self, side):
        """First and last sample of each whole plant of a foot."""
        phase = self.phase(side)
        stands = phase % 1.0 <= STANCE + 1e-9
        edges = np.flatnonzero(np.diff(stands.astype(int)))
        starts = [e + 1 for e in edges if not stands[e]]
        return [(s, min(e for e in edges if e > s)) for s in starts if any(e > s for e in edges)]


def walk(plan=Walk(), *, slips=(), **meta):
    """A clip of a walk along -Y on a floor at z = 0.

    slips   (side, first, last, (x, y)) metres that a foot drifts evenly between two samples of
            a plant; the next step lands where it should
    """
    ways = {side: _foot_way(plan, side, slips) for side in ("L", "R")}
    zero = np.zeros(plan.frames)
    travel = -plan.speed * plan.time
    bob = 0.015 * np.cos(4 * np.pi * plan.phase("L") - 2.4)
    root = np.stack((0.02 * np.sin(2 * np.pi * plan.phase("L")), travel, 0.80 + bob), axis=-1)
    clip = steer(root, ways, plan.fps, **meta)
    if not plan.in_place:
        return clip
    place = clip.positions - np.stack((zero, travel, zero), axis=-1)[:, None]
    return Clip(**{**vars(clip), "positions": place})


def _foot_way(plan, side, slips):
    """(T,3) the ankle: still while it stands, a smooth step in between."""
    phase = plan.phase(side)
    count, part = np.floor(phase), phase % 1.0
    u = np.clip((part - STANCE) / (1.0 - STANCE), 0.0, 1.0)
    eased = u**3 * (10.0 - 15.0 * u + 6.0 * u**2)
    length = plan.speed * plan.stride_s
    # It lands ahead of the body by half of what it will stand behind it.
    lands = count - phase[0] + 0.5 * STANCE
    across = 0.1 if side == "L" else -0.1
    way = np.stack(
        (0 * u + across, -length * (lands + eased), ANKLE + 0.12 * np.sin(np.pi * u) ** 2), axis=-1
    )
    for which, first, last, (x, y) in slips:
        if which == side:
            at = np.arange(plan.frames)
            share = np.clip((at - first) / (last - first), 0.0, 1.0)
            holds = (at >= first) & (count == count[last])
            way += np.outer(np.where(holds, share * (1.0 - eased), 0.0), [x, y, 0.0])
    return way


def steer(root, ankles, fps, *, scale=1.0, **meta):
    """The figure with its root (T,3) and its ankles {side: (T,3)} where they are told to be.

    Soles stay level. Hips are moved sideways with the ankles, so that legs swing in planes.
    """
    swing, across = {}, {}
    for side, x in (("L", 0.1), ("R", -0.1)):
        way = ankles[side] - root
        across[side] = way[:, 0] - x
        reach = np.hypot(way[:, 1], way[:, 2])
        lean = np.arctan2(way[:, 1], -way[:, 2])
        inner = (THIGH**2 + reach**2 - SHIN**2) / (2 * THIGH * reach)
        outer = (SHIN**2 + reach**2 - THIGH**2) / (2 * SHIN * reach)
        if max(inner.max(), outer.max()) > 1.0:
            raise ValueError("the leg does not reach")
        thigh, shin = lean - np.arccos(inner), lean + np.arccos(outer)
        swing |= {f"thigh.{side}": thigh, f"shin.{side}": shin - thigh, f"foot.{side}": -shin}
    turn, place = pose(swing, root, len(root))
    place = np.array(place)
    for side, shift in across.items():
        for part in ("thigh", "shin", "foot"):
            place[:, NAMES.index(f"{part}.{side}"), 0] += shift
    return to_clip(turn, place * scale, fps, scale, meta)


def hop(
    *,
    fps=24.0,
    air_s=0.5,
    gravity=9.80665,
    shape=None,
    distance=0.6,
    rise=0.0,
    before=14,
    after=14,
    scale=1.0,
    tuck=0.1,
    **meta,
):
    """A clip of a hop with a crouch before and after; the body keeps its pose in the air.

    air_s      seconds from the last sample on the floor to the first one after landing
    rise       how much higher it lands; shape(u) of 0..1 replaces the parabola's rise and fall
    """
    count = round(air_s * fps)
    u = np.arange(count + 1) / count
    seconds = u * count / fps
    full = count / fps
    if shape is None:
        lift = 0.5 * gravity * seconds * (full - seconds) + rise * u
    else:
        lift = shape(u)
    crouch = 0.10 * np.sin(np.linspace(0, np.pi, before)) ** 2
    land = 0.10 * np.sin(np.linspace(0, np.pi, after)) ** 2
    height = np.concatenate((-crouch, lift[1:-1], rise - land))
    along = np.concatenate((np.zeros(before), distance * u[1:-1], np.full(after, distance)))
    lifted = np.concatenate((np.zeros(before), lift[1:-1], np.full(after, rise)))
    tucked = np.concatenate((np.zeros(before), tuck * np.sin(np.pi * u[1:-1]), np.zeros(after)))
    zero = np.zeros(len(height))
    root = np.stack((zero, -along, 0.86 + height), axis=-1)
    ankles = {
        side: np.stack((zero + x, -along, ANKLE + lifted + tucked), axis=-1)
        for side, x in (("L", 0.1), ("R", -0.1))
    }
    return steer(root, ankles, fps, scale=scale, **meta)


def joined(*clips):
    """Clips one after the other, each going on where the one before stopped."""
    first = clips[0]
    places, turns, at = [], [], np.zeros(3)
    for clip in clips:
        places.append(clip.positions + at)
        turns.append(clip.rotations)
        at = places[-1][-1, 0] - clip.positions[0, 0]
    place = np.concatenate(places)
    return type(first)(
        **{
            **vars(first),
            "frames": np.arange(1, len(place) + 1),
            "positions": place,
            "rotations": np.concatenate(turns),
        }
    )


def box(low, high, frames):
    """(T,4,4) an axis-aligned support between two corners, standing still."""
    low, high = np.asarray(low, float), np.asarray(high, float)
    matrix = np.diag([*(high - low), 1.0])
    matrix[:3, 3] = 0.5 * (low + high)
    return np.tile(matrix, (frames, 1, 1))


def with_supports(clip, *boxes):
    """The clip with boxes (T,4,4) that bear weight."""
    return Clip(**{**vars(clip), "supports": np.stack(boxes)})


def moved(clip, way):
    """The clip carried along a way (T,3)."""
    return Clip(**{**vars(clip), "positions": clip.positions + np.asarray(way)[:, None]})


def turned(clip, degrees):
    """The clip turned about the vertical."""
    half = np.radians(degrees) / 2.0
    turn = np.array([np.cos(half), 0.0, 0.0, np.sin(half)])

    def about(values):
        return quat.rotate(np.broadcast_to(turn, (*values.shape[:-1], 4)), values)

    def also(values):
        return quat.multiply(np.broadcast_to(turn, values.shape), values)

    return Clip(
        **{
            **vars(clip),
            "positions": about(clip.positions),
            "rotations": also(clip.rotations),
            "rest_positions": about(clip.rest_positions),
            "rest_rotations": also(clip.rest_rotations),
        }
    )
