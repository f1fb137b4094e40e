# SPDX-License-Identifier: GPL-3.0-or-later
"""Is a loop one frame too short, so that everything goes two steps at once over its seam?"""

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .seam import WRAP, Seam, StepOver, fourth_differences, judged_bodies, step_over

Floats = NDArray[np.float64]

# How many usual steps the points go over the seam, and in the same direction: a cosine.
STEPS, SAME_WAY = (1.5, 2.6), 0.75
# With a frame more the seam is at most this share as rough as without.
CALMER_SHARE = 0.35
# Bodies that count: the three quarters that are smoothest with the frame that is missing.
COUNTED = 0.75


def lacks_a_frame(basis: Basis, seam: Seam) -> StepOver | None:
    """The step over a loop's seam where one sample more would let it run on smoothly, else None.

    The step must be about two steps long and lead the same way; and a sample put in between,
    where the paths want it, must take most of the seam's roughness away.
    """
    step = step_over(basis, seam)
    two = STEPS[0] * step.usual_m <= step.over_m <= STEPS[1] * step.usual_m
    if step.usual_m <= 0.0 or not two or step.cosine < SAME_WAY:
        return None
    without, inserted = _roughness(seam.own_marks[:, judged_bodies(basis)])
    return step if inserted <= CALMER_SHARE * without else None


def _roughness(marks: Floats) -> tuple[float, float]:
    """How rough the seam of own marks (L+12,B,3,3) is, as it is and with a sample put in."""
    around = marks[-2 * WRAP :]  # the last six samples of the round and the first six
    empty = np.zeros_like(around[:1])
    longer = np.concatenate((around[:WRAP], empty, around[WRAP:]))
    response = fourth_differences(np.eye(2 * WRAP + 1)[WRAP])
    rough = fourth_differences(longer)
    best = -np.tensordot(response, rough, axes=1) / float(response @ response)
    inserted = rough + response.reshape(-1, 1, 1, 1) * best
    middle = slice(WRAP - 4, WRAP + 1)  # the differences that the new sample takes part in
    each = [
        np.linalg.norm(differences, axis=-1).max(axis=(0, 2))
        for differences in (fourth_differences(around)[WRAP - 4 : WRAP], inserted[middle])
    ]
    counted = np.argsort(each[1])[: max(round(COUNTED * len(each[1])), 1)]
    return float(each[0][counted].mean()), float(each[1][counted].mean())
