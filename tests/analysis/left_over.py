# SPDX-License-Identifier: GPL-3.0-or-later
"""Made-up forces on figures that are there: what no contact gives, sample by sample."""

import numpy as np

from analysis.outside_force import OutsideForce


def left_over(left, *, pressed=1.0):
    """Forces of which left (T,) body weights to the figure's side, or (T,3), is left everywhere;
    its feet press with `pressed`."""
    count = len(left)
    force = np.zeros((count, 3))
    if np.ndim(left) == 1:
        force[:, 0] = left
    else:
        force[:] = left
    felt = force + [0.0, 0.0, 1.0]
    felt[:, 2] = pressed
    judged = np.ones(count, dtype=bool)
    return OutsideForce(felt, force, force, judged, np.ones(count), ~judged)


def bump(size, at, count):
    """(T,) a force that comes and goes over five samples."""
    force = np.zeros(count)
    force[at - 2 : at + 3] = size * np.array([0.1, 0.9, 1.0, 0.9, 0.1])
    return force
