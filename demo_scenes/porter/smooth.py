# SPDX-License-Identifier: GPL-3.0-or-later
"""Handles that let a curve run smoothly through its keys, between the frames as well.

Between two keys a curve whose handles are a third of the way long is a cubic in time. Those cubics
make a spline whose speed and acceleration go on through every key (de Boor 1978, A Practical Guide
to Splines, chapter IV): keys that lie on a flight's parabola give that parabola.
"""

from collections.abc import Sequence
from itertools import pairwise

import bpy
import numpy as np

# Speeds per frame at the first and the last key of a run; None: it leaves or arrives as it likes,
# without an acceleration there.
Ends = tuple[float | None, float | None]
FREE: Ends = (None, None)
AT_REST: Ends = (0.0, 0.0)


def spline_slopes(frames: Sequence[float], values: Sequence[float], ends: Ends) -> list[float]:
    """The slopes per frame at all keys (two at least) of the smooth cubic spline through them."""
    spans = np.diff(np.asarray(frames, dtype=np.float64))
    even = np.diff(np.asarray(values, dtype=np.float64)) / spans
    rows, right = np.zeros((len(frames), len(frames))), np.zeros(len(frames))
    for i in range(1, len(frames) - 1):
        before, after = spans[i - 1], spans[i]
        rows[i, i - 1 : i + 2] = after, 2.0 * (before + after), before
        right[i] = 3.0 * (after * even[i - 1] + before * even[i])
    for row, beside, slope, run in ((0, 1, ends[0], even[0]), (-1, -2, ends[1], even[-1])):
        rows[row, row] = 1.0 if slope is not None else 2.0
        rows[row, beside] = 0.0 if slope is not None else 1.0
        right[row] = slope if slope is not None else 3.0 * run
    return [float(slope) for slope in np.linalg.solve(rows, right)]


def smooth_run(curve: bpy.types.FCurve, first: int, last: int, ends: Ends = FREE) -> None:
    """Lay the handles between two keyed frames; outside them the curve stays as it is."""
    points = [point for point in curve.keyframe_points if first <= round(point.co.x) <= last]
    slopes = spline_slopes([p.co.x for p in points], [p.co.y for p in points], ends)
    handles = [(point.handle_left.copy(), point.handle_right.copy()) for point in points]
    for point, (left, right) in zip(points, handles, strict=True):
        point.handle_left_type = point.handle_right_type = "FREE"
        point.handle_left, point.handle_right = left, right
    for (one, leaves), (two, arrives) in pairwise(zip(points, slopes, strict=True)):
        third = (two.co.x - one.co.x) / 3.0
        one.handle_right = (one.co.x + third, one.co.y + leaves * third)
        two.handle_left = (two.co.x - third, two.co.y - arrives * third)
    for point in points[1:-1]:
        point.handle_left_type = point.handle_right_type = "ALIGNED"
    curve.update()
