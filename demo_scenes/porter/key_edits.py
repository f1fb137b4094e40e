# SPDX-License-Identifier: GPL-3.0-or-later
"""Editing keys that are there, so that a curve changes on the wanted frames and nowhere else."""

from collections.abc import Collection, Mapping
from itertools import pairwise
from math import inf

import bpy
from mathutils import Vector

from ..captured.fcurves import bone_path, find_fcurve, object_fcurves
from .channels import Channel, channel


def curves_of(rig: bpy.types.Object, control: str) -> list[bpy.types.FCurve]:
    """The F-curves of one control."""
    start = bone_path(control, "")
    return [curve for curve in object_fcurves(rig) if curve.data_path.startswith(start)]


def find_curve(rig: bpy.types.Object, channel: Channel) -> bpy.types.FCurve:
    """The F-curve of a channel; raises KeyError where it is not keyed."""
    curve = find_fcurve(rig, channel.data_path, channel.index)
    if curve is None:
        raise KeyError(f"{channel.data_path}[{channel.index}] is not keyed.")
    return curve


def freeze(curve: bpy.types.FCurve, up_to: float = inf) -> None:
    """Keep the handles of the keys up to a frame as they are now, whatever happens later."""
    points = [point for point in curve.keyframe_points if point.co.x <= up_to]
    handles = [(point.handle_left.copy(), point.handle_right.copy()) for point in points]
    for point, (left, right) in zip(points, handles, strict=True):
        _set_handles(point, left, right)


def _set_handles(point: bpy.types.Keyframe, left: Vector, right: Vector) -> None:
    point.handle_left_type = point.handle_right_type = "FREE"
    point.handle_left, point.handle_right = left, right


def drop_cycles(curve: bpy.types.FCurve) -> None:
    """Take the Cycles modifiers off a curve."""
    for modifier in [each for each in curve.modifiers if each.type == "CYCLES"]:
        curve.modifiers.remove(modifier)
    curve.update()


def move_last_key(curve: bpy.types.FCurve, by: float, slope: float) -> None:
    """Move the last key up or down and let the curve run into it at a slope per frame."""
    before, last = list(curve.keyframe_points)[-2:]
    last.co.y += by
    third = (last.co.x - before.co.x) / 3.0
    last.handle_left_type = "FREE"
    last.handle_left = (last.co.x - third, last.co.y - slope * third)
    curve.update()


def move_key(curve: bpy.types.FCurve, frame: int, by: float) -> None:
    """Move one key up or down with its handles; no other key and no other handle changes."""
    freeze(curve)
    point = next(each for each in curve.keyframe_points if round(each.co.x) == frame)
    for place in (point.co, point.handle_left, point.handle_right):
        place.y += by
    curve.update()


def stray_key(curve: bpy.types.FCurve, frame: int, off: float) -> None:
    """Put a key that is off on one frame, held apart by linear keys on the frames beside it.

    On every other frame the curve keeps its value: the runs around are cut as a curve editor
    cuts them, handles and all.
    """
    freeze(curve)
    for at in (frame - 1, frame + 1, frame):
        _cut(curve, at)
    points = {round(point.co.x): point for point in curve.keyframe_points}
    points[frame].co.y += off
    points[frame].type = "KEYFRAME"
    for at in (frame - 1, frame):
        points[at].interpolation = "LINEAR"
    curve.update()


def stray_keys(rig: bpy.types.Object, frame: int, table: Mapping[str, Mapping[str, float]]) -> None:
    """Put stray keys on one frame; table: control -> word -> metres or degrees that it is off."""
    for control, words in table.items():
        for word, off in words.items():
            target = channel(control, word)
            stray_key(find_curve(rig, target), frame, target.scaled(off))


def shift_keys(curve: bpy.types.FCurve, since: int, by: Mapping[int, float]) -> None:
    """Move keys that follow the key on frame `since`, which stays; by: frame -> amount.

    The keys' own handles move along. The run that leaves `since` is sheared onto the first moved
    key, so that a straight run stays straight; nothing else changes.
    """
    freeze(curve)
    points = {round(point.co.x): point for point in curve.keyframe_points}
    frames = sorted(by)
    start, first = points[since], points[frames[0]]
    slope = by[frames[0]] / (first.co.x - start.co.x)
    for frame in frames:
        point, off = points[frame], Vector((0.0, by[frame]))
        left, right = point.handle_left + off, point.handle_right + off
        point.co.y += by[frame]
        _set_handles(point, left, right)
    start.handle_right += Vector((0.0, slope * (start.handle_right.x - start.co.x)))
    first.handle_left += Vector((0.0, slope * (first.handle_left.x - first.co.x)))
    curve.update()


def rework(
    curve: bpy.types.FCurve,
    leaves: tuple[int, float],
    keys: dict[int, tuple[float, float]],
    arrives: tuple[int, float],
) -> None:
    """Put other keys, frame -> (value, slope per frame), between two frames.

    leaves, arrives   the two frames, which keep their values, and the slopes per frame at which
                      the new run begins and ends

    Outside the two frames the curve stays as it is.
    """
    placed = _between(curve, leaves[0], {f: value for f, (value, _) in keys.items()}, arrives[0])
    slopes = {leaves[0]: leaves[1], **{f: slope for f, (_, slope) in keys.items()}}
    for before, after in pairwise([*slopes, arrives[0]]):
        slope = arrives[1] if after == arrives[0] else slopes[after]
        _run(placed[before], slopes[before], placed[after], slope)
    curve.update()


def replace_keys(
    curve: bpy.types.FCurve,
    first: int,
    keys: Mapping[int, float],
    last: int,
    *,
    straight_into: Collection[int] = (),
    straight_out: Collection[int] = (),
    goes_on: bool = False,
) -> None:
    """Put other keys, frame -> value, between two frames, which keep their values.

    straight_into, straight_out   frames whose keys are arrived at or left straight; at the others
                                  the curve comes to rest
    goes_on                       the curve leaves the first frame as fast as it arrives there

    Outside the two frames the curve stays as it is.
    """
    going = slope_at(curve, first) if goes_on else 0.0
    placed = _between(curve, first, keys, last)
    for before, after in pairwise([first, *keys, last]):
        one, two = placed[before], placed[after]
        even = (two.co.y - one.co.y) / (two.co.x - one.co.x)
        leaves = even if before in straight_out else going if before == first else 0.0
        _run(one, leaves, two, even if after in straight_into else 0.0)
        if before in straight_out and after in straight_into:
            one.interpolation = "LINEAR"
    curve.update()


def slope_at(curve: bpy.types.FCurve, frame: float) -> float:
    """How fast a curve runs at a frame, per frame."""
    return (curve.evaluate(frame + 0.01) - curve.evaluate(frame - 0.01)) / 0.02


def _between(
    curve: bpy.types.FCurve, first: int, keys: Mapping[int, float], last: int
) -> dict[int, bpy.types.Keyframe]:
    """The curve's keys by frame, those between two frames replaced; all handles frozen."""
    freeze(curve)
    for end in (first, last):
        _cut(curve, end)
    points = curve.keyframe_points
    for point in [each for each in points if first < each.co.x < last][::-1]:
        points.remove(point, fast=True)
    for frame, value in keys.items():
        made = points.insert(frame, value, options={"FAST"})  # reallocates
        made.interpolation, made.type = "BEZIER", "BREAKDOWN"
    return {round(point.co.x): point for point in points}


def _run(one: bpy.types.Keyframe, leaves: float, two: bpy.types.Keyframe, arrives: float) -> None:
    """Lay the handles between two neighbouring keys: a cubic in time with these slopes."""
    third = (two.co.x - one.co.x) / 3.0
    for point in (one, two):
        point.handle_left_type = point.handle_right_type = "FREE"
    one.handle_right = (one.co.x + third, one.co.y + leaves * third)
    two.handle_left = (two.co.x - third, two.co.y - arrives * third)


def _cut(curve: bpy.types.FCurve, frame: int) -> None:
    """Add a key on a curve whose handles are frozen, without changing its shape."""
    points = list(curve.keyframe_points)
    if any(round(point.co.x) == frame for point in points):
        return
    after = next(i for i, point in enumerate(points) if point.co.x > frame)
    a, b = points[after - 1], points[after]
    outer = a.handle_left.copy(), b.handle_right.copy()
    left, (into, middle, out), right = _split(
        [a.co.copy(), a.handle_right.copy(), b.handle_left.copy(), b.co.copy()], frame
    )
    curve.keyframe_points.insert(frame, middle.y, options={"FAST"})  # reallocates, moves handles
    a, made, b = list(curve.keyframe_points)[after - 1 : after + 2]
    _set_handles(a, outer[0], left)
    _set_handles(made, into, out)
    _set_handles(b, right, outer[1])
    made.interpolation, made.type = "BEZIER", "BREAKDOWN"


def _split(
    corners: list[Vector], frame: float
) -> tuple[Vector, tuple[Vector, Vector, Vector], Vector]:
    """Cut a Bezier run at a frame: the new handle of its start, the new key, that of its end."""
    low, high = 0.0, 1.0
    for _ in range(60):
        share = 0.5 * (low + high)
        middle = _halve(corners, share)[1][1]
        low, high = (share, high) if middle.x < frame else (low, share)
    return _halve(corners, share)


def _halve(
    corners: list[Vector], share: float
) -> tuple[Vector, tuple[Vector, Vector, Vector], Vector]:
    """De Casteljau's construction."""
    first = [one.lerp(two, share) for one, two in pairwise(corners)]
    second = [one.lerp(two, share) for one, two in pairwise(first)]
    return first[0], (second[0], second[0].lerp(second[1], share), second[1]), first[2]
