# SPDX-License-Identifier: GPL-3.0-or-later
"""A blade in one hand, and a wrist that drags behind the forearm.

The captured figure has no wrist: its hand is rigid on the forearm. Here the hand, and the blade
in it, trail the forearm's turn by a few hundredths of a second, as keys offset by a frame or two
make it (common practice, no source).
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis import Clip, Prop
from analysis import quaternions as quat

from .figure import add_joint
from .moves import height_of, target

Floats = NDArray[np.float64]

NAME = "blade"
# Of the height: how long, how wide, how far its grip lies behind the hand.
LENGTH, WIDTH, GRIP = (0.35, 0.55), (0.02, 0.04), 0.05
# The wrist trails by this on average, seconds; and bends no further than this.
TRAILS_S, MOST_DEG = (0.04, 0.09), 60.0


@dataclass(frozen=True, eq=False)
class Blade:
    """In which hand, its direction in the hand's axes (3,), length and width in metres, seconds
    that the wrist trails."""

    side: str
    way: Floats
    length: float
    width: float
    trails_s: float


def random_blade(rng: np.random.Generator, height: float) -> Blade:
    """Forwards out of the fist, more or less down along the hand and outwards."""
    side = str(rng.choice(["L", "R"]))
    down, out = np.radians(rng.uniform(5.0, 55.0)), np.radians(rng.uniform(-10.0, 25.0))
    left = np.sin(out) * (1.0 if side == "L" else -1.0)
    way = np.array([left, np.cos(out) * np.sin(down), -np.cos(out) * np.cos(down)])
    return Blade(
        side=side,
        way=way,
        length=height * rng.uniform(*LENGTH),
        width=height * rng.uniform(*WIDTH),
        trails_s=rng.uniform(*TRAILS_S),
    )


def armed(clip: Clip, blade: Blade) -> Clip:
    """The clip with the wrist trailing and a blade in the hand."""
    hand = target(clip, f"hand.{blade.side}").joint
    forearm = target(clip, f"forearm.{blade.side}").joint
    turns = clip.rotations.copy()
    turns[:, hand] = trailing(turns[:, hand], turns[:, forearm], blade.trails_s, clip.dt_s)
    return with_blade(replace(clip, rotations=turns), blade)


def trailing(turns: Floats, carrier: Floats, trails_s: float, dt_s: float) -> Floats:
    """Turns (T,4) that come late by about `trails_s`: of the last moments, the latest weigh most.

    Against what carries them they turn from where they were by MOST_DEG at the most.
    """
    count = max(round(3.0 * trails_s / dt_s), 1) + 1
    weights = np.arange(count, 0, -1.0)
    weights /= weights.sum()
    turns = quat.continuous(turns)
    padded = np.concatenate((np.repeat(turns[:1], count - 1, axis=0), turns))
    late = quat.normalise(
        sum(w * padded[count - 1 - n : len(padded) - n] for n, w in enumerate(weights))
    )
    extra = quat.multiply(quat.conjugate(turns), late)
    extra = extra * np.where(extra[:, :1] < 0.0, -1.0, 1.0)
    angle = 2.0 * np.arccos(np.clip(extra[:, 0], -1.0, 1.0))
    allowed = np.minimum(angle, np.radians(MOST_DEG))
    axis = extra[:, 1:] / np.maximum(np.sin(0.5 * angle)[:, None], 1e-12)
    extra = np.concatenate(
        (np.cos(0.5 * allowed)[:, None], np.sin(0.5 * allowed)[:, None] * axis), 1
    )
    return quat.multiply(turns, quat.normalise(extra))


def with_blade(clip: Clip, blade: Blade) -> Clip:
    """A joint of its own on the hand: Y along the blade, its flat in the plane of the elbow."""
    hand = target(clip, f"hand.{blade.side}")
    height = height_of(clip)
    y = blade.way / np.linalg.norm(blade.way)
    x = np.array([1.0, 0.0, 0.0]) - y[0] * y
    x /= np.linalg.norm(x)
    own = quat.from_axes(x, y, np.cross(x, y))
    turn = quat.multiply(clip.rotations[:, hand.joint], np.broadcast_to(own, (len(clip.frames), 4)))
    half, end = 0.5 * blade.width, blade.length - GRIP * height
    middle = 0.5 * (end - GRIP * height)
    made = add_joint(
        clip,
        NAME,
        parent=clip.joints[hand.joint],
        place=clip.positions[:, hand.joint],
        turn=turn,
        length=end,
        points={
            f"{NAME} base": (0.0, -GRIP * height, 0.0),
            f"{NAME} tip": (0.0, end, 0.0),
            f"{NAME} edge": (0.0, middle, half),
            f"{NAME} back": (0.0, middle, -half),
        },
    )
    prop = Prop(name=NAME, joint=NAME, held_by=hand.part)
    return replace(made, meta=replace(made.meta, props=(prop,)))


def blade_points(clip: Clip) -> dict[str, Floats]:
    """The blade's points in its joint's axes by their last word."""
    joint = clip.joint(NAME)
    named = zip(clip.points, clip.point_joint, clip.point_offset, strict=True)
    return {name.split()[-1]: offset for name, on, offset in named if on == joint}
