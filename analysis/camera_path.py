# SPDX-License-Identifier: GPL-3.0-or-later
"""Where a camera takes its picture: how fixed points of the world run over it, frame by frame.

The points lie at the figure's distance, spread over the picture. From each frame to the next
it is measured how far they run; added up, that gives paths that have no corner where a whip
pan takes any one point out of the picture. Sizes are in per cent of the picture's height.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .clip import Clip
from .picture import Picture

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Where the followed points stand on the picture, as shares of half its width and height.
SPREAD = np.array([(0.0, 0.0), (-0.8, -0.8), (0.8, -0.8), (-0.8, 0.8), (0.8, 0.8)])
# The furthest that a step is followed, per cent of the picture's height.
FURTHEST = 400.0
# The figure is taken to be no nearer than this share of its distance along the line of sight:
# beside or behind the camera there is no picture of it.
NEAREST_SHARE = 0.2
CAUSES = ("position", "turn", "lens")


@dataclass(frozen=True, eq=False)
class PictureSteps:
    """How far the picture runs from each frame to the next, per cent of its height.

    whole (T-1,P,2)   right and up, of each followed point
    parts             the same of each of CAUSES alone
    spots (T,P,2)     where the followed points stand on the picture
    """

    whole: Floats
    parts: dict[str, Floats]
    spots: Floats


def figure_place(clip: Clip) -> Floats:
    """(T,3) the mean of all joints that are known; where none is, between its neighbours."""
    known = clip.valid_mask
    count = known.sum(axis=1)
    total = np.where(known[..., None], clip.positions, 0.0).sum(axis=1)
    some = np.flatnonzero(count)
    mean = total[some] / count[some, None]
    every = np.arange(len(count))
    return np.stack([np.interp(every, some, mean[:, axis]) for axis in range(3)], axis=-1)


def picture_steps(picture: Picture, figure: Floats) -> PictureSteps:
    """How the camera's picture runs at the distance of the figure (T,3)."""
    away = figure - picture.pose[:, :3, 3]
    along = -np.einsum("ti,ti->t", picture.axes[:, 2], away)
    depth = np.maximum(along, NEAREST_SHARE * np.linalg.norm(away, axis=-1))
    points = picture.through(SPREAD, np.maximum(depth, 1e-6))
    now, then = picture.at(slice(None, -1)), picture.at(slice(1, None))
    moved, turned = now.pose.copy(), now.pose.copy()
    moved[:, :3, 3], turned[:, :3, :3] = then.pose[:, :3, 3], then.pose[:, :3, :3]
    changes = {
        "position": replace(now, pose=moved),
        "turn": replace(now, pose=turned),
        "lens": replace(now, projection=then.projection),
    }
    return PictureSteps(
        whole=_run(now, then, points[:-1]),
        parts={cause: _run(now, changes[cause], points[:-1]) for cause in CAUSES},
        spots=picture.seen(points)[0],
    )


def _run(now: Picture, then: Picture, points: Floats) -> Floats:
    """How far points run from one camera's picture to another's; what is lost runs furthest."""
    before, after = now.seen(points)[0], then.seen(points)
    run = np.where(_ahead(after[1])[..., None], after[0] - before, [FURTHEST, 0.0])
    length = np.linalg.norm(run, axis=-1, keepdims=True)
    return np.asarray(run * np.minimum(1.0, FURTHEST / np.maximum(length, 1e-12)))


def _ahead(scale: Floats) -> Bools:
    """Whether points lie before the camera, by their scale on its picture."""
    return np.asarray(scale > 0.0)


def screen_travel(picture: Picture, figure: Floats, cuts: Bools) -> tuple[float, float, float]:
    """How far the figure (T,3) goes on the picture, per cent of its height, cuts left out.

    Steps count while it is in the picture, or a quarter of that outside: what passes right beside
    the camera crosses thousands of pictures, and nobody sees it.
    Returns the whole travel, what the camera's motion gives it, and what its own does.
    """
    now, then = picture.at(slice(None, -1)), picture.at(slice(1, None))
    here, left, there = now.seen(figure[:-1]), then.seen(figure[:-1]), then.seen(figure[1:])
    keep = here[2] & _ahead(left[1]) & there[2] & ~cuts[1:]

    def total(way: Floats) -> float:
        return float(np.linalg.norm(way[keep], axis=-1).sum())

    return total(there[0] - here[0]), total(left[0] - here[0]), total(there[0] - left[0])
