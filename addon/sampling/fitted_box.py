# SPDX-License-Identifier: GPL-3.0-or-later
"""A box around points: along their axes, or turned about one of them where that fits far better.

A ladder that leans, or a crate that is turned, may have been made so in its mesh.
"""

from typing import Any

import numpy as np

# A turned box is taken where it is smaller than this share of the one along the axes.
SMALLER = 0.8
# Degrees between the turns that are tried, then around the best one; of more points none are.
COARSE_DEG, FINE_DEG, MOST_POINTS = 1.0, 0.02, 20_000


def box_around(points: Any) -> Any:
    """(2,3) lowest and highest corner of points (N,3); a point at the origin without any."""
    if not len(points):
        return np.zeros((2, 3))
    return np.array([points.min(axis=0), points.max(axis=0)], dtype=np.float64)


def unit_cube_to(box: Any) -> Any:
    """(4,4) from the cube from -0.5 to 0.5 to a box (2,3) of low and high corner."""
    matrix = np.diag([*(box[1] - box[0]), 1.0])
    matrix[:3, 3] = box.mean(axis=0)
    return matrix


def fitted(points: Any) -> Any:
    """(4,4) from the cube from -0.5 to 0.5 to a box around points (N,3)."""
    straight = box_around(points)
    size = np.ptp(straight, axis=0)
    best, found = SMALLER * size.prod(), unit_cube_to(straight)
    if best == 0.0 or len(points) > MOST_POINTS:
        return found
    for axis in range(3):
        others = [n for n in range(3) if n != axis]
        flat = np.asarray(points, dtype=np.float64)[:, others]
        coarse = np.radians(np.arange(0.0, 90.0, COARSE_DEG))
        near = coarse[np.argmin(_areas(flat, coarse))]
        fine = near + np.radians(np.arange(-COARSE_DEG, COARSE_DEG, FINE_DEG))
        areas = _areas(flat, fine)
        if areas.min() * size[axis] < best:
            best = areas.min() * size[axis]
            found = _turned_box(points, axis, others, float(fine[np.argmin(areas)]))
    return found


def _areas(flat: Any, angles: Any) -> Any:
    """(A,) how large the box around level points (N,2) is along axes turned by angles (A,)."""
    cos, sin = np.cos(angles), np.sin(angles)
    along, across = np.ptp(flat @ [cos, sin], axis=0), np.ptp(flat @ [-sin, cos], axis=0)
    return along * across


def _turned_box(points: Any, axis: int, others: list[int], angle: float) -> Any:
    turn = np.eye(4)
    cos, sin = np.cos(angle), np.sin(angle)
    turn[np.ix_(others, others)] = [[cos, -sin], [sin, cos]]
    return turn @ unit_cube_to(box_around(points @ turn[:3, :3]))
