# SPDX-License-Identifier: GPL-3.0-or-later
"""Causes in a clip without curves: the joint whose own motion made a finding.

A joint's motion against its parent is repaired over the finding's frames, from what it does
before and after, and what hangs on it goes along: how much of the finding is gone then?
"""

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from .. import quaternions as quat
from ..basis import Basis
from ..cause import Cause
from ..finding import Finding
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


def joint_repairs(basis: Basis, place: Place) -> Iterator[JointRepair]:
    """Body, what is repaired (`rotation` or `location`), and how it stands then.

    Locations are repaired of bodies that hang on nothing; all others turn. Nothing for findings
    that are too long, or too near to the ends for their neighbours to tell.
    """
    if place.body is None or (place.last - place.first) * basis.dt_s > LONGEST_S:
        return
    knots = [place.first - 2, place.first - 1, place.last + 1, place.last + 2]
    if knots[0] < 0 or knots[-1] >= len(basis.frames):
        return
    samples = np.arange(place.first, place.last + 1)
    for body in [place.body, *basis.ancestors(place.body)[:ABOVE]]:
        yield body, ROTATION, _turned(basis, body, samples, knots)
        if basis.bodies[body].parent < 0:
            yield body, LOCATION, _moved(basis, body, samples, knots)


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


def _turned(basis: Basis, body: int, samples: Ints, knots: list[int]) -> Posed:
    """The body's own turn bridged; its joint stays."""
    own = quat.continuous(basis.own_rotations[:, body : body + 1])[:, 0]
    bridged = quat.normalise(_bridge(own, samples, knots))
    parent = basis.bodies[body].parent
    if parent >= 0:
        bridged = quat.multiply(basis.rotations[samples, parent], bridged)
    return _posed(basis, body, samples, basis.positions[samples, body], bridged)


def _moved(basis: Basis, body: int, samples: Ints, knots: list[int]) -> Posed:
    places = _bridge(basis.positions[:, body], samples, knots)
    return _posed(basis, body, samples, places, basis.rotations[samples, body])


def _posed(basis: Basis, body: int, samples: Ints, places: Floats, turns: Floats) -> Posed:
    return Posed(
        samples=samples,
        joints=np.array([basis.bodies[body].joint]),
        positions=places[:, None],
        rotations=turns[:, None],
    )


def _bridge(values: Floats, samples: Ints, knots: list[int]) -> Floats:
    """(N,C) the cubic through four samples of (T,C), two on either side."""
    weights = np.ones((len(samples), len(knots)))
    for n, knot in enumerate(knots):
        for other in knots:
            if other != knot:
                weights[:, n] *= (samples - other) / (knot - other)
    return np.asarray(weights @ values[knots])
