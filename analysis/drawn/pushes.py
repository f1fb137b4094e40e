# SPDX-License-Identifier: GPL-3.0-or-later
"""Pushes: how hard the ground pushes the body at the moments that tell, and what nothing explains.

The ground gives m (a - g), with a the acceleration of the centre of mass: 1 body weight while the
figure stands. The acceleration is that of a cubic that is fitted over a fifth of a second around
each frame (`basis.SPEED_WINDOW_S`), so that one frame's tremble is no push: of what swings 3.1 to
3.6 times a second (at 30 and 60, and at 24 frames) seven tenths are left, of what swings 4.3 to 5
times half, from 8.5 times on nothing. A foot's push in a walk or run swings 1 to 3 times.

Told are the hardest push before each flight, the hardest one as it lands, those of other plants
that go beyond what a plain walk needs, and the shoves that findings tell. Within half a window of
an end of the range, of a gap, or of a jump of the trunk that a finding tells, nothing is; a loop
goes on over its seam.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..air_shoves import LASTS_S
from ..basis import Basis
from ..basis.contacts import runs
from ..basis.mass import mass_known
from ..exposure import find_exposures
from ..finding import Finding
from ..flight_ends import BESIDE_S
from ..flown_poses import is_stepped
from ..free_fall import GRAVITY
from ..looped import Places, lay_out
from ..outside_force import NEAR_S
from ..parts import TRUNK, split_part
from ..pipeline import Examination
from .floor import bearing_place

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Walks press with 1.2 body weights at their peaks, fast ones with up to 1.5, runs at 6 m/s with
# 2.5, and slow runs with half as much again as walks (Keller et al. 1996, Clin Biomech 11:253-259;
# the 1.5: Nilsson & Thorstensson 1989, Acta Physiol Scand 136:217-227, from memory).
WALKS_UP_TO = 1.5
# A peak stands out by so many body weights from what is beside it; of two that are nearer to each
# other than this the higher one is drawn.
STANDS_OUT, APART_S = 0.25, 0.15
# Less than this is no push that anybody sees; more than that no body gives or bears: its pose jumps
# (drop landings of gymnasts: 9 to 14 before smoothing; from memory).
LEAST, MOST = 0.05, 10.0


@dataclass(frozen=True, eq=False)
class Push:
    """frame         frame number
    place (3,)    scene metres, world: on the ground under what bears the body; of a shove its
                  centre of mass
    force (3,)    body weights, world
    weights       how many body weights that is
    says          `2.3 x weight`
    explained     whether the ground gives it; else it is a shove that nothing explains
    """

    frame: float
    place: Floats
    force: Floats
    weights: float
    says: str
    explained: bool = True


def pushes(examination: Examination) -> tuple[Push, ...]:
    """All in time's order; none where mass, or the story's height, are not known, nor where the
    body does not show a new pose on each frame: from held poses no force is told."""
    basis, findings = examination.basis, examination.shot.findings
    if is_stepped(basis) or find_exposures(basis).steps[basis.lead] != 1:
        return ()
    places = Places(basis, lay_out(basis, examination.cycle))
    rounds = places.rounds_basis
    felt = felt_weights(rounds)
    if felt is None:
        return ()
    peaks = _peaks(rounds, felt[:, 2], _told(places, findings))
    if places.looped is not None:
        peaks = [at for at in peaks if places.looped.is_once(at, at)]
    found = [_push(places, felt, at) for at in peaks]
    shoves = [_shove(basis, each) for each in findings]
    every = [each for each in (*found, *shoves) if each is not None and LEAST < each.weights < MOST]
    return tuple(sorted(every, key=lambda push: push.frame))


def felt_weights(basis: Basis) -> Floats | None:
    """(T,3) what the ground gives, body weights, world; None where it is not known."""
    if basis.com_acceleration is None or basis.height.story_m is None:
        return None
    return basis.com_acceleration * basis.height.to_story / GRAVITY + [0.0, 0.0, 1.0]


def _push(places: Places, felt: Floats, at: int) -> Push | None:
    """The push at a sample of the rounds, where it is on the range."""
    basis = places.basis
    place = bearing_place(basis, places.sample(at), max(round(NEAR_S / basis.dt_s), 1))
    if place is None:
        return None
    force = places.home(felt[at], at)
    weights = float(np.linalg.norm(force))
    return Push(places.number(at), place, force, weights, _says(weights))


def _says(weights: float) -> str:
    return f"{weights:.1f} x weight"


def _peaks(basis: Basis, up: Floats, bears: Bools) -> list[int]:
    """Samples of the pushes that tell, of the vertical force (T,) in body weights.

    bears (T,)   where the ground gives it, and it is known
    """
    chosen = set()
    for first, last in runs(bears):
        tops = _tops(up[first : last + 1], STANDS_OUT)
        chosen |= {first + at for at in tops if up[first + at] > WALKS_UP_TO}
    reach = round(BESIDE_S / basis.dt_s)
    for flight in basis.flights:
        if flight.held:
            continue
        # Each from the flight on: a push that only grows away from it is another one's.
        before = range(flight.first - 1, max(flight.first - reach, 0) - 1, -1)
        after = range(flight.last + 1, min(flight.last + 1 + reach, len(up)))
        for samples in (before, after):
            there = [at for at in samples if bears[at]]
            best = max(there, key=lambda at: float(up[at]), default=None)
            if best is not None and (best != there[-1] or len(there) == 1):
                chosen.add(best)
    return _apart(sorted(chosen), up, APART_S / basis.dt_s)


def _told(places: Places, findings: Sequence[Finding]) -> Bools:
    """(T,) where something touches, and the path around of the centre of mass is told."""
    basis = places.rounds_basis
    reach = max(round(NEAR_S / basis.dt_s), 1)
    unknown = ~mass_known(basis)
    unknown[[0, -1]] = True
    numbers = np.array([places.number(at) for at in range(len(unknown))])
    for each in findings:
        if each.check == "pop" and (each.part is None or split_part(each.part)[0] in TRUNK):
            unknown |= (numbers >= each.frames[0]) & (numbers <= each.frames[1])
    for first, last in runs(unknown.copy()):
        unknown[max(first - reach, 0) : last + 1 + reach] = True
    return np.asarray(~unknown & basis.touch_points.touches.any(axis=1))


def _tops(values: Floats, least: float) -> list[int]:
    """Local peaks (the first sample of a flat one) that stand out by `least`: on the way to
    anything higher, or to an end, values fall by that much on both sides."""
    found = []
    for at in range(1, len(values) - 1):
        if not (values[at] > values[at - 1] and values[at] >= values[at + 1]):
            continue
        sides = (values[:at][::-1], values[at + 1 :])
        if all(_falls(side, float(values[at])) >= least for side in sides):
            found.append(at)
    return found


def _falls(side: Floats, top: float) -> float:
    """How far values fall below a top before they go above it."""
    higher = np.flatnonzero(side > top)
    before = side[: higher[0]] if len(higher) else side
    return top - float(before.min(initial=top))


def _apart(samples: Sequence[int], up: Floats, least: float) -> list[int]:
    """The highest ones, no two of them nearer than `least` samples."""
    kept: list[int] = []
    for at in sorted(samples, key=lambda sample: -float(up[sample])):
        if all(abs(at - other) >= least for other in kept):
            kept.append(at)
    return sorted(kept)


def _shove(basis: Basis, finding: Finding) -> Push | None:
    """What pushes the body in a finding: against the way that its suggestion leads back."""
    told = {"push": _told_force, "carry": _carried_force}.get(finding.check)
    advice = finding.suggestion
    if told is None or advice is None or advice.offset is None or basis.com is None:
        return None
    length = float(np.linalg.norm(advice.offset))
    if length <= 0.0:
        return None
    frame = finding.peak_frame if finding.check == "push" else finding.frames[0]
    at = int(np.argmin(np.abs(basis.frames - frame)))
    weights = told(basis, finding)
    force = -weights * advice.offset / length
    return Push(frame, basis.com[at], force, weights, _says(weights), explained=False)


def _told_force(basis: Basis, finding: Finding) -> float:
    return finding.amount


def _carried_force(basis: Basis, finding: Finding) -> float:
    """Body weights over a tenth of a second that carry it further in the time of its flight."""
    step = float(basis.frames[1] - basis.frames[0])
    seconds = (finding.frames[1] - finding.frames[0] + step) / step * basis.dt_s
    return finding.amount / 100.0 / seconds / (LASTS_S * GRAVITY)
