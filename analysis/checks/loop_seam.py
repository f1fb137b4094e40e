# SPDX-License-Identifier: GPL-3.0-or-later
"""`loop_seam`: does position, velocity or acceleration break over the seam of a loop?"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..evidence import Evidence, OwnMotion, RawEvent
from ..loop import Cycle
from ..missing import lacks_a_frame
from ..parts import LEG, split_part
from ..seam import Seam, StepOver, find_seam, fourth_differences, judged_bodies
from ..seam_breaks import path_breaks, whole_break
from .contract import CheckInfo
from .loop_seam_words import good_sentence, lack_in_words, sentence, suggest

Floats = NDArray[np.float64]

# How much further a path must break at the seam than anywhere else. Legs land and roll.
RATIO_LIMIT, LEG_RATIO_LIMIT = 1.65, 2.4
# The same for all bodies together.
WHOLE_RATIO_LIMIT = 1.25
# Few frames tell little of what is usual: limits are larger by this many in those that tell.
FEW_FRAMES = 2.0
# Of the height: a break of one part that nobody would notice (1 mm at 1.7 m). What is a little
# off in every part shows all the same.
LEAST_SHARE = 0.001 / 1.7
# A body takes the blame only when its motion against its parent breaks this clearly as well.
OWN_SHARE = 0.6
SHORTEST = 12
# Fewer bodies than this are no figure whose parts are judged together.
FEWEST_BODIES = 4

INFO = CheckInfo(
    name="loop_seam",
    question="Does position, velocity or acceleration break over the seam of a loop?",
    definition=(
        "The path is wrapped around, travel and turn taken out, and each sample is compared "
        "with its neighbours by the fourth difference, a third of it: for a plain jump, the size "
        "of the jump, in the world and against the part that carries it. The largest next to "
        "the seam is compared with the largest in the rest of the cycle, of the part itself or "
        "of its other side (a hand lands, a foot is set down on both), lone spikes (pops) and "
        "frames that repeat the start left out. The same is asked of all parts together: of "
        "their mean, each weighted by how smooth it is, where most of them jump along. From 45 "
        "frames a second on, every other frame is compared as well. A leg is not judged where "
        "its foot lands or leaves within 2 frames of the seam, and with twice the limit where it "
        "rolls there."
    ),
    unit="cm",
    limit="1.65 times the largest break in the rest of the cycle, and 1 mm at 1.7 m",
    limit_in_full=(
        "one part: 1.65 times (legs 2.4 times) .03 % of the height + the largest of the rest of "
        "the cycle; all parts together: 1.25 times .01 % of the height + the largest; more in "
        "short cycles, by 2 in the number of frames less 4; never under .06 % of the height (1 mm "
        "at 1.7 m)"
    ),
    source="fourth differences; the limits from trials on captured cycles",
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
    limits = _Limits(basis, length)
    measured = [path_breaks(basis, seam, marks) for marks in (seam.marks, seam.own_marks)]
    seen = [(size, limits.of_paths(usual)) for size, usual in measured]
    bodies = [n for n, each in enumerate(basis.bodies) if each.judged and basis.valid[:, n].all()]
    found = [event for body in bodies for event in _events(basis, seam, body, seen)]
    own = _own(basis, seam, *seen[1])
    whole = _whole(basis, seam, bodies, limits)
    if whole is not None:
        found = [whole, *(event for event in found if event.body != basis.lead)]
        own = _own_beside(own, seen[1], whole)
    lack = lacks_a_frame(basis, seam) if found else None
    if lack is not None:
        return Evidence("loop_seam", (_lacking(basis, seam, lack),))
    good = "" if found else good_sentence(basis, seam)
    return Evidence("loop_seam", tuple(found), own, good=good)


class _Limits:
    """What may break how far: see INFO."""

    def __init__(self, basis: Basis, length: int) -> None:
        legs = [split_part(body.part or "")[0] in LEG for body in basis.bodies]
        lenience = basis.loop_lenience(length)
        ratios = np.where(legs, LEG_RATIO_LIMIT, RATIO_LIMIT)
        self._factor = basis.settings.factor("loop_seam")
        self._few = 1.0 + FEW_FRAMES / (length - 4)
        self._ratios = (self._few * ratios * np.maximum(lenience[-1], lenience[0]))[:, None]
        self._least = LEAST_SHARE * basis.height.scene_m

    def of_paths(self, usual: Floats) -> Floats:
        """(B,3) limits of paths from what is usual for them."""
        return np.asarray(self._factor * np.maximum(self._ratios * usual, self._least))

    def of_all(self, usual: float) -> float:
        """The limit of all bodies together."""
        return self._factor * max(self._few * WHOLE_RATIO_LIMIT * usual, self._least)


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
    says = sentence(basis, seam, gap, speed)
    return [_event(basis, seam, body, mark, (size[body, mark], limit[body, mark]), says)]


def _whole(basis: Basis, seam: Seam, bodies: list[int], limits: _Limits) -> RawEvent | None:
    """A break of all bodies together, told of the one that leads them."""
    figure = [n for n in judged_bodies(basis) if n in bodies]
    if basis.lead not in figure or len(figure) < FEWEST_BODIES:
        return None
    size, usual = whole_break(basis, seam, figure)
    limit = limits.of_all(usual)
    if size < limit:
        return None
    gap, speed = seam.jump(seam.marks[:, basis.lead, 0])
    return _event(basis, seam, basis.lead, 0, (size, limit), sentence(basis, seam, gap, speed))


def _lacking(basis: Basis, seam: Seam, lack: StepOver) -> RawEvent:
    """Everything goes two steps at once: the range ends a frame too early."""
    says, suggestion = lack_in_words(basis, seam)
    return RawEvent(
        check="loop_seam",
        body=None,
        first=seam.length - 1,
        last=seam.length - 1,
        peak=seam.length - 1,
        amount=basis.amount(lack.over_m),
        limit=basis.amount(lack.usual_m),
        unit=basis.unit,
        visible_m=lack.over_m,
        step_m=lack.usual_m,
        says=says,
        suggestion=suggestion,
        always_major=True,
    )


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


def _own_beside(own: OwnMotion, seen: tuple[Floats, Floats], whole: RawEvent) -> OwnMotion:
    """The same where all bodies break together: that is the leader's, and what breaks besides."""
    size, limit = seen
    besides = (size >= limit).any(axis=1)
    metres, any_metres = np.where(besides, own.metres, 0.0), own.any_metres.copy()
    for row in (metres[whole.peak], any_metres[whole.peak]):
        row[whole.body] = max(whole.visible_m, row[whole.body])
    return replace(own, metres=metres, any_metres=any_metres)


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
        suggestion=suggest(basis, seam, body),
    )
