# SPDX-License-Identifier: GPL-3.0-or-later
"""What a figure carries in its hands: from which end to which, how wide, and who holds it.

A prop's shape is told by the clip's points on its joint: the two that are furthest apart are
its ends, the one that is furthest off the line between them its edge. Without points it is as
long as its joint.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from . import quaternions as quat
from .basis import Basis
from .basis.bodies import tip_offset
from .basis.contacts import runs
from .meta import Prop
from .parts import SIDES, split_part
from .rods import between_rods

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# What is thinner than this share of its length is a line.
LINE_SHARE = 0.01
# What is thicker than this share of its width has no edge to show; 15 % of the width can be seen
# of it from anywhere. Boxes of blades hold their grips, which are thicker: .25.
FLAT_SHARE = 0.25
# A hand this near to a prop, as a share of the height (7 cm at 1.7 m), for so long, is on it,
# as long as it slides along it by no more than this share a second (34 cm/s).
ON_SHARE, ON_S, SLIDES_SHARE = 0.04, 0.5, 0.2
HOLDERS = ("hand", "forearm")


@dataclass(frozen=True, eq=False)
class Carried:
    """A prop that a hand or a forearm holds.

    body, holder   indices of the basis; side `L` or `R` of the holder
    base, tip (3,) its ends in its joint's axes, the base nearer to the joint; scene metres
    edges (2,3)    from the line between them to one side's edge and to the other's; zeros where
                   it is as thick as wide, or its width is not known
    fixed          declared to be rigid with its holder
    """

    body: int
    holder: int
    side: str
    base: Floats
    tip: Floats
    edges: Floats
    fixed: bool

    @property
    def length(self) -> float:
        """Scene metres from end to end."""
        return float(np.linalg.norm(self.tip - self.base))

    @property
    def width(self) -> float:
        """Scene metres from edge to edge; 0 where it is a line."""
        return float(np.linalg.norm(self.edges[1] - self.edges[0]))

    @property
    def lines(self) -> Floats:
        """(L,2,3) the middle line, and those of both edges where it has any, in its axes."""
        middle = np.stack((self.base, self.tip))
        if self.width == 0.0:
            return middle[None]
        return np.stack((middle, middle + self.edges[0], middle + self.edges[1]))

    def placed(self, basis: Basis, points: Floats) -> Floats:
        """Points (...,3) of the prop's axes in the world, (T,...,3)."""
        shape = (len(basis.frames), *(1,) * (points.ndim - 1))
        turn = basis.rotations[:, self.body].reshape(*shape, 4)
        return np.asarray(
            basis.positions[:, self.body].reshape(*shape, 3) + quat.rotate(turn, points)
        )

    def directed(self, basis: Basis, way: Floats) -> Floats:
        """(T,3) unit vectors, world: a way (3,) of the prop's axes."""
        unit = way / max(float(np.linalg.norm(way)), 1e-12)
        return quat.rotate(basis.rotations[:, self.body], unit)


def carried_in(basis: Basis) -> tuple[Carried, ...]:
    """All props of the clip that an arm holds, in their order."""
    found = [_carried(basis, n, prop) for n, prop in enumerate(basis.clip.meta.props, start=1)]
    return tuple(each for each in found if each is not None)


def _carried(basis: Basis, number: int, prop: Prop) -> Carried | None:
    body = basis.body(f"prop.{number}")
    if body is None or basis.bodies[body].parent < 0:
        return None
    holder = basis.bodies[body].parent
    kind, side = split_part(basis.bodies[holder].part or "")
    if kind not in HOLDERS:
        return None
    base, tip, edges = _shape(basis, body)
    return Carried(body, holder, side, base, tip, edges, prop.fixed)


def _shape(basis: Basis, body: int) -> tuple[Floats, Floats, Floats]:
    points = _points(basis, basis.bodies[body].joint)
    if len(points) < 2:
        tip = tip_offset(basis.clip, basis.bodies[body], float(basis.reach[body]))
        return np.zeros(3), tip, np.zeros((2, 3))
    apart = np.linalg.norm(points[:, None] - points[None], axis=-1)
    pair = list(np.unravel_index(int(np.argmax(apart)), apart.shape))
    pair.sort(key=lambda n: float(np.linalg.norm(points[n])))
    base, tip = points[pair[0]], points[pair[1]]
    return base, tip, _edges(points, base, tip)


def _edges(points: Floats, base: Floats, tip: Floats) -> Floats:
    """(2,3) how far the points reach to either side of the line, where the prop is flat."""
    length = float(np.linalg.norm(tip - base))
    if length == 0.0:
        return np.zeros((2, 3))
    along = (tip - base) / length
    off = points - base
    off = off - (off @ along)[:, None] * along
    furthest = off[int(np.argmax(np.linalg.norm(off, axis=-1)))]
    size = float(np.linalg.norm(furthest))
    if size < LINE_SHARE * length:
        return np.zeros((2, 3))
    across = furthest / size
    spans = [np.array([0.0, *(off @ way)]) for way in (across, np.cross(along, across))]
    if np.ptp(spans[1]) > FLAT_SHARE * np.ptp(spans[0]):
        return np.zeros((2, 3))
    return np.outer([spans[0].min(), spans[0].max()], across)


def _points(basis: Basis, joint: int) -> Floats:
    """(P,3) the clip's own points on a joint; those that the user added show something else."""
    clip = basis.clip
    if clip.point_joint is None or clip.point_offset is None:
        return np.zeros((0, 3))
    added = {each.point for each in clip.meta.follow}
    on_joint = np.flatnonzero(clip.point_joint == joint)
    return clip.point_offset[[n for n in on_joint if clip.points[n] not in added]]


def other_side(carried: Carried) -> str:
    """The side of the hand that does not hold it."""
    return SIDES[1 - SIDES.index(carried.side)]


def second_hand_on(basis: Basis, carried: Carried) -> Bools:
    """(T,) whether the other hand is on a prop too: near it for half a second, or to the range's
    end, and going with it."""
    count = len(basis.frames)
    hand = basis.body(f"hand.{other_side(carried)}")
    if hand is None:
        return np.zeros(count, dtype=bool)
    line = carried.placed(basis, carried.lines[0])
    ways, places = between_rods(basis.marks[:, hand, :2], line)
    height = basis.height.scene_m
    near = np.linalg.norm(ways, axis=-1) < ON_SHARE * height
    slides = np.abs(np.diff(places[:, 1], append=places[-1, 1])) * carried.length / basis.dt_s
    on = near & (slides < SLIDES_SHARE * height) & basis.valid[:, hand]
    return _lasting(on, max(round(ON_S / basis.dt_s), 2))


def _lasting(on: Bools, least: int) -> Bools:
    """Runs of so many samples; half as long where they touch an end of the range."""
    kept = np.zeros_like(on)
    for first, last in runs(on):
        at_end = first == 0 or last == len(on) - 1
        if last - first + 1 >= (least // 2 if at_end else least):
            kept[first : last + 1] = True
    return kept
