# SPDX-License-Identifier: GPL-3.0-or-later
"""Channels that are keyed together: a control's location, its rotation, or a channel alone."""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ..channel_turns import plays
from ..clip import Clip
from ..curves import Curve
from ..keys import values_at, weights_at

Floats = NDArray[np.float64]

# Channels of these properties are one group; any other channel is a group of its own.
TRANSFORMS = ("location", "rotation_quaternion", "rotation_euler", "rotation_axis_angle", "scale")
# From such keys a curve goes straight on, or not at all: no smooth way.
CORNERS = {"LINEAR", "CONSTANT"}
# Keys that lie nearer than this (frames) are one pose.
SAME_FRAME = 0.01


@dataclass(frozen=True, eq=False)
class Group:
    """The curves of one group of a control in one action or strip.

    name      `location`, `rotation_euler`, ... or the channel itself
    columns   which of the clip's channels they are, in the curves' order
    drives    joints of the clip that the control can move
    """

    control: str
    name: str
    curves: tuple[Curve, ...]
    columns: tuple[int, ...]

    @property
    def drives(self) -> tuple[str, ...]:
        """Joints of the clip that the control can move."""
        return self.curves[0].drives

    @property
    def action(self) -> str:
        """The action that holds the keys."""
        return self.curves[0].action

    @property
    def strip(self) -> str | None:
        """The strip that plays it, or None."""
        return self.curves[0].strip

    @property
    def is_transform(self) -> bool:
        """Whether it moves or turns the control itself."""
        return self.name in TRANSFORMS

    @cached_property
    def frames(self) -> tuple[float, ...]:
        """Scene frames on which any of the curves has a key, rising."""
        found: list[float] = []
        for frame in sorted(frame for curve in self.curves for frame in curve.frames):
            if not found or frame - found[-1] > SAME_FRAME:
                found.append(frame)
        return tuple(found)

    @cached_property
    def times(self) -> Floats:
        """(K,) `frames` as an array."""
        return np.array(self.frames, dtype=np.float64)

    def key_at(self, curve: Curve, frame: float) -> int | None:
        """The index of a curve's key on a scene frame, or None."""
        at = int(np.argmin(np.abs(curve.times - frame)))
        return at if abs(curve.frames[at] - frame) <= SAME_FRAME else None

    def kinds_at(self, frame: float) -> set[str]:
        """How the curves go on from their keys on a scene frame: LINEAR, BEZIER, ..."""
        return {
            curve.interpolation[n]
            for curve in self.curves
            if (n := self.key_at(curve, frame)) is not None
        }

    def with_curves(self, curves: tuple[Curve, ...]) -> "Group":
        """The same group with other keys."""
        return replace(self, curves=curves)

    def change(self, other: "Group", frames: Floats) -> Floats:
        """(N,K) what its channels gain on scene frames where `other`'s keys play instead."""
        pairs = zip(self.curves, other.curves, strict=True)
        columns = [
            np.zeros(len(frames))
            if new is old
            else weights_at(old, frames) * (values_at(new, frames) - values_at(old, frames))
            for old, new in pairs
        ]
        return np.stack(columns, axis=-1)

    def arrives(self, frames: Floats) -> Floats:
        """(N,K) how much of a change in each curve's value its channel gains on scene frames."""
        return np.stack([weights_at(curve, frames) for curve in self.curves], axis=-1)

    def span(self, frame: float) -> tuple[float, float]:
        """Frames of the keys two before and two after a frame, or the outermost ones.

        A key's automatic handles shape the segments on both sides, and the neighbours' handles
        those beyond.
        """
        frames = self.times
        before = frames[frames < frame - SAME_FRAME]
        after = frames[frames > frame + SAME_FRAME]
        first = before[max(len(before) - 2, 0)] if len(before) else frame
        last = after[min(1, len(after) - 1)] if len(after) else frame
        return float(first), float(last)


def field_factor(channel: str) -> float:
    """By what a channel's values are multiplied where Blender's fields show them: degrees."""
    return float(np.degrees(1.0)) if channel.startswith("rotation_euler") else 1.0


def groups_of(clip: Clip) -> tuple[Group, ...]:
    """All groups whose channels the clip carries, in the order of its curves."""
    column = {name: n for n, name in enumerate(clip.channels)}
    found: dict[tuple[str, str, str, str | None], list[Curve]] = {}
    for curve in clip.meta.curves:
        if curve.frames and plays(curve) and f"{curve.control}|{curve.channel}" in column:
            prop = curve.channel.rpartition(".")[0]
            name = prop if prop in TRANSFORMS else curve.channel
            key = (curve.control, name, curve.action, curve.strip)
            found.setdefault(key, []).append(curve)
    return tuple(
        Group(
            control=control,
            name=name,
            curves=tuple(curves),
            columns=tuple(column[f"{control}|{curve.channel}"] for curve in curves),
        )
        for (control, name, _action, _strip), curves in found.items()
    )
