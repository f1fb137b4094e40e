# SPDX-License-Identifier: GPL-3.0-or-later
"""Pushes: how hard the ground pushes the body at the moments that tell, and what nothing explains.

The ground gives m (a - g), with a the acceleration of the centre of mass: 1 body weight while the
figure stands. The acceleration is that of a cubic that is fitted over a fifth of a second around
each frame (`basis.SPEED_WINDOW_S`), so that one frame's tremble is no push.

Drawn are the hardest push before each flight, the hardest one as it lands, those of other plants
that go beyond what a plain walk needs, and the shoves that findings tell.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..air_shoves import LASTS_S
from ..basis import Basis
from ..basis.contacts import runs
from ..basis.mass import mass_known
from ..finding import Finding
from ..flight_ends import BESIDE_S
from ..free_fall import GRAVITY
from ..outside_force import NEAR_S
from ..pipeline import Examination
from .floor import bearing_place

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Walks press with 1.0 to 1.5 body weights at their peaks, runs with 2.0 to 2.9 (Nilsson &
# Thorstensson 1989, Acta Physiol Scand 136:217-227, from memory).
WALKS_UP_TO = 1.5
# A peak stands out by so many body weights from what is beside it; of two that are nearer to each
# other than this the higher one is drawn.
STANDS_OUT, APART_S = 0.25, 0.15
# Less than this is no push that anybody sees.
LEAST = 0.05


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
    """All in time's order; none where mass, or the story's height, are not known."""
    basis = examination.basis
    if basis.com is None or basis.com_acceleration is None or basis.height.story_m is None:
        return ()
    felt = basis.com_acceleration * basis.height.to_story / GRAVITY + [0.0, 0.0, 1.0]
    found = [_push(basis, felt, at) for at in _peaks(basis, felt[:, 2])]
    shoves = [_shove(basis, each) for each in examination.shot.findings]
    every = [each for each in (*found, *shoves) if each is not None and each.weights > LEAST]
    return tuple(sorted(every, key=lambda push: push.frame))


def _push(basis: Basis, felt: Floats, at: int) -> Push | None:
    place = bearing_place(basis, at, max(round(NEAR_S / basis.dt_s), 1))
    if place is None:
        return None
    weights = float(np.linalg.norm(felt[at]))
    return Push(float(basis.frames[at]), place, felt[at], weights, _says(weights))


def _says(weights: float) -> str:
    return f"{weights:.1f} x weight"


def _peaks(basis: Basis, up: Floats) -> list[int]:
    """Samples of the pushes that tell, of the vertical force (T,) in body weights."""
    bears = _told(basis)
    chosen = set()
    for first, last in runs(bears):
        tops = _tops(up[first : last + 1], STANDS_OUT)
        chosen |= {first + at for at in tops if up[first + at] > WALKS_UP_TO}
    reach = round(BESIDE_S / basis.dt_s)
    for flight in basis.flights:
        if flight.held:
            continue
        before = range(max(flight.first - reach, 0), flight.first)
        after = range(flight.last + 1, min(flight.last + 1 + reach, len(up)))
        for samples in (before, after):
            there = [at for at in samples if bears[at]]
            if there:
                chosen.add(max(there, key=lambda at: float(up[at])))
    return _apart(sorted(chosen), up, APART_S / basis.dt_s)


def _told(basis: Basis) -> Bools:
    """(T,) where something touches, and the mass is known around."""
    reach = max(round(NEAR_S / basis.dt_s), 1)
    known = mass_known(basis)
    for first, last in runs(~known):
        known = known.copy()
        known[max(first - reach, 0) : last + 1 + reach] = False
    return np.asarray(known & basis.touch_points.touches.any(axis=1))


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
