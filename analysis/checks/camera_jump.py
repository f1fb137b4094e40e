# SPDX-License-Identifier: GPL-3.0-or-later
"""`camera_jump`: does the camera itself pop?"""

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..camera_path import CAUSES, PictureSteps, figure_place, picture_steps, screen_travel
from ..camera_rides import rides_along
from ..evidence import Evidence, RawEvent, Suggestion
from ..leave_out import REACH, leave_out
from ..loop import Cycle
from ..parts import TRUNK, split_part
from ..picture import Picture
from ..picture_jumps import Jump, find_jumps, path_of
from ..screen import ScreenBasis, has_camera, picture_of
from ..step_out import step_out
from ..words import count_text, frame_text
from .camera_jump_words import CUT, Told, told_in_words
from .contract import CheckInfo

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# What jumps by this share of the whole, or more, is named as a cause.
CAUSE_SHARE = 0.35
# So many steps as large as cuts, the picture still on both sides, are a stepped camera.
STEPPED = 3
# A picture that runs less than this in a frame stands still, per cent of its height.
STANDS = 0.05
SHORTEST = 2 * REACH[1] + 3

INFO = CheckInfo(
    name="camera_jump",
    question="Does the camera itself pop?",
    definition=(
        "Five points spread over the picture, fixed in the world at the figure's distance, are "
        "seen by the cameras of neighbouring frames. One to three frames of their paths are left "
        "out and predicted as in `pop`: what leaves its path and comes back is a jump. Between "
        "two frames a step is fitted together with a cubic: what goes on elsewhere is one too. "
        "Position, turn and lens all count, and the one that does it is named. The paths are "
        "broken where a camera marker cuts. A jump must stand out from the shake of the rest of "
        "the shot. Where the camera goes along with the trunk (which keeps its way over the "
        "picture, and would jump for a camera that stands) the jump is the body's. Three or more "
        "steps as large as cuts between still pictures are taken for a stepped camera. A declared "
        "event of the part `camera` is not judged."
    ),
    unit="%",
    limit=".7 % of the picture's height, and more than the shot shakes by itself",
    limit_in_full=(
        "3 times (.05 % of the picture's height + what is left) for one frame, 4.5 for two, 6 for "
        "three and for a step; 3.5 times what three quarters of the shot, and of the 8 frames "
        "before and after, keep to; never under .7 % of the picture's height"
    ),
    source="leave-one-out residuals of local polynomials; the picture as OpenGL projects it",
    stages=("blocking", "spline", "polish"),
    asked_of="shot",
    spaces=("world", "camera"),
    mend="Delete or move the stray key of the camera; bind a camera to a marker for each cut.",
)


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """Jumps of the camera, on no body; measures: how much screen travel is the camera's."""
    clip = basis.clip
    if not has_camera(clip):
        return Evidence("camera_jump", skipped="the shot has no camera")
    picture = picture_of(clip)
    cuts = np.zeros(len(clip.frames), dtype=bool) if clip.camera_cut is None else clip.camera_cut
    figure = figure_place(clip)
    measures = _measures(picture, figure, cuts)
    stretches = [each for each in _stretches(cuts) if each.stop - each.start >= SHORTEST]
    if not stretches:
        why = f"needs {SHORTEST} frames or more between cuts"
        return Evidence("camera_jump", skipped=why, measures=measures)
    steps = picture_steps(picture, figure)
    jumps = _jumps(basis, picture, steps, stretches)
    if _is_stepped(steps, jumps):
        return Evidence("camera_jump", habit=_stepped_says(basis, jumps), measures=measures)
    events = tuple(_event(basis, steps, stretch, jump) for stretch, jump in jumps)
    good = "" if events else _good(basis, steps, cuts)
    return Evidence("camera_jump", events, good=good, measures=measures)


def _measures(picture: Picture, figure: Floats, cuts: Bools) -> dict[str, float]:
    whole, cameras, own = screen_travel(picture, figure, cuts)
    both = cameras + own
    return {
        "screen_travel_percent": whole,
        "screen_travel_by_camera_percent": cameras,
        "camera_share_of_screen_travel": cameras / both if both > 0.0 else 0.0,
    }


def _stretches(cuts: Bools) -> list[slice]:
    """The samples from each cut to the next."""
    starts = [0, *(np.flatnonzero(cuts[1:]) + 1).tolist(), len(cuts)]
    return [slice(a, b) for a, b in pairwise(starts)]


def _jumps(
    basis: Basis, picture: Picture, steps: PictureSteps, stretches: list[slice]
) -> list[tuple[slice, Jump]]:
    """All jumps with the stretch that they lie in, but what is declared or a body's."""
    factor = basis.settings.factor("camera_jump")
    found = [
        (stretch, jump)
        for stretch in stretches
        for jump in find_jumps(steps.whole[stretch.start : stretch.stop - 1], factor)
    ]
    trunk = _trunk(basis)
    return [
        (stretch, jump)
        for stretch, jump in found
        if not _is_declared(basis, stretch, jump) and not rides_along(picture, trunk, stretch, jump)
    ]


def _trunk(basis: Basis) -> Floats:
    """(T,B,3) the joints that a camera may go along with: a swinging limb may pass for one."""
    world = basis.world if isinstance(basis, ScreenBasis) else basis
    kinds = [None if body.part is None else split_part(body.part)[0] for body in world.bodies]
    trunk = [n for n, kind in enumerate(kinds) if kind in (None, *TRUNK)]
    return world.positions[:, trunk or range(len(kinds))]


def _is_declared(basis: Basis, stretch: slice, jump: Jump) -> bool:
    """Whether the clip declares an event of the camera there: a hit that shakes it."""
    start, stop = (basis.frames[stretch.start + at] for at in (jump.first, jump.last))
    return any(
        event.part == "camera" and event.frames[0] <= stop and event.frames[1] >= start
        for event in basis.clip.meta.events
    )


def _is_stepped(steps: PictureSteps, jumps: list[tuple[slice, Jump]]) -> bool:
    """Whether the camera stands, jumps as far as a cut, and stands again, all along."""
    runs = np.linalg.norm(steps.whole, axis=-1).max(axis=-1)
    beside = [
        runs[[stretch.start + jump.first - 1, stretch.start + jump.last]].max()
        for stretch, jump in jumps
        if jump.stays and jump.size >= CUT
    ]
    return len(beside) == len(jumps) >= STEPPED and max(beside) < STANDS


def _stepped_says(basis: Basis, jumps: list[tuple[slice, Jump]]) -> str:
    places = [frame_text(basis.frames[stretch.start + jump.last]) for stretch, jump in jumps]
    return (
        f"The camera is stepped: it stands and jumps {count_text(len(places), 'time')} "
        f"(frames {', '.join(places)}). If these are cuts, bind a camera to a marker for each."
    )


def _good(basis: Basis, steps: PictureSteps, cuts: Bools) -> str:
    first, last = (frame_text(basis.frames[at]) for at in (0, -1))
    if cuts[1:].any():
        return f"The camera does not jump between its cuts from frame {first} to {last}."
    if np.linalg.norm(steps.whole, axis=-1).max() < STANDS:
        return f"The camera stands still from frame {first} to {last}."
    return f"The camera does not jump from frame {first} to {last}."


def _event(basis: Basis, steps: PictureSteps, stretch: slice, jump: Jump) -> RawEvent:
    height = basis.height.scene_m
    causes = _causes(steps, stretch, jump)
    at = stretch.start + jump.peak
    told = Told(
        first=stretch.start + jump.first,
        last=stretch.start + jump.last,
        offsets=jump.offsets,
        spots=steps.spots[at],
        causes=causes,
        stays=jump.stays,
    )
    says, advice = told_in_words(basis, told)
    return RawEvent(
        check="camera_jump",
        body=None,
        part="camera",
        first=told.first,
        last=told.last,
        peak=at,
        amount=jump.size,
        limit=jump.limit,
        unit="%",
        visible_m=jump.size / 100.0 * height,
        step_m=_travel(steps, stretch, jump) / 100.0 * height,
        says=says,
        suggestion=Suggestion(advice, float(basis.frames[at])),
    )


def _causes(steps: PictureSteps, stretch: slice, jump: Jump) -> tuple[str, ...]:
    """What does it: each of position, turn and lens that jumps about as far by itself.

    Two that work against each other (a turn that keeps the figure in the middle) both do.
    """
    sizes = {}
    for cause in CAUSES:
        path = path_of(steps.parts[cause][stretch.start : stretch.stop - 1])
        if jump.stays:
            off = step_out(path)[0][jump.last]
        else:
            width = jump.last - jump.first + 1
            off = leave_out(path, width).offset[jump.first, jump.peak - jump.first]
        sizes[cause] = float(np.linalg.norm(off, axis=-1).max())
    named = tuple(cause for cause in CAUSES if sizes[cause] >= CAUSE_SHARE * jump.size)
    return named or (max(sizes, key=lambda cause: sizes[cause]),)


def _travel(steps: PictureSteps, stretch: slice, jump: Jump) -> float:
    """How far the picture runs in a frame around a jump, the jump itself left out."""
    runs = np.linalg.norm(steps.whole[stretch.start : stretch.stop - 1], axis=-1).max(axis=-1)
    first = jump.last - 1 if jump.stays else jump.first - 1
    before, after = runs[max(first - 3, 0) : first], runs[jump.last + (not jump.stays) :][:3]
    return float(np.concatenate((before, after)).mean())
