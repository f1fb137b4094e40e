# SPDX-License-Identifier: GPL-3.0-or-later
"""What bears the figure: the floor, boxes that were declared, and the ground that a cycle in
place walks on."""

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ..parts import is_apart
from .boxes import carried_by, over_top, top_lengths
from .place import place_motion
from .soles import Sole

if TYPE_CHECKING:
    from .core import Basis

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]

FLOOR = -1
# Shares of the height; at 1.7 m: a sole this near to what bears it may stand on it (3.5 cm), a
# box bears what is over it, or over its edge by so much (3 cm), and not further under its top
# than this (10 cm).
LOW_SHARE, EDGE_SHARE, UNDER_SHARE = 0.035 / 1.7, 0.03 / 1.7, 0.10 / 1.7
# A rung is narrower than this (10 cm) one way: a foot stands across it, on its arch, heel and ball
# beyond its edges by up to so much (8 cm), and not further under its top than an edge is wide.
RUNG_SHARE, ARCH_SHARE = 0.10 / 1.7, 0.08 / 1.7
# The floor is found from soles that are slower than this share of the height a second (.1 m/s),
# where there are such on this share of all frames; else from the lowest soles. It lies where many
# of them are within 2 cm, at the lowest such place that has this share of what the fullest has.
SLOW_SHARE, SLOW_FRAMES, LEVEL_SHARE, FULL_SHARE = 0.1 / 1.7, 0.2, 0.02 / 1.7, 1.0 / 3.0
# The body's points may lie so far below the floor (13 cm: an elbow's or a knee's depth and more)
# on fewer frames than that; else it is no floor.
BELOW_SHARE = 0.13 / 1.7


@dataclass(frozen=True, eq=False)
class Ground:
    """floor_z        height of the floor, metres
    velocity (T,3)   of the ground that a cycle in place walks on, m/s; else zero
    moves            whether that ground moves
    boxes (S,T,4,4)  each takes the cube from -0.5 to 0.5 to a box that bears weight
    names (S,)       what the boxes are called
    dt_s             seconds a sample
    height_m         the figure's height in scene metres
    turn_rad_s       how fast that ground turns about the vertical, to the left; its velocity is
                     then that under the figure
    centre (2,)      what it turns about
    """

    floor_z: float
    velocity: Floats
    boxes: Floats
    names: tuple[str, ...]
    dt_s: float
    height_m: float
    turn_rad_s: float = 0.0
    centre: tuple[float, float] = (0.0, 0.0)

    @property
    def moves(self) -> bool:
        """Whether the figure walks in place."""
        return bool(np.any(self.velocity))

    def name(self, box: int) -> str:
        """What a box, or the FLOOR, is called in a sentence."""
        return "the floor" if box == FLOOR else self.names[box]

    @cached_property
    def shift(self) -> Floats:
        """(T,3) how far the ground has gone since the first sample."""
        steps = 0.5 * (self.velocity[1:] + self.velocity[:-1]) * self.dt_s
        return np.concatenate((np.zeros((1, 3)), np.cumsum(steps, axis=0)))

    def surface(self, points: Floats) -> tuple[Floats, Ints]:
        """Height (T,N) of what lies under points (T,N,3), and which box that is, or FLOOR.

        Of all boxes that a point is over (or over the edge of, by 1.8 % of the height), and not
        deep inside, the highest top counts; a box's top is its upper face, which may slope.
        """
        height = np.full(points.shape[:2], self.floor_z)
        which = np.full(points.shape[:2], FLOOR, dtype=np.int64)
        for n, box in enumerate(self.boxes):
            rows = self._beside(box, points)
            if not rows.any():
                continue
            top, over = self._top(box[rows], points[rows])
            better = np.zeros(height.shape, dtype=bool)
            better[rows] = over & (top > height[rows])
            height[better], which[better] = top[better[rows]], n
        return height, which

    def clearance(self, points: Floats) -> Floats:
        """(T,N) how high points (T,N,3) are above what lies under them."""
        return np.asarray(points[..., 2] - self.surface(points)[0])

    def steps(self, points: Floats, which: Ints) -> Floats:
        """(T-1,N,3) how points (T,N,3) move over what bears them: floor, moving ground, or box.

        `which` (T,N) names the box under each point; where it changes, the later one counts.
        """
        if self.turn_rad_s:
            steps = points[1:] - self._turned(points[:-1])
        else:
            steps = np.diff(points - self.shift[:, None], axis=0)
        for n, box in enumerate(self.boxes):
            on_it = which[1:] == n
            if on_it.any():
                carried = carried_by(box, points[:-1])
                steps = np.where(on_it[..., None], points[1:] - carried, steps)
        return np.asarray(steps)

    def _turned(self, points: Floats) -> Floats:
        """Points (T-1,N,3) as a turning ground carries them to the next sample."""
        angle = self.turn_rad_s * self.dt_s
        away = points[..., :2] - self.centre
        turned = np.array(points)
        turned[..., 0] = (
            self.centre[0] + np.cos(angle) * away[..., 0] - np.sin(angle) * away[..., 1]
        )
        turned[..., 1] = (
            self.centre[1] + np.sin(angle) * away[..., 0] + np.cos(angle) * away[..., 1]
        )
        return turned

    def _beside(self, box: Floats, points: Floats) -> Bools:
        """(T,) whether a point is so near to a box, seen from above, that it may be over it."""
        size = np.sqrt((box[:, :2, :3] ** 2).sum(axis=(1, 2)))
        far = np.hypot(*(points[..., :2] - box[:, None, :2, 3]).transpose(2, 0, 1))
        return np.asarray(far.min(axis=1) <= size + 2.0 * ARCH_SHARE * self.height_m)

    def _top(self, box: Floats, points: Floats) -> tuple[Floats, Bools]:
        """Height (T,N) of a box's upper face under points, and which points it bears."""
        where, top = over_top(box, points)
        edge = EDGE_SHARE * self.height_m
        above = points[..., 2] - top
        over = (where <= edge).all(axis=-1) & (above > -UNDER_SHARE * self.height_m)
        narrow = top_lengths(box) < RUNG_SHARE * self.height_m
        if narrow.any():
            reach = np.where(narrow, ARCH_SHARE * self.height_m, edge)
            over |= (where <= reach[:, None]).all(axis=-1) & (above > -edge)
        return top, over


def find_ground(basis: "Basis", soles: tuple[Sole, ...]) -> Ground:
    """The ground under a figure; floor and moving ground are found from its soles.

    The floor is what the clip states, else the level on which the soles stand where no box
    bears them, else, and where the body lies far below that, its lowest points.
    """
    clip, height = basis.clip, basis.height.scene_m
    count = len(basis.frames)
    boxes = np.zeros((0, count, 4, 4)) if clip.supports is None else clip.supports
    names = clip.meta.supports or tuple(f"support {n + 1}" for n in range(len(boxes)))
    still = Ground(0.0, np.zeros((count, 3)), boxes, names, basis.dt_s, height)
    floor = clip.meta.floor_z
    if floor is None:
        floor = _under_body(basis, _find_floor(basis, soles, still))
    velocity, turn, centre = np.zeros((count, 3)), 0.0, (0.0, 0.0)
    if clip.ground_velocity is not None:
        velocity = clip.ground_velocity * [1.0, 1.0, 0.0]  # it goes along, and lifts nobody
    elif len(boxes) == 0:
        found = place_motion(basis, soles, floor)
        velocity, turn, centre = velocity + found.velocity, found.turn_rad_s, found.centre
    return Ground(float(floor), velocity, boxes, names, basis.dt_s, height, turn, centre)


def _find_floor(basis: "Basis", soles: tuple[Sole, ...], ground: Ground) -> float:
    if not soles:
        return float(basis.marks[:, :, :2, 2].min())
    points = np.concatenate([sole.points for sole in soles], axis=1)
    # Beside a rung that bears the ball, the heel tells nothing: the whole foot has to be free.
    bare = ground_without_floor(ground)
    alone = [(bare.surface(sole.points)[1] == FLOOR).all(axis=1) for sole in soles]
    free = np.repeat(np.stack(alone, axis=1), [sole.points.shape[1] for sole in soles], axis=1)
    height = basis.height.scene_m
    if not free.any():
        return _below(points, ground)
    steps = np.linalg.norm(np.diff(points, axis=0), axis=-1) / basis.dt_s
    slow = np.concatenate((steps, steps[-1:])) < SLOW_SHARE * height
    slow &= free
    if slow.any(axis=1).mean() >= SLOW_FRAMES:
        return _lowest_level(points[..., 2][slow], LEVEL_SHARE * height)
    lowest = np.where(free, points[..., 2], np.inf).min(axis=1)
    level = _lowest_level(lowest[np.isfinite(lowest)], LEVEL_SHARE * height)
    # Feet that stand lower than that, on rungs, only swing over the floor.
    on_boxes = points[..., 2][~free].min(initial=np.inf)
    return level if on_boxes > level - LEVEL_SHARE * height else _below(points, ground)


def _below(points: Floats, ground: Ground) -> float:
    """A floor that is somewhere below what stands on boxes throughout: where these begin, and no
    nearer to the soles (T,N,3) than what a box bears is to its top."""
    half = 0.5 * np.abs(ground.boxes[..., 2, :3]).sum(axis=-1)
    begins = float((ground.boxes[..., 2, 3] - half).min(initial=np.inf))
    return min(begins, float(points[..., 2].min()) - UNDER_SHARE * ground.height_m)


def _under_body(basis: "Basis", floor: float) -> float:
    """The floor, or the level that the body's lowest points keep to where they lie far below it.

    Feet that point to the sky for long (a handstand) say nothing about the floor.
    """
    figure = [n for n, b in enumerate(basis.bodies) if not (b.added or is_apart(b.part or ""))]
    lowest = basis.marks[:, figure, :2, 2].min(axis=(1, 2))
    height = basis.height.scene_m
    if np.mean(lowest < floor - BELOW_SHARE * height) < SLOW_FRAMES:
        return floor
    return _lowest_level(lowest, LEVEL_SHARE * height)


def _lowest_level(heights: Floats, width: float) -> float:
    """The lowest height around which many of `heights` lie within `width`."""
    low = np.sort(heights)
    ends = np.searchsorted(low, low + width, side="right")
    counts = ends - np.arange(len(low))
    first = int(np.argmax(counts >= FULL_SHARE * counts.max()))
    # The window that begins there may end just short of where the fullest one lies.
    near = np.flatnonzero(low <= low[first] + width)
    best = int(near[np.argmax(counts[near])])
    return float(np.median(low[best : ends[best]]))


def ground_without_floor(ground: Ground) -> Ground:
    """The same boxes over a floor that is out of reach."""
    return Ground(
        -np.inf, ground.velocity, ground.boxes, ground.names, ground.dt_s, ground.height_m
    )
