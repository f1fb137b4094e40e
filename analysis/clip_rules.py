# SPDX-License-Identifier: GPL-3.0-or-later
"""The rules a clip must keep, each failure told in one sentence."""

from typing import TYPE_CHECKING, Any

import numpy as np

from .errors import ClipError
from .meta_rules import check_meta, check_names
from .plain_text import number_text

if TYPE_CHECKING:
    from .clip import Clip

# A quaternion further from unit length than this is a mistake, not rounding of float32.
UNIT_TOLERANCE = 1e-3
# Beyond this a metre is lost in rounding, or the unit is none.
FURTHEST_M = 1e7
SLOWEST_FPS, FASTEST_FPS = 0.01, 1e5


def check_arrays(clip: "Clip") -> None:
    """Raise ClipError unless every array of the clip has its shape and sane values."""
    if not SLOWEST_FPS <= clip.fps <= FASTEST_FPS:
        raise ClipError(
            f"fps is {number_text(clip.fps)}, expected frames a second from {SLOWEST_FPS} to "
            f"{number_text(FASTEST_FPS)}, such as 24: correct it."
        )
    _check_frames(clip.frames)
    check_names("joint", clip.joints)
    if not clip.joints:
        raise ClipError("the clip has no joints, expected one or more: sample a rig or an object.")
    _check_shapes(clip)
    _check_parents(clip)
    _check_numbers(clip)
    _check_unit(clip)
    check_meta(clip)


def _check_frames(frames: Any) -> None:
    if frames.ndim != 1 or len(frames) < 2:
        found = f"{len(frames)} frame" if frames.ndim == 1 else f"frames of shape {frames.shape}"
        raise ClipError(
            f"the clip has {found}{'s' if found.startswith('0') else ''}, expected two or more: "
            "motion needs a range, so choose a longer one."
        )
    if not np.isfinite(frames).all():
        raise ClipError("frames hold a value that is no number; expected frame numbers such as 1.")
    steps = np.diff(frames)
    if steps.min() <= 0.0 or np.ptp(steps) > 1e-4 * steps[0]:
        at = int(np.argmax(np.abs(steps - steps[0])))
        raise ClipError(
            f"frames go from {number_text(frames[at])} to {number_text(frames[at + 1])} after a "
            f"step of {number_text(steps[0])}, expected rising, evenly spaced frame numbers: "
            "sample every frame, mark gaps in valid."
        )


def _check_shapes(clip: "Clip") -> None:
    t, j, p, k = len(clip.frames), len(clip.joints), len(clip.points), len(clip.channels)
    c = len(clip.meta.controls)
    expected: dict[str, tuple[int | None, ...]] = {
        "parents": (j,),
        "positions": (t, j, 3),
        "rotations": (t, j, 4),
        "rest_positions": (j, 3),
        "rest_rotations": (j, 4),
        "lengths": (j,),
        "valid": (t, j),
        "point_joint": (p,),
        "point_offset": (p, 3),
        "camera_pose": (t, 4, 4),
        "camera_projection": (t, 4, 4),
        "camera_cut": (t,),
        "supports": (None, t, 4, 4),
        "ground_velocity": (t, 3),
        "channel_values": (t, k),
        "control_matrices": (t, c, 4, 4),
    }
    for name, shape in expected.items():
        value = getattr(clip, name)
        if value is not None and not _fits(value.shape, shape):
            wanted = "(" + ", ".join("any" if n is None else str(n) for n in shape) + ")"
            raise ClipError(
                f"{name} has shape {value.shape}, expected {wanted} for {t} frames and "
                f"{j} joints: save arrays that belong together."
            )
    if p and (clip.point_joint is None or clip.point_offset is None):
        raise ClipError(
            f"the clip names {p} points, expected point_joint and point_offset with them: add both."
        )


def _fits(shape: tuple[int, ...], expected: tuple[int | None, ...]) -> bool:
    pairs = zip(shape, expected, strict=False)
    return len(shape) == len(expected) and all(b is None or a == b for a, b in pairs)


def _check_parents(clip: "Clip") -> None:
    count = len(clip.joints)
    for name, index in (("parents", clip.parents), ("point_joint", clip.point_joint)):
        low = -1 if name == "parents" else 0
        if index is not None and len(index) and (index.min() < low or index.max() >= count):
            raise ClipError(
                f"{name} points at joint {int(index.min() if index.min() < low else index.max())}, "
                f"expected {low} to {count - 1}: correct the index."
            )
    parents = clip.parents.tolist()
    seen_from = [-1] * count  # the joint whose way to the root came by first
    for start in range(count):
        joint = start
        while joint >= 0 and seen_from[joint] < 0:
            seen_from[joint] = start
            joint = parents[joint]
        if joint >= 0 and seen_from[joint] == start:
            raise ClipError(
                f"the parents of joint {clip.joints[start]!r} run in a circle, expected a tree "
                "that ends in -1: correct parents."
            )


def _check_numbers(clip: "Clip") -> None:
    """Refuse NaN and infinity, except in positions and rotations where `valid` marks a gap."""
    if not clip.valid_mask.any():
        raise ClipError(
            "valid marks every sample as a gap, expected motion somewhere: sample the clip again."
        )
    for name in ("positions", "rotations"):
        bad = ~np.isfinite(getattr(clip, name)).all(axis=-1) & clip.valid_mask
        if bad.any():
            frame, joint = np.argwhere(bad)[0]
            raise ClipError(
                f"{name} hold no number at frame {number_text(clip.frames[frame])}, joint "
                f"{clip.joints[joint]!r}; expected numbers everywhere outside gaps: "
                "fill it, or mark the gap in valid."
            )
    for name in (
        "rest_positions",
        "rest_rotations",
        "lengths",
        "point_offset",
        "camera_pose",
        "camera_projection",
        "supports",
        "ground_velocity",
        "channel_values",
        "control_matrices",
    ):
        value = getattr(clip, name)
        if value is not None and not np.isfinite(value).all():
            raise ClipError(f"{name} holds a value that is no number: correct it.")
    furthest = np.abs(np.where(clip.valid_mask[..., None], clip.positions, 0.0)).max()
    if furthest > FURTHEST_M:
        raise ClipError(
            f"positions reach {number_text(furthest)} m from the origin, expected less than "
            f"{number_text(FURTHEST_M)} m: save them in metres."
        )


def _check_unit(clip: "Clip") -> None:
    for name in ("rotations", "rest_rotations"):
        value = getattr(clip, name)
        if value is None:
            continue
        length = np.linalg.norm(value, axis=-1)
        if name == "rotations":
            length = np.where(clip.valid_mask, length, 1.0)
        off = np.abs(length - 1.0) > UNIT_TOLERANCE
        if off.any():
            at = tuple(np.argwhere(off)[0])
            where = f"frame {number_text(clip.frames[at[0]])}, " if len(at) == 2 else ""
            raise ClipError(
                f"{name} hold a quaternion of length {length[at]:.4g} at {where}joint "
                f"{clip.joints[at[-1]]!r}, expected unit length 1: normalise the rotations."
            )
