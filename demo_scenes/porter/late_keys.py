# SPDX-License-Identifier: GPL-3.0-or-later
"""Faults of timing: keys that are held and caught up late, that stop or start without ease.

Like all of `key_edits`, each changes a curve between two frames and nowhere else.
"""

from collections.abc import Collection, Mapping

import bpy

from .channels import channel
from .key_edits import find_curve, replace_keys, rework, slope_at

# control -> the words whose curves are edited
Words = Mapping[str, Collection[str]]
Poses = Mapping[str, Mapping[str, int]]


def hold_keys(rig: bpy.types.Object, words: Words, first: int, last: int, back: int) -> None:
    """Keep the pose of frame `first` up to `last`; on `back` it is where it would have been."""
    for curve in _curves(rig, words):
        value = curve.evaluate(first)
        replace_keys(curve, first, {last: value}, back)


def retime_keys(
    rig: bpy.types.Object,
    words: Words,
    since: int,
    due: Mapping[int, tuple[float, float]],
    back: int,
) -> None:
    """Go through poses sooner or later than they are due; on `back` it is where it would have been.

    due   frame -> the frame on which its pose is due, and how many such frames go by in a frame
    """
    for curve in _curves(rig, words):
        keys = {
            at: (curve.evaluate(frame), rate * slope_at(curve, frame))
            for at, (frame, rate) in due.items()
        }
        ends = [(frame, slope_at(curve, frame)) for frame in (since, back)]
        rework(curve, ends[0], keys, ends[1])


def stop_keys(rig: bpy.types.Object, poses: Poses, since: int, at: int) -> None:
    """Run from frame `since` without ease into a pose that is due later, and wait there for it.

    poses   control -> word -> the frame on which the curve is at that pose by right
    """
    for control, words in poses.items():
        for word, due in words.items():
            curve = find_curve(rig, channel(control, word))
            pose = {at: curve.evaluate(due)}
            replace_keys(curve, since, pose, due, straight_into=(at,), goes_on=True)


def start_keys(rig: bpy.types.Object, poses: Poses, since: int, at: int) -> None:
    """Keep the pose of frame `since` up to `at`, and leave it without ease for one that is due.

    poses   control -> word -> the frame on which the curve is at that pose
    """
    for control, words in poses.items():
        for word, due in words.items():
            curve = find_curve(rig, channel(control, word))
            pose = {at: curve.evaluate(since)}
            replace_keys(curve, since, pose, due, straight_out=(at,))


def straight_keys(rig: bpy.types.Object, words: Words, first: int, last: int) -> None:
    """Run straight and evenly from one pose to another: linear keys and nothing in between."""
    for curve in _curves(rig, words):
        replace_keys(curve, first, {}, last, straight_into=(last,), straight_out=(first,))


def _curves(rig: bpy.types.Object, words: Words) -> list[bpy.types.FCurve]:
    return [
        find_curve(rig, channel(control, word)) for control, each in words.items() for word in each
    ]
