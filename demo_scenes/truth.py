# SPDX-License-Identifier: GPL-3.0-or-later
"""The true list of faults: where the first pass of a scene differs from the polished one.

Nothing is taken on trust: frames and sizes are measured on the two passes as sampled, and
a difference that no planted fault explains is an error of the scene.
"""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from analysis import Clip, Settings
from analysis.basis import build_basis
from analysis.parts import limb_of, parents_of
from analysis.screen import has_camera, picture_of

from .matching import NEAR_FRAMES

Floats = NDArray[np.float64]

# Differences below this are rounding: in metres, and in per cent of the picture's height.
SAME_M, SAME_PERCENT = 2e-5, 1e-3
CAMERA = "camera"


def true_faults(
    first: Clip, polished: Clip, playing: tuple[int, int], planted: Sequence[Mapping[str, Any]]
) -> list[dict[str, Any]]:
    """Check, part, frames, size and a note for every planted fault.

    The size is in cm, or in per cent of the picture's height where the camera is at fault.

    first, polished   both passes over the same frames, the longer of the two playing ranges
    playing           the last frame that plays in the first and in the polished pass
    planted           what the scene says of its faults: check, part, frames, note; and `by`, the
                      part that was moved to plant it, where that is another one

    Raises ValueError where a part differs that no fault nearby explains, or where a fault changed
    nothing.
    """
    one, two = (build_basis(clip, Settings()) for clip in (first, polished))
    parts, frames = [body.title for body in one.bodies], first.frames
    world, own = _gap(one.marks, two.marks), _gap(one.own_marks, two.own_marks)
    seen = _picture_gap(first, polished)

    def told(fault: Mapping[str, Any]) -> dict[str, Any]:
        if fault["check"] == "double_frame":
            return _frames_too_many(fault, playing)
        if fault["part"] == CAMERA:
            return _measured(fault, frames, seen, same=SAME_PERCENT, size=("size_percent", 1.0))
        apart = world[:, parts.index(fault["part"])]
        return _measured(fault, frames, apart, same=SAME_M, size=("size_cm", 100.0))

    faults = [told(fault) for fault in planted]
    _refuse_unexplained(parts, own, frames, planted)
    _refuse_unexplained_camera(seen, frames, planted)
    return faults


def _gap(first: Floats, polished: Floats) -> Floats:
    """(T,B) metres by which a body's marks (T,B,M,3) differ at most.

    A fault's size is told in the world: a foot that slides on its IK hardly moves against its
    shin. What no fault explains is looked for in what moves against its parent.
    """
    return np.asarray(np.linalg.norm(first - polished, axis=-1).max(axis=-1))


def _picture_gap(first: Clip, polished: Clip) -> Floats:
    """(T,) how far apart the two cameras see the polished figure's joints at most, per cent of
    the picture's height; zero where neither pass has one."""
    missing = [
        kind for kind, clip in (("first", first), ("polished", polished)) if not has_camera(clip)
    ]
    if len(missing) == 1:
        raise ValueError(f"The {missing[0]} pass has no camera, the other one has.")
    if missing:
        return np.zeros(len(polished.frames))
    one, two = (picture_of(clip).seen(polished.positions)[0] for clip in (first, polished))
    return np.asarray(np.linalg.norm(one - two, axis=-1).max(axis=-1))


def _measured(
    fault: Mapping[str, Any], frames: Any, series: Floats, *, same: float, size: tuple[str, float]
) -> dict[str, Any]:
    """A fault as its series (T,) shows it; `size` is the name of the answer and its scale."""
    name, scale = size
    differs = np.flatnonzero(_near(frames, fault) & (series > same))
    if len(differs) == 0:
        raise ValueError(f"{fault['part']} does not differ at frames {fault['frames']}.")
    return {
        "check": fault["check"],
        "part": fault["part"],
        "frames": [int(frames[differs[0]]), int(frames[differs[-1]])],
        name: round(float(series[differs].max()) * scale, 2),
        "note": fault["note"],
    }


def _frames_too_many(fault: Mapping[str, Any], playing: tuple[int, int]) -> dict[str, Any]:
    if playing[0] <= playing[1]:
        raise ValueError(f"The first pass plays to {playing[0]}, the polished one to {playing[1]}.")
    return {
        "check": "double_frame",
        "part": None,
        "frames": [playing[1] + 1, playing[0]],
        "size_cm": 0.0,
        "note": fault["note"],
    }


def _near(frames: Any, fault: Mapping[str, Any]) -> NDArray[np.bool_]:
    first, last = fault["frames"]
    return np.asarray((frames >= first - NEAR_FRAMES) & (frames <= last + NEAR_FRAMES))


def _refuse_unexplained(
    parts: list[str], apart: Floats, frames: Any, planted: Sequence[Mapping[str, Any]]
) -> None:
    """Whatever differs must be explained by a planted fault nearby."""
    explained = np.zeros(apart.shape, dtype=bool)
    for fault in planted:
        by = (fault["part"], fault.get("by"))
        moved = [any(_moves(each, part) for each in by) for part in parts]
        explained |= np.outer(_near(frames, fault), moved)
    stray = (apart > SAME_M) & ~explained
    if stray.any():
        at, part = np.argwhere(stray)[0]
        raise ValueError(
            f"{parts[part]} differs at frame {frames[at]:g}, where nothing was planted on it."
        )


def _refuse_unexplained_camera(
    seen: Floats, frames: Any, planted: Sequence[Mapping[str, Any]]
) -> None:
    """Whatever the camera shows otherwise must be explained by a fault of it nearby."""
    stray = seen > SAME_PERCENT
    for fault in planted:
        if fault["part"] == CAMERA:
            stray &= ~_near(frames, fault)
    if stray.any():
        at = int(np.argmax(stray))
        raise ValueError(
            f"the camera differs at frame {frames[at]:g}, where nothing was planted on it."
        )


def _moves(fault: str | None, part: str) -> bool:
    """Whether a fault of one part may move another against its parent.

    Itself; the limb that it belongs to, as IK bends that; and the limbs that it carries, as
    hands and feet may be held where they are.
    """
    limb = limb_of(part)
    return fault is not None and (
        part == fault or fault in limb or bool(limb and fault in parents_of(part))
    )
