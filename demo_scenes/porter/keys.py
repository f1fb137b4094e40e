# SPDX-License-Identifier: GPL-3.0-or-later
"""Writing keys on bones, the same way from Blender 4.2 to 5.2 (actions got slots in 4.4)."""

from collections.abc import Collection, Mapping, Sequence

import bpy

from ..captured.fcurves import ensure_fcurve
from .channels import Channel, channel
from .smooth import FREE, Ends, smooth_run

# Straight runs between two keys, as (first frame, last frame).
Runs = Sequence[tuple[int, int]]
# A key's value, or its value and its speed per second; metres or degrees.
ShotKey = float | tuple[float, float]
ShotTable = Mapping[str, Mapping[str, Mapping[int, ShotKey]]]


def ensure_curve(rig: bpy.types.Object, channel: Channel) -> bpy.types.FCurve:
    """The F-curve of a channel, in the group of its control; made where it is missing."""
    curve = ensure_fcurve(rig, channel.data_path, channel.index)
    data = rig.animation_data
    slot = getattr(data, "action_slot", None)
    holder = data.action.layers[0].strips[0].channelbag(slot) if slot else data.action
    groups = holder.groups
    curve.group = groups.get(channel.control) or groups.new(channel.control)
    return curve


def write_keys(
    curve: bpy.types.FCurve,
    keys: Mapping[int, float],
    *,
    extremes: Collection[int],
    straight: Runs = (),
    cycles: str = "REPEAT",
) -> None:
    """Key a curve that loops.

    keys       frame -> value in the channel's own unit; the last key repeats the first
    extremes   frames of the extreme poses; keys elsewhere are marked as breakdowns
    straight   runs whose handles are set by hand onto the line between their two keys
    cycles     how the curve goes on past its keys: REPEAT, or REPEAT_OFFSET where it travels
    """
    loop = curve.modifiers.new("CYCLES")
    loop.mode_before = loop.mode_after = cycles
    add_smooth_keys(curve, keys, extremes)
    _straighten(curve, straight)
    curve.update()


def key_shot(
    rig: bpy.types.Object,
    table: ShotTable,
    *,
    extremes: Collection[int],
    smooth: Runs = (),
    ends: Ends = FREE,
) -> None:
    """Key a table of poses that play once, control -> word -> frame -> key.

    extremes   frames of the extreme poses; keys elsewhere are marked as breakdowns
    smooth     runs, between two keys of the table, that go through their keys as smooth splines
    ends       how fast those runs leave and arrive

    Handles are set by hand where a key states its speed, else Blender sets them.
    """
    fps = bpy.context.scene.render.fps / bpy.context.scene.render.fps_base
    for control, words in table.items():
        for word, keys in words.items():
            target = channel(control, word)
            curve = ensure_curve(rig, target)
            values = {f: key[0] if isinstance(key, tuple) else key for f, key in keys.items()}
            scaled = {frame: target.scaled(value) for frame, value in values.items()}
            add_smooth_keys(curve, scaled, extremes)
            speeds = {f: key[1] for f, key in keys.items() if isinstance(key, tuple)}
            if speeds:
                set_slopes(curve, {f: target.scaled(speed) / fps for f, speed in speeds.items()})
            for first, last in smooth:
                smooth_run(curve, first, last, ends)


def add_smooth_keys(
    curve: bpy.types.FCurve, keys: Mapping[int, float], extremes: Collection[int]
) -> None:
    """Smooth keys whose handles Blender sets, flat where the curve turns."""
    curve.auto_smoothing = "CONT_ACCEL"
    points = curve.keyframe_points
    points.add(len(keys))
    for point, (frame, value) in zip(points, sorted(keys.items()), strict=True):
        point.co = (frame, value)
        point.interpolation = "BEZIER"
        point.handle_left_type = point.handle_right_type = "AUTO_CLAMPED"
        point.type = "EXTREME" if frame in extremes else "BREAKDOWN"
    curve.update()  # reallocates the keys


def _straighten(curve: bpy.types.FCurve, runs: Runs) -> None:
    """Lay the handles at both ends of each run on its line; the far sides follow the slope."""
    points = {round(point.co.x): point for point in curve.keyframe_points}
    ends = (min(points), max(points))
    for first, last in runs:
        slope = (points[last].co.y - points[first].co.y) / (last - first)
        for frame in (first, last):
            into, out = _span(points, frame, -1), _span(points, frame, 1)
            # The loop's first and last key are one key: both get the handles.
            for same in ends if frame in ends else (frame,):
                _align(points[same], slope, into=into, out=out)


def set_slopes(curve: bpy.types.FCurve, slopes: Mapping[int, float]) -> None:
    """Lay the handles of keys on slopes given per frame, a third of each run long.

    Between two keys whose slopes gravity gives, the run is exactly a flight's parabola. The
    loop's first and last key are one key and are given the same slope.
    """
    points = {round(point.co.x): point for point in curve.keyframe_points}
    for frame, slope in slopes.items():
        into, out = _span(points, frame, -1), _span(points, frame, 1)
        _align(points[frame], slope, into=into, out=out)
    curve.update()


def hit_keys(curve: bpy.types.FCurve, frames: Collection[int]) -> None:
    """Let the curve run straight into its keys on these frames: it hits and does not ease in."""
    for point in curve.keyframe_points:
        if round(point.co.x) in frames:
            point.handle_left_type = "VECTOR"
    curve.update()


def _span(points: Mapping[int, bpy.types.Keyframe], frame: int, step: int) -> float:
    """Frames to the neighbouring key; past the ends the loop comes round to the other end."""
    frames = sorted(points)
    at = frames.index(frame) + step
    if at < 0:
        return frames[-1] - frames[-2]
    if at == len(frames):
        return frames[1] - frames[0]
    return abs(frames[at] - frame)


def _align(point: bpy.types.Keyframe, slope: float, *, into: float, out: float) -> None:
    point.handle_left_type = point.handle_right_type = "ALIGNED"
    x, y = point.co
    point.handle_left = (x - into / 3.0, y - slope * into / 3.0)
    point.handle_right = (x + out / 3.0, y + slope * out / 3.0)
