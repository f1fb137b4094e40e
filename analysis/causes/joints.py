# SPDX-License-Identifier: GPL-3.0-or-later
"""Causes in a clip without curves: the joint whose own motion made a finding.

A joint's motion against its parent is repaired over the finding's frames, from what it does
before and after, and what hangs on it goes along: how much of the finding is gone then?
"""

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from .. import quaternions as quat
from ..basis import Basis
from ..cause import Cause
from ..finding import Finding
from ..parts import limb_of
from ..pipeline import Examination
from ..trials import Posed, Trial
from .again import Outcome, outcome_of, share_gone
from .places import Place, explained
from .words import joint_cause

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# A body, what of it is repaired, and how it stands then.
JointRepair = tuple[int, str, Posed]
# How likely a joint made a finding, the cause that it is then, and the shot with it repaired.
JudgedJoint = tuple[float, Cause, Outcome]
ROTATION, LOCATION = "rotation", "location"
# So many joints above the one that shows it may have made it.
ABOVE = 3
# Longer findings are no breaks that neighbours could bridge, seconds.
LONGEST_S = 0.3
# A body whose place against what carries it varies by more than this share of the height travels.
TRAVELS_SHARE = 0.01


def joint_repairs(basis: Basis, place: Place) -> Iterator[JointRepair]:
    """Body, what is repaired (`rotation` or `location`), and how it stands then.

    Locations are repaired of bodies that travel against what carries them, and of a limb's end,
    whose joints then turn together, as where a target leads it; all others turn. Nothing for
    findings that are too long, or too near to the ends for their neighbours to tell.
    """
    if place.body is None or (place.last - place.first) * basis.dt_s > LONGEST_S:
        return
    knots = [place.first - 2, place.first - 1, place.last + 1, place.last + 2]
    if knots[0] < 0 or knots[-1] >= len(basis.frames):
        return
    samples = np.arange(place.first, place.last + 1)
    for body in [place.body, *basis.ancestors(place.body)[:ABOVE]]:
        yield body, ROTATION, _turned(basis, [body], samples, knots)
        if _travels(basis, body):
            yield body, LOCATION, _moved(basis, body, samples, knots)
    limb = _limb(basis, place.body)
    if len(limb) > 1:
        yield place.body, LOCATION, _turned(basis, limb, samples, knots)


def is_of_one(repair: JointRepair) -> bool:
    """Whether a single joint is repaired."""
    return len(repair[2].joints) == 1


def judged_joint(
    examination: Examination, found: Sequence[Finding], place: Place, repair: JointRepair
) -> list[JudgedJoint]:
    """One joint's own motion repaired; empty where that takes nothing of the finding.

    found   what is found without any repair
    """
    basis, (body, channel, posed) = examination.basis, repair
    trial = Trial(posed.samples, (), np.zeros((len(posed.samples), 0)))
    outcome = outcome_of(examination, trial, posed)
    around = place.around(len(basis.frames))
    before, after = (each.marks[around][:, :, :2] for each in (basis, outcome.basis))
    gone = explained(basis, place, before, after)
    drop = share_gone(place.finding, found, outcome.findings)
    drop = gone if drop is None else drop
    likely = drop * gone
    cause = joint_cause(basis, place, body, channel, drop)
    return [(likely, cause, outcome)] if likely > 0.0 else []


def _limb(basis: Basis, body: int) -> list[int]:
    """The bodies of the limb that one ends or belongs to, down to it, from its root on."""
    limb = limb_of(basis.bodies[body].part or "")
    return [n for n in [*basis.ancestors(body)[::-1], body] if basis.bodies[n].part in limb]


def _travels(basis: Basis, body: int) -> bool:
    """Whether a body goes elsewhere against what carries it, as the root does against its mover."""
    if basis.bodies[body].parent < 0:
        return True
    away = np.ptp(_own_places(basis, body), axis=0)
    return bool(away.max() > TRAVELS_SHARE * basis.height.scene_m)


def _own_places(basis: Basis, body: int) -> Floats:
    """(T,3) where a body is, in the axes of what carries it."""
    parent = basis.bodies[body].parent
    if parent < 0:
        return basis.positions[:, body]
    gaps = basis.positions[:, body] - basis.positions[:, parent]
    return quat.rotate(quat.conjugate(basis.rotations[:, parent]), gaps)


def _turned(basis: Basis, bodies: Sequence[int], samples: Ints, knots: list[int]) -> Posed:
    """The own turns of bodies bridged, each carrying the next; the first one's joint stays."""
    places = {n: basis.positions[samples, n] for n in range(len(basis.bodies))}
    turns = {n: basis.rotations[samples, n] for n in range(len(basis.bodies))}
    for number, body in enumerate(bodies):
        own = quat.continuous(basis.own_rotations[:, body : body + 1])[:, 0]
        bridged, parent = quat.normalise(_bridge(own, samples, knots)), basis.bodies[body].parent
        if number:
            reach = quat.rotate(turns[parent], _own_places(basis, body)[samples])
            places[body] = places[parent] + reach
        turns[body] = bridged if parent < 0 else quat.multiply(turns[parent], bridged)
    return _posed(basis, bodies, samples, places, turns)


def _moved(basis: Basis, body: int, samples: Ints, knots: list[int]) -> Posed:
    """The body's own place bridged; its turn stays."""
    place, parent = _bridge(_own_places(basis, body), samples, knots), basis.bodies[body].parent
    if parent >= 0:
        turned = quat.rotate(basis.rotations[samples, parent], place)
        place = basis.positions[samples, parent] + turned
    return _posed(basis, [body], samples, {body: place}, {body: basis.rotations[samples, body]})


def _posed(
    basis: Basis,
    bodies: Sequence[int],
    samples: Ints,
    places: Mapping[int, Floats],
    turns: Mapping[int, Floats],
) -> Posed:
    return Posed(
        samples=samples,
        joints=np.array([basis.bodies[body].joint for body in bodies]),
        positions=np.stack([places[body] for body in bodies], axis=1),
        rotations=np.stack([turns[body] for body in bodies], axis=1),
    )


def _bridge(values: Floats, samples: Ints, knots: list[int]) -> Floats:
    """(N,C) the cubic through four samples of (T,C), two on either side."""
    weights = np.ones((len(samples), len(knots)))
    for n, knot in enumerate(knots):
        for other in knots:
            if other != knot:
                weights[:, n] *= (samples - other) / (knot - other)
    return np.asarray(weights @ values[knots])
