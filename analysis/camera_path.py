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

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Where the followed points stand on the picture, as shares of half its width and height.
SPREAD = np.array([(0.0, 0.0), (-0.8, -0.8), (0.8, -0.8), (-0.8, 0.8), (0.8, 0.8)])
# Half the picture's height, in per cent of it; and the furthest that a step is followed.
HALF, FURTHEST = 50.0, 400.0
# The figure is taken to be no nearer than this share of its distance along the line of sight:
# beside or behind the camera there is no picture of it.
NEAREST_SHARE = 0.2
CAUSES = ("position", "turn", "lens")


@dataclass(frozen=True, eq=False)
class Camera:
    """A camera over some frames: place (T,3), axes (T,3,3) columns, lens (T,4,4) as OpenGL."""

    place: Floats
    axes: Floats
    lens: Floats

    @property
    def aspect(self) -> Floats:
        """(T,) width over height of the picture, in square pixels."""
        return np.asarray(self.lens[:, 1, 1] / self.lens[:, 0, 0])

    def at(self, which: slice) -> "Camera":
        """The same camera on some of its frames."""
        return Camera(self.place[which], self.axes[which], self.lens[which])

    def local(self, points: Floats) -> Floats:
        """World points (T,P,3) in the camera's axes: right, up, and back from it."""
        return np.asarray(np.einsum("tji,tpj->tpi", self.axes, points - self.place[:, None]))

    def seen(self, points: Floats) -> tuple[Floats, Bools]:
        """World points (T,P,3) on the picture (T,P,2), and whether they lie before the camera."""
        local = self.local(points)
        full = np.concatenate((local, np.ones((*local.shape[:2], 1))), axis=-1)
        clip = np.einsum("tij,tpj->tpi", self.lens, full)
        ahead = clip[..., 3] > 1e-9
        onto = clip[..., :2] / np.where(ahead, clip[..., 3], 1.0)[..., None]
        onto[..., 0] *= self.aspect[:, None]
        return HALF * onto, ahead

    def through(self, spots: Floats, depth: Floats) -> Floats:
        """World points (T,P,3) that are seen at spots (P,2), -1 to 1, at depths (T,) metres."""
        lens, back = self.lens, -depth
        width = lens[:, 3, 2] * back + lens[:, 3, 3]
        local = np.zeros((len(depth), len(spots), 3))
        for axis in (0, 1):
            given = lens[:, axis, 2] * back + lens[:, axis, 3]
            local[..., axis] = (np.outer(width, spots[:, axis]) - given[:, None]) / lens[
                :, axis, axis, None
            ]
        local[..., 2] = back[:, None]
        return np.asarray(self.place[:, None] + np.einsum("tij,tpj->tpi", self.axes, local))


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


def camera_of(clip: Clip) -> Camera | None:
    """The clip's camera, its scale taken out; None where it has none."""
    if clip.camera_pose is None or clip.camera_projection is None:
        return None
    axes = clip.camera_pose[:, :3, :3]
    axes = axes / np.linalg.norm(axes, axis=1, keepdims=True)
    return Camera(clip.camera_pose[:, :3, 3], axes, clip.camera_projection)


def figure_place(clip: Clip) -> Floats:
    """(T,3) the mean of all joints that are known; where none is, between its neighbours."""
    known = clip.valid_mask
    count = known.sum(axis=1)
    total = np.where(known[..., None], clip.positions, 0.0).sum(axis=1)
    some = np.flatnonzero(count)
    mean = total[some] / count[some, None]
    every = np.arange(len(count))
    return np.stack([np.interp(every, some, mean[:, axis]) for axis in range(3)], axis=-1)


def picture_steps(camera: Camera, figure: Floats) -> PictureSteps:
    """How the camera's picture runs at the distance of the figure (T,3)."""
    away = figure - camera.place
    along = -np.einsum("ti,ti->t", camera.axes[:, :, 2], away)
    depth = np.maximum(along, NEAREST_SHARE * np.linalg.norm(away, axis=-1))
    depth = np.maximum(depth, 1e-6)
    points = camera.through(SPREAD, depth)[:-1]
    now, then = camera.at(slice(None, -1)), camera.at(slice(1, None))
    changes = {
        "position": replace(now, place=then.place),
        "turn": replace(now, axes=then.axes),
        "lens": replace(now, lens=then.lens),
    }
    return PictureSteps(
        whole=_run(now, then, points),
        parts={cause: _run(now, changes[cause], points) for cause in CAUSES},
        spots=camera.seen(camera.through(SPREAD, depth))[0],
    )


def _run(now: Camera, then: Camera, points: Floats) -> Floats:
    """How far points run from one camera's picture to another's; what is lost runs furthest."""
    before, _ = now.seen(points)
    after, ahead = then.seen(points)
    run = np.where(ahead[..., None], after - before, [FURTHEST, 0.0])
    length = np.linalg.norm(run, axis=-1, keepdims=True)
    return np.asarray(run * np.minimum(1.0, FURTHEST / np.maximum(length, 1e-12)))


def screen_travel(camera: Camera, figure: Floats, cuts: Bools) -> tuple[float, float, float]:
    """How far the figure (T,3) goes on the picture, per cent of its height, cuts left out.

    Returns the whole travel, what the camera's motion gives it, and what its own does.
    """
    now, then = camera.at(slice(None, -1)), camera.at(slice(1, None))
    here, shows = now.seen(figure[:-1, None])
    left, stays = then.seen(figure[:-1, None])
    there, comes = then.seen(figure[1:, None])
    keep = (shows & stays & comes)[:, 0] & ~cuts[1:]

    def total(way: Floats) -> float:
        return float(np.linalg.norm(way[keep, 0], axis=-1).sum())

    return total(there - here), total(left - here), total(there - left)
