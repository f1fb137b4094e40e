# SPDX-License-Identifier: GPL-3.0-or-later
"""`loop_seam`: does position, velocity or acceleration break over the seam of a loop?"""

import itertools

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..evidence import Evidence, OwnMotion, RawEvent, Suggestion
from ..loop import Cycle
from ..parts import LEG, split_part
from ..seam import Seam, find_seam, fourth_differences
from ..words import frame_text, size_text, speed_text
from .contract import CheckInfo

Floats = NDArray[np.float64]

RATIO_LIMIT = 1.82
# Of the height: what a still part may be off without being noticed.
FLOOR_SHARE = 1e-3
# A body takes the blame only when its motion against its parent breaks this clearly as well.
OWN_SHARE = 0.6
MOST_SPIKES, LONE_SHARE, SAMPLES_A_SPIKE = 3, 0.2, 16
# Of the height (2 mm at 1.7 m): a gap, or a change of travel in a frame, worth telling.
SEEN_SHARE = 0.002 / 1.7
SHORTEST = 12

INFO = CheckInfo(
    name="loop_seam",
    question="Does position, velocity or acceleration break over the seam of a loop?",
    definition=(
        "The path is wrapped around, travel and turn taken out, and each sample is compared "
        "with its neighbours by the fourth difference, a third of it: for a plain jump, the size "
        "of the jump, in the world and against the part that carries it. The largest next to "
        "the seam is compared with the largest in the rest of the cycle, lone spikes (pops) "
        "and frames that repeat the start left out. A leg is not judged where its foot lands or "
        "leaves within 2 frames of the seam, and with twice the limit where it rolls there."
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
        return Evidence("loop_seam", skipped=cycle.why_not)
    length = len(basis.frames) - cycle.repeats
    if length < SHORTEST:
        return Evidence("loop_seam", skipped=f"needs a loop of {SHORTEST} frames, has {length}")
    seam = find_seam(basis, length, travels=cycle.travels)
    lenience = basis.loop_lenience(length)
    at_seam = np.maximum(lenience[-1], lenience[0])[:, None]
    measured = [_measure(basis, seam, marks) for marks in (seam.marks, seam.own_marks)]
    seen = [(size, limit * at_seam) for size, limit in measured]
    events = tuple(
        event
        for body in np.flatnonzero([each.judged for each in basis.bodies])
        if basis.valid[:, body].all()
        for event in _events(basis, seam, int(body), seen)
    )
    own = _own(basis, seam, *measured[1])
    good = "" if events else _good(basis, seam)
    return Evidence("loop_seam", events, own, good=good)


def _good(basis: Basis, seam: Seam) -> str:
    way = float(np.linalg.norm(seam.shift)) * basis.height.to_story
    travel = f", its travel of {size_text(way)} a round taken out" if way else ""
    return f"The loop closes{travel}: no part breaks more over the seam than it does elsewhere."


def _measure(basis: Basis, seam: Seam, marks: Floats) -> tuple[Floats, Floats]:
    """(B,3) each: the jump that the path seems to make at the seam, and its limit."""
    distance = np.linalg.norm(fourth_differences(marks), axis=-1) / 3.0
    inside = distance[~seam.at_seam]
    usual = inside.max(axis=0)
    for body, each in enumerate(basis.bodies):
        if split_part(each.part or "")[0] not in LEG:
            usual[body] = [_without_pops(inside[:, body, mark]) for mark in range(3)]
    floor = FLOOR_SHARE * basis.height.scene_m
    limit = RATIO_LIMIT * basis.settings.factor("loop_seam") * (floor + usual)
    return distance[seam.at_seam].max(axis=0), limit


def _without_pops(inside: Floats) -> float:
    """The largest value of a cycle once up to three lone spikes are left out, one in 16 samples.

    A stray key inside the cycle must not excuse a broken seam. Spikes are lone when what
    remains is less than a fifth of them. (Not asked of legs: there landing feet are spikes.)
    """
    rest, peaks = inside.copy(), []
    for _spike in range(min(MOST_SPIKES, len(inside) // SAMPLES_A_SPIKE) + 1):
        at = int(np.argmax(rest))
        peaks.append(float(rest[at]))
        rest[max(at - 4, 0) : at + 5] = 0.0
    for spike, remains in itertools.pairwise(peaks):
        if remains < LONE_SHARE * spike:
            return remains
    return peaks[0]


def _events(
    basis: Basis, seam: Seam, body: int, seen: list[tuple[Floats, Floats]]
) -> list[RawEvent]:
    """A break as seen in the world, else against the parent; empty where there is none."""
    ratios = [float((size[body] / limit[body]).max()) for size, limit in seen]
    told = 0 if ratios[0] >= 1.0 else 1
    size, limit = seen[told]
    mark = int(np.argmax(size[body] / limit[body]))
    if size[body, mark] < limit[body, mark]:
        return []
    gap, speed = seam.jump((seam.marks, seam.own_marks)[told][:, body, mark])
    says = _sentence(basis, seam, gap, speed)
    return [_event(basis, seam, body, mark, (size[body, mark], limit[body, mark]), says)]


def _own(basis: Basis, seam: Seam, size: Floats, limit: Floats) -> OwnMotion:
    """At the loop's last sample: how far each body's motion against its parent breaks."""
    clear = (size >= OWN_SHARE * limit).any(axis=1)
    most = size.max(axis=1)
    rows = [
        np.where(clear, most, 0.0),
        most,
        _turn(seam, seam.own_rotations),
        _turn(seam, seam.rotations),
    ]
    # A mover that stands still does not travel with the loop; that is no break.
    judged = np.array([body.judged for body in basis.bodies])
    found = [np.zeros(basis.valid.shape) for _ in rows]
    for total, row in zip(found, rows, strict=True):
        total[seam.length - 1] = np.where(judged, row, 0.0)
    return OwnMotion(*found)


def _turn(seam: Seam, rotations: Floats) -> Floats:
    """(B,) the turn that each body seems to make at the seam, radians."""
    jumps = 2.0 * np.linalg.norm(fourth_differences(rotations), axis=-1) / 3.0
    return np.asarray(jumps[seam.at_seam].max(axis=0))


def _event(
    basis: Basis, seam: Seam, body: int, mark: int, measured: tuple[float, float], says: str
) -> RawEvent:
    size, limit = measured
    steps = np.linalg.norm(np.diff(basis.marks[: seam.length, body, mark], axis=0), axis=-1)
    return RawEvent(
        check="loop_seam",
        body=body,
        first=seam.length - 1,
        last=seam.length - 1,
        peak=seam.length - 1,
        amount=basis.amount(float(size)),
        limit=basis.amount(float(limit)),
        unit=basis.unit,
        visible_m=float(size),
        step_m=float(np.median(steps)),
        says=says,
        point=basis.mark_name(body, mark),
        suggestion=_suggest(basis, seam, body),
    )


def _sentence(basis: Basis, seam: Seam, gap: float, speed: float) -> str:
    """What is off at the seam; a gap too small to see is left out."""
    to_story = basis.height.to_story
    last, first = frame_text(basis.frames[seam.length - 1]), frame_text(basis.frames[0])
    changes = []
    if gap >= SEEN_SHARE * basis.height.scene_m:
        changes.append(f"lands {size_text(gap * to_story)} off its path")
    if speed * basis.dt_s >= SEEN_SHARE * basis.height.scene_m or not changes:
        changes.append(f"changes speed by {speed_text(speed * to_story)} at once")
    change = " and ".join(changes)
    return f"The loop jolts from frame {last} to frame {first}: the {{who}} {change}."


def _suggest(basis: Basis, seam: Seam, body: int) -> Suggestion:
    """The pose that the frame after the last must have: the first pose, one loop on."""
    after = float(basis.frames[seam.length - 1] + basis.frames[1] - basis.frames[0])
    text = (
        f"Give the {{who}} at frame {frame_text(after)}, just after the loop, its pose of frame "
        f"{frame_text(basis.frames[0])}, and let its curves run through both alike: a Cycles "
        "modifier, or the same slopes."
    )
    return Suggestion(text, frame=after, position=seam.carry(basis.positions[0, body]))
