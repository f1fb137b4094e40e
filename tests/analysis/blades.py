# SPDX-License-Identifier: GPL-3.0-or-later
"""A figure that swings a sword with its right arm, with as much drag at the wrist as is asked."""

from dataclasses import replace

import numpy as np
from figures import NAMES, along, pose, to_clip

from analysis import Prop
from analysis import quaternions as quat
from tests.quality.figure import add_joint
from tests.quality.timing import smooth_step

ROLES = {name: (name,) for name in NAMES}
ROOT = (0.0, 0.0, 0.95)
# Metres from the hand's joint along the sword, and from edge to edge.
BASE, TIP, WIDTH = -0.08, 0.8, 0.04
# Seconds at which swings begin, and how long one takes.
BEGINS, TAKES = 0.5, 0.4


def swinging(
    *,
    fps=24,
    seconds=2.0,
    lag_s=0.06,
    degrees=120.0,
    begins=(BEGINS,),
    takes=TAKES,
    locked=(),
    scale=1.0,
    roll=None,
    point=None,
    flat=True,
    fixed=False,
    held_by="hand.R",
    **meta,
):
    """The arm swings forwards and up by `degrees` at each beginning, then lies back again.

    lag_s      by how much the hand's turn comes after the forearm's
    locked     numbers of swings (there and back are two) without that
    roll (T,)  radians that the sword turns about its own length; point (T,) about its side
    flat       whether the clip says where its edges are
    """
    count = round(seconds * fps) + 1
    time = np.arange(count) / fps
    swung, late = _angles(time, degrees, begins, takes, lag_s, locked)
    turns = {"upper_arm.R": -swung, "hand.R": late * -1.0}
    turn, place = pose(turns, np.tile(ROOT, (count, 1)), count)
    hand = NAMES.index("hand.R")
    grip = np.broadcast_to(along((0.0, -1.0, 0.0)), (count, 4))
    own = quat.multiply(turn[:, hand], grip)
    for axis, angle in (((0.0, 1.0, 0.0), roll), ((1.0, 0.0, 0.0), point)):
        if angle is not None:
            half = 0.5 * np.asarray(angle)[:, None]
            own = quat.multiply(own, np.hstack((np.cos(half), np.sin(half) * np.array(axis))))
    clip = to_clip(turn, place * scale, fps, scale, {"roles": ROLES, **meta})
    middle = 0.5 * (BASE + TIP)
    points = {"sword base": (0.0, BASE, 0.0), "sword tip": (0.0, TIP, 0.0)}
    if flat:
        points["sword edge"] = (0.0, middle, 0.5 * WIDTH)
        points["sword back"] = (0.0, middle, -0.5 * WIDTH)
    points = {name: tuple(scale * np.array(at)) for name, at in points.items()}
    path = place[:, hand] * scale
    clip = add_joint(
        clip, "sword", parent="hand.R", place=path, turn=own, length=TIP * scale, points=points
    )
    prop = Prop(name="sword", joint="sword", held_by=held_by, fixed=fixed)
    return replace(clip, meta=replace(clip.meta, props=(prop,)))


def _angles(time, degrees, begins, takes, lag_s, locked):
    """(T,) radians of the arm, and of the hand on it."""
    swung, late = 0.0 * time, 0.0 * time
    for number, start in enumerate(begins):
        sign = 1.0 if number % 2 == 0 else -1.0
        arm = smooth_step((time - start) / takes)
        swung += sign * np.radians(degrees) * arm
        if number not in locked:
            hand = smooth_step((time - start - lag_s) / takes)
            late += sign * np.radians(degrees) * (hand - arm)
    return swung, late


def with_sword(clip, ends, *, held_by="hand.R", width=0.0):
    """A clip with a sword on a path of its own: ends (T,2,3), base and tip, never upright.

    Its edge, where it has a width, is on top of it (below, where the width is negative).
    """
    way = ends[:, 1] - ends[:, 0]
    length = float(np.linalg.norm(way[0]))
    y = way / length
    x = np.cross(y, [0.0, 0.0, 1.0])
    x /= np.linalg.norm(x, axis=-1, keepdims=True)
    turn = quat.from_axes(x, y, np.cross(x, y))
    points = {"sword base": (0.0, 0.0, 0.0), "sword tip": (0.0, length, 0.0)}
    if width:
        points["sword edge"] = (0.0, 0.5 * length, width)
    made = add_joint(
        clip, "sword", parent=held_by, place=ends[:, 0], turn=turn, length=length, points=points
    )
    prop = Prop(name="sword", joint="sword", held_by=held_by)
    return replace(made, meta=replace(made.meta, props=(prop,)))
