# SPDX-License-Identifier: GPL-3.0-or-later
"""Edits of keys: each gives a new curve whose handles are as Blender would find them."""

from collections.abc import Collection
from dataclasses import replace
from typing import Any

from ..curves import Curve
from .cycling import handles_know_it
from .handles import Handles, set_handles
from .play import ON_KEY
from .smooth import smooth_handles
from .times import scale_of, to_action, to_scene

# Fields of a curve that hold one entry a key; those that an older clip lacks may be empty.
_EACH = (
    "frames",
    "action_frames",
    "values",
    "interpolation",
    "handle_left",
    "handle_right",
    "handle_types",
    "key_types",
    "easing",
    "back",
    "amplitude",
    "period",
)


def without_key(curve: Curve, n: int) -> Curve:
    """The curve without key n; raises ValueError for the only one."""
    if len(curve.values) < 2:
        raise ValueError(f"{curve.control} {curve.channel} has one key; expected two or more.")
    n %= len(curve.values)
    return recomputed(_kept(curve, [k for k in range(len(curve.values)) if k != n]))


def with_value(curve: Curve, n: int, value: float) -> Curve:
    """The curve with another value of key n; its handles move along."""
    return recomputed(_moved(curve, n, 0.0, value - curve.values[n]))


def with_frame(curve: Curve, n: int, frame: float) -> Curve:
    """The curve with key n on another scene frame, its handles moved along.

    It may pass other keys. A key that stands on that frame makes way.
    """
    time = float(to_action(curve, [frame])[0])
    n %= len(curve.values)
    moved = _moved(curve, n, time - curve.action_frames[n], 0.0)
    taken = [abs(each - time) <= ON_KEY for each in moved.action_frames]
    kept = [k for k in range(len(taken)) if k == n or not taken[k]]
    return recomputed(_kept(moved, sorted(kept, key=lambda k: moved.action_frames[k])))


def smoothed(curve: Curve, keys: Collection[int]) -> Curve:
    """The curve with auto-clamped handles of these keys, smooth into and out of them."""
    count = len(curve.values)
    chosen = {n % count for n in keys}
    bent = chosen | {n - 1 for n in chosen if n}
    return recomputed(
        replace(
            curve,
            handle_types=tuple(
                ("AUTO_CLAMPED", "AUTO_CLAMPED") if n in chosen else curve.handle_types[n]
                for n in range(count)
            ),
            interpolation=tuple(
                "BEZIER" if n in bent else curve.interpolation[n] for n in range(count)
            ),
        )
    )


def eased_to(curve: Curve, n: int) -> Curve:
    """The curve with a smooth way from key n - 1 to key n: auto-clamped handles of both.

    How it goes to the one and on from the other stays.
    """
    pair = (n - 1, n)
    kinds = (
        ("AUTO_CLAMPED", "AUTO_CLAMPED") if k in pair else each
        for k, each in enumerate(curve.handle_types)
    )
    bent = (*curve.interpolation[: n - 1], "BEZIER", *curve.interpolation[n:])
    return recomputed(replace(curve, handle_types=tuple(kinds), interpolation=bent))


def with_interpolation(curve: Curve, n: int, kind: str) -> Curve:
    """The curve with another interpolation from key n to the next: CONSTANT, LINEAR, BEZIER...

    Of a curve without any easing by name, what its keys say of easing is not known.
    """
    n %= len(curve.values)
    kinds = (*curve.interpolation[:n], kind, *curve.interpolation[n + 1 :])
    return recomputed(replace(curve, interpolation=kinds))


def recomputed(curve: Curve) -> Curve:
    """The same keys with handles as Blender finds them after an edit."""
    if len(curve.values) < 2:
        return curve
    keys = Handles(
        x=list(curve.action_frames),
        y=list(curve.values),
        left=[list(pair) for pair in curve.handle_left],
        right=[list(pair) for pair in curve.handle_right],
        kinds=list(curve.handle_types),
        settled=[False] * len(curve.values),
    )
    smooth = curve.auto_smoothing != "NONE"
    flat = curve.extrapolation != "LINEAR"
    around = set_handles(keys, smooth=smooth, flat_ends=flat, cyclic=handles_know_it(curve))
    if smooth:
        smooth_handles(keys, around=around)
    return replace(curve, handle_left=_pairs(keys.left), handle_right=_pairs(keys.right))


def _pairs(handles: list[list[float]]) -> tuple[tuple[float, float], ...]:
    return tuple((frame, value) for frame, value in handles)


def _kept(curve: Curve, keys: list[int]) -> Curve:
    """These keys, in this order."""
    changes: dict[str, Any] = {
        name: tuple(getattr(curve, name)[k] for k in keys) for name in _EACH if getattr(curve, name)
    }
    return replace(curve, time_scale=scale_of(curve), **changes)


def _moved(curve: Curve, n: int, frames: float, value: float) -> Curve:
    """Key n with its handles moved by frames of the action and by a value."""
    n %= len(curve.values)
    changes: dict[str, Any] = {}
    for name in ("handle_left", "handle_right"):
        pairs = list(getattr(curve, name))
        pairs[n] = (pairs[n][0] + frames, pairs[n][1] + value)
        changes[name] = tuple(pairs)
    for name, by in (("action_frames", frames), ("values", value)):
        numbers = list(getattr(curve, name))
        numbers[n] += by
        changes[name] = tuple(numbers)
    scene = tuple(to_scene(curve, changes["action_frames"]).tolist())
    return replace(curve, frames=scene, time_scale=scale_of(curve), **changes)
