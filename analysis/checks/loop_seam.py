# SPDX-License-Identifier: GPL-3.0-or-later
"""`loop_seam`: does position, velocity or acceleration break over the seam of a loop?"""

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..evidence import Evidence, RawEvent, Suggestion
from ..loop import Cycle
from ..seam import Seam, find_seam, fourth_differences
from ..words import frame_text, size_text
from .contract import CheckInfo

Floats = NDArray[np.float64]

RATIO_LIMIT = 1.82
# Of the height: what a still part may be off without being noticed.
FLOOR_SHARE = 1e-3
# A body takes the blame only when its motion against its parent breaks this clearly as well.
OWN_SHARE = 0.6
SHORTEST = 12

INFO = CheckInfo(
    name="loop_seam",
    question="Does position, velocity or acceleration break over the seam of a loop?",
    definition=(
        "The path is wrapped around, travel and turn taken out, and each sample is compared "
        "with its neighbours by the fourth difference, a third of it: for a plain jump, the size "
        "of the jump. The largest next to the seam is compared with the largest in the rest "
        "of the cycle. Frames that repeat the start are left out first."
    ),
    unit="cm",
    limit="1.82 times (.1 % of the height + the largest of the rest of the cycle)",
    source="fourth differences; the limit from trials on captured cycles",
    stages=("spline", "polish"),
    mend="Copy the first key to the frame after the last, and let the curves cycle through it.",
)


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """One event per body whose path breaks; evidence at the last sample of the loop."""
    if not cycle.plays:
        return Evidence("loop_seam", skipped="the range does not play as a cycle")
    length = len(basis.frames) - cycle.repeats
    if length < SHORTEST:
        return Evidence("loop_seam", skipped=f"needs a loop of {SHORTEST} frames, has {length}")
    seam = find_seam(basis, length, travels=cycle.travels)
    size, limit = _measure(basis, seam, seam.marks)
    ratio = size / limit
    events = tuple(
        _event(basis, seam, int(body), int(np.argmax(ratio[body])), size[body], limit[body])
        for body in np.flatnonzero((ratio >= 1.0).any(axis=1))
        if basis.bodies[body].judged and basis.valid[:, body].all()
    )
    own_m, own_turn = _own(basis, seam)
    good = "" if events else "The loop closes: no part breaks over the seam."
    return Evidence("loop_seam", events, own_m, own_turn, good=good)


def _measure(basis: Basis, seam: Seam, marks: Floats) -> tuple[Floats, Floats]:
    """(B,3) each: the jump that the path seems to make at the seam, and its limit."""
    distance = np.linalg.norm(fourth_differences(marks), axis=-1) / 3.0
    inside = distance[~seam.at_seam].max(axis=0)
    floor = FLOOR_SHARE * basis.height.scene_m
    limit = RATIO_LIMIT * basis.settings.limit_factor * (floor + inside)
    return distance[seam.at_seam].max(axis=0), limit


def _own(basis: Basis, seam: Seam) -> tuple[Floats, Floats]:
    """(T,B) at the loop's last sample: how far each body's motion against its parent breaks."""
    size, limit = _measure(basis, seam, seam.own_marks)
    breaks = (size >= OWN_SHARE * limit).any(axis=1)
    turns = 2.0 * np.linalg.norm(fourth_differences(seam.own_rotations), axis=-1) / 3.0
    own_m, own_turn = np.zeros(basis.valid.shape), np.zeros(basis.valid.shape)
    own_m[seam.length - 1] = np.where(breaks, size.max(axis=1), 0.0)
    own_turn[seam.length - 1] = np.where(breaks, turns[seam.at_seam].max(axis=0), 0.0)
    return own_m, own_turn


def _event(
    basis: Basis, seam: Seam, body: int, mark: int, sizes: Floats, limits: Floats
) -> RawEvent:
    to_story = basis.height.to_story
    size = float(sizes[mark])
    gap, speed = seam.jump(body, mark)
    steps = np.linalg.norm(np.diff(basis.marks[: seam.length, body, mark], axis=0), axis=-1)
    last, first = frame_text(basis.frames[seam.length - 1]), frame_text(basis.frames[0])
    says = (
        f"The loop jolts from frame {last} to frame {first}: the {{who}} "
        f"{_jolt_text(gap * to_story, speed * to_story)}."
    )
    return RawEvent(
        check="loop_seam",
        body=body,
        first=seam.length - 1,
        last=seam.length - 1,
        peak=seam.length - 1,
        amount=size * to_story * 100.0,
        limit=float(limits[mark]) * to_story * 100.0,
        unit="cm",
        visible_m=size,
        step_m=float(np.median(steps)),
        says=says,
        point=basis.mark_name(body, mark),
        suggestion=_suggest(basis, seam, body),
    )


def _jolt_text(gap: float, speed: float) -> str:
    """What is off at the seam; a gap too small to see is left out."""
    change = f"changes speed by {speed * 100.0:.0f} cm/s at once"
    if gap < 0.002:
        return change
    return f"lands {size_text(gap)} off its path and {change}"


def _suggest(basis: Basis, seam: Seam, body: int) -> Suggestion:
    """The pose that the frame after the last must have: the first pose, one loop on."""
    after = float(basis.frames[seam.length - 1] + basis.frames[1] - basis.frames[0])
    text = (
        f"Give frame {frame_text(after)}, just after the loop, the pose of frame "
        f"{frame_text(basis.frames[0])}, and let the curves run into it."
    )
    return Suggestion(text, frame=after, position=seam.carry(basis.positions[0, body]))
