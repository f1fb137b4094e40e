# SPDX-License-Identifier: GPL-3.0-or-later
"""What stands out as a shove among given forces, and who moved himself."""

import numpy as np
import pytest
from figures import steered

from analysis import Settings
from analysis.basis import build_basis
from analysis.outside_force import OutsideForce, outside_force
from analysis.shoves import find_shoves

FRAMES, AT = 96, 48


def found(left, *, pressed=1.0, fps=24.0):
    """The shoves of a figure that bobs by 2 cm once a second: left (T,) body weights to its side,
    and what its feet press with."""
    basis = build_basis(steered(frames=FRAMES, fps=fps), Settings(cycle="no"))
    force = np.zeros((FRAMES, 3))
    force[:, 0] = left
    felt = force + [0.0, 0.0, 1.0]
    felt[:, 2] = pressed
    judged, lever = np.ones(FRAMES, dtype=bool), np.ones(FRAMES)
    forces = OutsideForce(felt, force, force, judged, lever, ~judged)
    return find_shoves(basis, forces, np.zeros(FRAMES, dtype=bool))


def bump(size, at=AT):
    """(T,) a force that comes and goes over five samples."""
    force = np.zeros(FRAMES)
    force[at - 2 : at + 3] = size * np.array([0.1, 0.9, 1.0, 0.9, 0.1])
    return force


@pytest.mark.parametrize("fps", [24.0, 30.0])
def test_a_force_that_comes_and_goes_is_a_shove(fps):
    (shove,) = found(bump(0.3), fps=fps)
    assert abs(shove.peak - AT) <= 1
    assert shove.size == pytest.approx(0.3, rel=0.15)
    assert not found(bump(0.15), fps=fps)


@pytest.mark.parametrize("after", [3, 5, 8, -3, -6])
def test_what_stops_itself_moved_itself(after):
    """.13 to .33 s later, or before, as much is left against it."""
    assert not found(bump(0.4) - bump(0.4, AT + after))
    assert not found(bump(0.4) - bump(0.3, AT + after))


def test_what_is_stopped_by_little_is_a_shove():
    (shove,) = found(bump(0.4) - bump(0.08, AT + 5))
    assert abs(shove.peak - AT) <= 1


def test_what_is_unsure_counts_by_what_presses():
    """Feet that press with 2.5 body weights may be wrong by 2.5 times as much."""
    assert found(bump(0.3))
    assert not found(bump(0.3), pressed=2.5)
    assert found(bump(0.8), pressed=2.5)


def test_who_rises_and_presses_no_more_is_not_pushed():
    """Legs stretch faster than weight can stop them, and stop at their length."""
    rises, sinks = AT, AT + 12
    assert found(bump(0.6, rises))
    assert not found(bump(0.6, rises), pressed=0.0)
    assert found(bump(0.6, sinks), pressed=0.0)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("lunge_s", [0.15, 0.2])
def test_a_lunge_that_stops_itself_is_no_shove(fps, lunge_s):
    """The whole body goes ahead by 16 cm over feet that stand: both its pulses belong together
    (see `jolts`), and neither is a shove."""
    time = np.arange(round(4.0 * fps)) / fps
    done = np.clip((time - 1.5) / lunge_s, 0.0, 1.0)
    back = np.clip((time - 2.4) / 0.8, 0.0, 1.0)
    shift = np.zeros((len(time), 3))
    shift[:, 1] = -0.16 * (done**2 * (3.0 - 2.0 * done) - back**2 * (3.0 - 2.0 * back))
    clip = steered(frames=len(time), fps=fps, root_shift=shift)
    basis = build_basis(clip, Settings(cycle="no"))
    forces = outside_force(basis)
    assert forces.size.max() > 0.5
    assert not find_shoves(basis, forces, np.zeros(len(time), dtype=bool))
