# SPDX-License-Identifier: GPL-3.0-or-later
"""Moves of a clip's parts, as an animator's controls make them: shift, turn, reach by IK."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis import Clip, Prop
from analysis import quaternions as quat

from .figure import rebuild

Floats = NDArray[np.float64]

# Upper and lower part of the limb that each end is steered by.
LIMBS = {"hand": ("upper_arm", "forearm"), "foot": ("thigh", "shin")}
# A staff as long as .55 of the height, held at a third: a prop for figures that carry none.
STAFF_SHARE, GRIP_SHARE = 0.55, 1.0 / 3.0


@dataclass(frozen=True)
class Target:
    """A part of a clip: its name with side or number, and its joint's index."""

    part: str
    joint: int

    @property
    def side(self) -> str:
        """`L` or `R`, or empty."""
        return self.part.partition(".")[2] if self.part[-1] in "LR" else ""


def height_of(clip: Clip) -> float:
    """Standing height in scene metres, from the rest pose: the highest joint's tip, props aside."""
    if clip.rest_positions is None:
        return 0.0
    props = {prop.joint for prop in clip.meta.props}
    figure = [n for n, name in enumerate(clip.joints) if name not in props]
    places = clip.rest_positions[figure]
    if clip.rest_rotations is not None and clip.lengths is not None:
        along = np.zeros_like(places)
        along[:, 1] = clip.lengths[figure]
        places = places + quat.rotate(clip.rest_rotations[figure], along)
    return float(places[:, 2].max())


def target(clip: Clip, part: str) -> Target | None:
    """The joint that plays a part (`hand.R`, `prop.1`), or None."""
    if part.startswith("prop."):
        number = int(part.partition(".")[2])
        if number > len(clip.meta.props):
            return None
        return Target(part, clip.joint(clip.meta.props[number - 1].joint))
    names = clip.meta.roles.get(part)
    return Target(part, clip.joint(names[0])) if names else None


def any_side(clip: Clip, part: str, rng: np.random.Generator) -> Target | None:
    """`target` of a part named without its side: one of both sides."""
    if part in LIMBS:
        return target(clip, f"{part}.{rng.choice(['L', 'R'])}")
    return target(clip, "prop.1" if part == "prop" else part)


def ends_of(clip: Clip, joint: int) -> Floats:
    """(T,2,3) a joint's head and its tip, world: the furthest point, else along its length."""
    offset = np.zeros(3)
    if clip.lengths is not None:
        offset[1] = clip.lengths[joint]
    if clip.point_joint is not None and clip.point_offset is not None:
        on_joint = np.flatnonzero(clip.point_joint == joint)
        if len(on_joint):
            away = np.linalg.norm(clip.point_offset[on_joint], axis=-1)
            offset = clip.point_offset[on_joint[np.argmax(away)]]
    tip = clip.positions[:, joint] + quat.rotate(clip.rotations[:, joint], offset)
    return np.stack((clip.positions[:, joint], tip), axis=1)


def local_step(path: Floats, at: int, reach: int = 3) -> float:
    """Mean distance (metres) that a path (T,3) goes in a frame around a sample."""
    near = path[max(at - reach, 0) : at + reach + 1]
    return float(np.linalg.norm(np.diff(near, axis=0), axis=-1).mean())


def reach(clip: Clip, end: Target, shift: Floats) -> Clip:
    """The end of a limb shifted by (T,3) metres as its IK control does it; its turn is kept.

    The limb turns about its root and bends in its own plane; where the goal lies beyond its
    length, the end stops short.
    """
    kind, _, side = end.part.partition(".")
    upper, lower = (target(clip, f"{name}.{side}").joint for name in LIMBS[kind])
    goal = clip.positions[:, end.joint] + shift
    still = np.linalg.norm(shift, axis=-1) == 0.0
    turn = _upper_turn(clip, (upper, lower, end.joint), goal, knee_like=kind == "foot")
    turned = _turned(clip, upper, turn, still)
    knee, ankle = turned.positions[:, lower], turned.positions[:, end.joint]
    turned = _turned(turned, lower, _between(ankle - knee, goal - knee), still)
    back = quat.conjugate(turned.rotations[:, end.joint])
    return _turned(turned, end.joint, quat.multiply(clip.rotations[:, end.joint], back), still)


def _turned(clip: Clip, joint: int, turn: Floats, still: NDArray[np.bool_]) -> Clip:
    """A joint turned by (T,4), but not on the frames that are to keep their values."""
    turn[still] = [1.0, 0.0, 0.0, 0.0]
    return rebuild(clip, joint, turn=turn)


def keep_feet(before: Clip, after: Clip) -> Clip:
    """`after` with both feet where they were in `before`, as legs with IK keep them."""
    for side in "LR":
        foot = target(before, f"foot.{side}")
        if foot is None:
            continue
        gap = before.positions[:, foot.joint] - after.positions[:, foot.joint]
        gap[np.linalg.norm(gap, axis=-1) < 1e-12] = 0.0
        after = reach(after, foot, gap)
        turn = quat.multiply(
            before.rotations[:, foot.joint], quat.conjugate(after.rotations[:, foot.joint])
        )
        after = _turned(after, foot.joint, turn, (gap == 0.0).all(axis=1))
    return after


def with_staff(clip: Clip, side: str) -> Clip:
    """The clip with a staff held in one hand, square to it: a joint of its own, named `staff`."""
    hand = clip.joint(clip.meta.roles[f"hand.{side}"][0])
    length = STAFF_SHARE * height_of(clip)
    # A quarter turn about the hand's Y takes the staff's Y to the hand's Z.
    turn = np.array([np.sqrt(0.5), np.sqrt(0.5), 0.0, 0.0])
    grip = np.array([0.0, 0.0, -GRIP_SHARE * length])

    def held(places: Floats, turns: Floats) -> tuple[Floats, Floats]:
        head = places[..., hand, :] + quat.rotate(turns[..., hand, :], grip)
        return head[..., None, :], quat.multiply(turns[..., hand, :], turn)[..., None, :]

    place, rotation = held(clip.positions, clip.rotations)
    rest_place, rest_rotation = held(clip.rest_positions, clip.rest_rotations)
    prop = Prop(name="staff", joint="staff", held_by=f"hand.{side}")
    return replace(
        clip,
        joints=(*clip.joints, "staff"),
        parents=np.append(clip.parents, hand),
        positions=np.concatenate((clip.positions, place), axis=1),
        rotations=np.concatenate((clip.rotations, rotation), axis=1),
        rest_positions=np.concatenate((clip.rest_positions, rest_place)),
        rest_rotations=np.concatenate((clip.rest_rotations, rest_rotation)),
        lengths=np.append(clip.lengths, length),
        valid=None,
        meta=replace(clip.meta, props=(*clip.meta.props, prop)),
    )


def about(axis: Floats, angle: Floats) -> Floats:
    """Quaternions (T,4) of turns by angles (T,), radians, about a unit axis (3,)."""
    half = 0.5 * np.asarray(angle)[:, None]
    return np.concatenate((np.cos(half), np.sin(half) * axis), axis=1)


def _between(a: Floats, b: Floats) -> Floats:
    """(T,4) the shortest turns that take directions a (T,3) to directions b (T,3)."""
    a = a / np.linalg.norm(a, axis=-1, keepdims=True)
    b = b / np.linalg.norm(b, axis=-1, keepdims=True)
    w = 1.0 + np.sum(a * b, axis=-1, keepdims=True)
    return quat.normalise(np.concatenate((w, np.cross(a, b)), axis=-1))


def _upper_turn(clip: Clip, limb: tuple[int, int, int], goal: Floats, *, knee_like: bool) -> Floats:
    """(T,4) how a limb's upper bone turns so that the lower one can reach the goal (T,3)."""
    hip, knee, ankle = (clip.positions[:, joint] for joint in limb)
    longer = np.linalg.norm(knee - hip, axis=-1)
    shorter = np.linalg.norm(ankle - knee, axis=-1)
    span = np.linalg.norm(goal - hip, axis=-1)
    span = np.clip(span, np.abs(longer - shorter) + 1e-6, longer + shorter - 1e-6)
    swing = _between(ankle - hip, goal - hip)
    line = quat.rotate(swing, _unit(ankle - hip))
    # The plane that the limb bends in. A straight limb bends about its lower bone's X, which
    # points to the figure's left: knees go forwards, elbows back.
    normal = np.cross(ankle - hip, knee - hip)
    bends = -1.0 if knee_like else 1.0
    hinge = quat.rotate(clip.rotations[:, limb[1]], np.array([bends, 0.0, 0.0]))
    straight = np.linalg.norm(normal, axis=-1) < 1e-3 * longer * shorter
    normal = quat.rotate(swing, np.where(straight[:, None], hinge, normal))
    side = _unit(np.cross(normal, line))
    along = (longer**2 - shorter**2 + span**2) / (2.0 * span)
    out = np.sqrt(np.maximum(longer**2 - along**2, 0.0))
    new_knee = along[:, None] * line + out[:, None] * side
    first = quat.rotate(swing, knee - hip)
    return quat.multiply(_between(first, new_knee), swing)


def _unit(v: Floats) -> Floats:
    return v / np.linalg.norm(v, axis=-1, keepdims=True)
