# SPDX-License-Identifier: GPL-3.0-or-later
"""`pop`: does a point leave its own path for a frame or two, or go on elsewhere at once?"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..basis import SIDE, Basis
from ..departure import comes_back, find_step
from ..ends import Ends
from ..evidence import Evidence, OwnMotion, RawEvent, Suggestion
from ..leave_out import NEARBY, REACH, LeftOut
from ..loop import Cycle
from ..words import frame_text
from .contract import CheckInfo
from .pop_words import Told, told_in_words

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Residual over (floor + residual left), by frames left out.
RATIO_LIMITS = {1: 2.5, 2: 3.5, 3: 4.5}
# Of the height: what counts as still, and what is too small to be seen (1 cm at 1.7 m).
FLOOR_SHARE = 1e-3
SEEN_SHARE = 0.006
# A body takes the blame only when its motion against its parent pops this clearly as well.
OWN_SHARE = 0.6
# A step leaves residuals of half its size on either side: its own limit is twice theirs.
STEP_RESIDUAL = 2.0
# A shift moves all three marks alike: the joint tells it unless another shows clearly more.
PREFERRED = np.array([1.1, 1.05, 1.0])
# Among widths that explain an event almost equally well, the narrowest is meant.
NARROW_SHARE = 0.6

INFO = CheckInfo(
    name="pop",
    question="Does a point leave its own path for a frame or two, or go on elsewhere at once?",
    definition=(
        "One to three frames are left out and predicted by a fourth-degree polynomial through "
        "three or four frames on either side. The distance from that prediction is compared "
        "with the largest such distance that is left nearby once those frames are repaired. "
        "The frames must be off the path before them and off the path after them: then the "
        "point leaves and comes back. Where those two paths do not meet, the point goes on "
        "elsewhere (with twice the limit); a corner or a hard stop is neither. Each body is "
        "followed by its joint, its tip and a point to its side, so a turn shows as much as a "
        "shift. A leg is not judged within 2 frames of its foot's landing or leaving, and with "
        "twice the limit while the foot rolls over heel, ball or toe. The first and the last "
        "three frames are judged in loops only."
    ),
    unit="cm",
    limit=(
        "2.5 times (.1 % of the height + what is left) for one frame, 3.5 times for two, "
        "4.5 times for three; never under .6 % of the height (1 cm at 1.7 m)"
    ),
    source="leave-one-out residuals of local polynomials; limits from trials on captured motion",
    stages=("spline", "polish"),
    mend="Delete or move the stray key, or smooth the handles around it.",
    asked_of="points",
    spaces=("world", "camera"),
)


@dataclass(frozen=True)
class _Candidate:
    ratio: float
    width: int
    start: int
    mark: int


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """Pops of every body; evidence: each body's own motion where it pops."""
    ends = Ends(basis, cycle)
    shortest = 2 * REACH[1] + 3
    if ends.length < shortest:
        why = f"needs {shortest} frames or more, the range has {ends.length}"
        return Evidence("pop", skipped=why)
    floor = FLOOR_SHARE * basis.height.scene_m
    widths = [width for width in RATIO_LIMITS if ends.length >= 2 * REACH[width] + width + 2]
    world = {width: ends.leave_out("marks", width) for width in widths}
    seen = SEEN_SHARE * basis.height.scene_m
    limits = {
        width: basis.settings.factor("pop")
        * np.maximum(RATIO_LIMITS[width] * (floor + found.left), seen)
        * _widest(ends.lenience, width)[..., None]
        for width, found in world.items()
    }
    gaps = _near_gaps(basis)
    if not np.isfinite(limits[widths[0]]).any() or gaps.all():
        return Evidence("pop", skipped="no part is known long enough without a gap")
    events = [
        event
        for body in range(len(basis.bodies))
        for best in _candidates(world, limits, gaps[:, body], body)
        if (event := _event(basis, ends, world[best.width], limits[best.width], body, best))
    ]
    good = "" if events else _good(basis, ends)
    return Evidence("pop", tuple(events), _own(basis, ends, widths, floor), good=good)


def _good(basis: Basis, ends: Ends) -> str:
    first, last = (frame_text(basis.frames[at]) for at in ends.judged)
    known = "" if basis.valid.all() else ", as far as it is known"
    return f"No point leaves its path from frame {first} to {last}{known}."


def _widest(factors: Floats, width: int) -> Floats:
    """For blocks of `width` that start at each sample, the largest factor (T,B) they meet."""
    widest = factors.copy()
    for shift in range(1, width):
        widest[:-shift] = np.maximum(widest[:-shift], factors[shift:])
    return widest


def _near_gaps(basis: Basis) -> Bools:
    """(T,B) frames that are not judged: gaps, and all whose neighbours lie in one."""
    gap = ~basis.valid
    spread = gap.copy()
    for shift in range(1, max(REACH.values()) + NEARBY + 1):
        spread[shift:] |= gap[:-shift]
        spread[:-shift] |= gap[shift:]
    return spread


def _candidates(
    world: dict[int, LeftOut], limits: dict[int, Floats], gaps: Bools, body: int
) -> list[_Candidate]:
    """Non-overlapping events of one body, the clearest first."""
    found = []
    for width, left_out in world.items():
        ratio = left_out.size[:, body] / limits[width][:, body]
        mark = np.argmax(ratio * PREFERRED, axis=1)
        best = ratio[np.arange(len(ratio)), mark]
        for start in np.flatnonzero(best >= 1.0):
            if not gaps[start : start + width].any():
                found.append(_Candidate(float(best[start]), width, int(start), int(mark[start])))
    return _without_overlap(found)


def _without_overlap(found: list[_Candidate]) -> list[_Candidate]:
    kept: list[_Candidate] = []
    for best in sorted(found, key=lambda c: -c.ratio):
        if any(_overlap(best, other) for other in kept):
            continue
        same = [c for c in found if _overlap(best, c) and c.ratio >= NARROW_SHARE * best.ratio]
        kept.append(min(same, key=lambda c: (c.width, -c.ratio)))
    return sorted(kept, key=lambda c: c.start)


def _overlap(a: _Candidate, b: _Candidate) -> bool:
    """Events one frame apart are one event: repairing one takes most of the other away."""
    return a.start <= b.start + b.width and b.start <= a.start + a.width


def _event(
    basis: Basis, ends: Ends, left_out: LeftOut, limit: Floats, body: int, best: _Candidate
) -> RawEvent | None:
    """What happened there: a pop, a step, or None: a corner in the path is neither."""
    offsets = left_out.offset[best.start, :, body, best.mark]
    path, shift = ends.path(body, best.mark)
    least = float(limit[best.start, body, best.mark])
    if comes_back(path, best.start + shift, offsets):
        worst = int(np.argmax(np.linalg.norm(offsets, axis=-1)))
        first, last = best.start, best.start + best.width - 1
        peak, offset, home = first + worst, offsets[worst], ends.frame_after(last)
    else:
        least *= STEP_RESIDUAL
        step = find_step(path, best.start + shift, best.width, least)
        if step is None or not ends.may_step(step.after - shift):
            return None
        first, last = step.after - shift, step.after - shift + 1
        peak, offset, home = last, step.offset, None
    told = Told(
        first=first,
        last=last,
        peak=peak,
        offset=offset,
        moved=path[peak + shift] - path[max(peak + shift - 1, 0)],
        twist_deg=_twist_deg(basis, body, offset) if best.mark == SIDE else 0.0,
        home=home,
    )
    return _raw(basis, body, best.mark, told, least)


def _raw(basis: Basis, body: int, mark: int, told: Told, limit: float) -> RawEvent:
    size = float(np.linalg.norm(told.offset))
    says, text = told_in_words(basis, told)
    return RawEvent(
        check="pop",
        body=body,
        first=told.first,
        last=told.last,
        peak=told.peak,
        amount=basis.amount(size),
        limit=basis.amount(limit),
        unit=basis.unit,
        visible_m=size,
        step_m=_step(basis.marks[:, body, mark], told.peak),
        says=says,
        point=basis.mark_name(body, mark),
        suggestion=Suggestion(
            text,
            frame=float(basis.frames[told.peak]),
            position=basis.marks[told.peak, body, mark] - told.offset,
            offset=-told.offset,
        ),
    )


def _twist_deg(basis: Basis, body: int, offset: Floats) -> float:
    """The twist of a body that moves the point to its side by an offset."""
    chord = float(np.linalg.norm(offset)) / (2.0 * float(np.linalg.norm(basis.offsets[body, SIDE])))
    return float(np.degrees(2.0 * np.arcsin(min(chord, 1.0))))


def _step(path: Floats, peak: int) -> float:
    """Mean travel of a point per frame around a peak, the peak itself left out."""
    first, last = max(peak - 3, 0), min(peak + 3, len(path) - 1)
    steps = np.linalg.norm(np.diff(path[first : last + 1], axis=0), axis=-1)
    keep = np.ones(len(steps), dtype=bool)
    keep[max(peak - first - 1, 0) : peak - first + 1] = False
    return float(steps[keep].mean()) if keep.any() else float(steps.mean())


def _own(basis: Basis, ends: Ends, widths: list[int], floor: float) -> OwnMotion:
    """How far each body's motion against its parent pops, on every frame of the pop."""
    found = [np.zeros(basis.valid.shape) for _ in range(4)]
    for width in widths:
        marks = ends.leave_out("own_marks", width)
        limit = OWN_SHARE * RATIO_LIMITS[width] * basis.settings.factor("pop")
        clear = marks.size >= limit * (floor + marks.left)
        _spread(found[0], np.where(clear, marks.size, 0.0).max(axis=-1), width)
        _spread(found[1], marks.size.max(axis=-1), width)
        _spread(found[2], 2.0 * ends.leave_out("own_rotations", width).size, width)
        _spread(found[3], 2.0 * ends.leave_out("rotations", width).size, width)
    return OwnMotion(*found)


def _spread(total: Floats, starts: Floats, width: int) -> None:
    """Raise `total` (T,B) to what blocks of `width` samples have, wherever they reach."""
    for covered in range(width):
        stop = len(total) - covered
        total[covered:] = np.maximum(total[covered:], starts[:stop])
