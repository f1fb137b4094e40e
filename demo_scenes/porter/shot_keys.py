# SPDX-License-Identifier: GPL-3.0-or-later
"""Keys of shots that play once: values, and where a pose table says so the speed through them."""

from collections.abc import Collection, Mapping
from itertools import pairwise

import bpy

from .channels import channel
from .keys import ensure_curve

# A key's value, or its value and its speed per second; metres or degrees.
ShotKey = float | tuple[float, float]
ShotTable = Mapping[str, Mapping[str, Mapping[int, ShotKey]]]


def key_shot(rig: bpy.types.Object, table: ShotTable, extremes: Collection[int]) -> None:
    """Key a table, control -> word -> {frame: key}; keys off the extremes are breakdowns."""
    fps = bpy.context.scene.render.fps / bpy.context.scene.render.fps_base
    for control, words in table.items():
        for word, keys in words.items():
            target = channel(control, word)
            values, slopes = {}, {}
            for frame, key in keys.items():
                value, speed = key if isinstance(key, tuple) else (key, None)
                values[frame] = target.scaled(value)
                if speed is not None:
                    slopes[frame] = target.scaled(speed) / fps
            _write(ensure_curve(rig, target), values, slopes, extremes)


def _write(
    curve: bpy.types.FCurve,
    values: Mapping[int, float],
    slopes: Mapping[int, float],
    extremes: Collection[int],
) -> None:
    """Key a curve; handles are set by hand where there is a slope per frame, else automatic."""
    curve.auto_smoothing = "CONT_ACCEL"
    points = curve.keyframe_points
    points.add(len(values))
    for point, (frame, value) in zip(points, sorted(values.items()), strict=True):
        point.co = (frame, value)
        point.interpolation = "BEZIER"
        point.handle_left_type = point.handle_right_type = "AUTO_CLAMPED"
        point.type = "EXTREME" if frame in extremes else "BREAKDOWN"
    curve.update()  # reallocates the keys
    _lay_handles(list(curve.keyframe_points), slopes)
    curve.update()


def _lay_handles(points: list[bpy.types.Keyframe], slopes: Mapping[int, float]) -> None:
    """Lay handles on their slopes, a third of the run long: then runs are cubics in time."""
    spans = [after.co.x - before.co.x for before, after in pairwise(points)]
    for point, into, out in zip(points, [spans[0], *spans], [*spans, spans[-1]], strict=True):
        slope = slopes.get(round(point.co.x))
        if slope is not None:
            x, y = point.co
            point.handle_left_type = point.handle_right_type = "ALIGNED"
            point.handle_left = (x - into / 3.0, y - slope * into / 3.0)
            point.handle_right = (x + out / 3.0, y + slope * out / 3.0)
