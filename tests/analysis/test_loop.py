# SPDX-License-Identifier: GPL-3.0-or-later
"""Loops: distances between poses, repeats, and the carrying from round to round."""

import numpy as np
import pytest
from figures import figure
from scipy.spatial.transform import Rotation

from analysis import Settings
from analysis.basis import build_basis
from analysis.loop import find_cycle
from analysis.poses import _fitted_gaps, closeness_of, counts, point_gaps, pose_gap
from analysis.seam import find_seam, fourth_differences

RNG = np.random.default_rng(5)


def test_pose_gap_ignores_travel_and_turn_about_the_vertical_only():
    pose = RNG.normal(size=(12, 3))
    moved = Rotation.from_euler("z", 70, degrees=True).apply(pose) + [3, -2, 0]
    assert pose_gap(pose, moved, level=True) == pytest.approx(0, abs=1e-12)
    assert pose_gap(pose, moved, level=False) > 1
    assert pose_gap(pose, pose + [0, 0, 0.5], level=True) == pytest.approx(0.5)
    tipped = Rotation.from_euler("x", 30, degrees=True).apply(pose)
    assert pose_gap(pose, tipped, level=True) > 0.1


def test_pose_gap_finds_the_best_turn():
    # Against scipy's alignment of the level coordinates (general-purpose oracle).
    a, b = RNG.normal(size=(2, 30, 3))
    flat_a, flat_b = (np.column_stack((p[:, :2] - p[:, :2].mean(0), np.zeros(30))) for p in (a, b))
    turn, _rssd = Rotation.align_vectors(flat_a, flat_b)
    turn = Rotation.from_euler("z", turn.as_euler("zyx")[0])
    heights = (a[:, 2] - b[:, 2])[:, None] * [0, 0, 1]
    expected = np.linalg.norm(flat_a - turn.apply(flat_b) + heights, axis=1).mean()
    found = _fitted_gaps(a, b, np.ones(30, dtype=bool)).mean()
    assert found == pytest.approx(expected, abs=1e-9)


def test_a_limb_that_is_elsewhere_does_not_move_the_rest():
    pose = RNG.normal(size=(30, 3))
    other = Rotation.from_euler("z", 40, degrees=True).apply(pose) + [2, 1, 0]
    other[:5] += 1.0
    gaps = point_gaps(pose, other, level=True)
    assert gaps[5:].max() < 0.05
    assert gaps[:5].min() > 0.5


def find_repeats(poses, height, *, level, most):
    """The count of repeats that is closest, and how close; 0 where none fits."""
    close = {k: closeness_of(poses, k, height, level=level) for k in counts(poses, most)}
    known = {k: each for k, each in close.items() if each is not None}
    return min(known.items(), key=lambda item: item[1], default=(0, 0.0))


@pytest.mark.parametrize("k", [1, 2, 5])
def test_repeats_are_counted(k):
    phase = 2 * np.pi * np.arange(20 + k) / 20
    poses = np.stack((np.cos(phase), np.sin(phase), np.sin(2 * phase)), -1)[:, None] * [1, 1, 0.3]
    poses = np.concatenate((poses, 0.5 * poses), axis=1)
    assert find_repeats(poses, 1.7, level=False, most=6) == (k, pytest.approx(0, abs=1e-9))


def test_no_repeats_without_motion_or_without_a_match():
    assert find_repeats(np.ones((30, 4, 3)), 1.7, level=True, most=6) == (0, 0.0)
    line = np.arange(30.0)[:, None, None] * np.ones((1, 4, 3))
    assert find_repeats(line, 1.7, level=False, most=6)[0] == 0


def test_the_carrying_shift_is_found():
    basis = build_basis(figure(frames=48, speed=1.4), Settings(cycle="yes"))
    seam = find_seam(basis, 48, travels=find_cycle(basis).travels)
    np.testing.assert_allclose(seam.shift, [0, -2.8, 0], atol=2e-3)
    np.testing.assert_allclose(seam.turn, [1, 0, 0, 0], atol=1e-9)
    assert len(seam.marks) == 60
    assert seam.at_seam.sum() == 8


def test_fourth_differences_of_polynomials():
    time = np.arange(12.0)
    assert np.abs(fourth_differences(time**3)).max() == 0.0
    np.testing.assert_allclose(fourth_differences(time**4), 24.0)


def test_a_jump_over_the_seam_is_measured():
    shift = np.zeros((48, 3))
    shift[:, 2] = 0.1 * np.arange(48) / 48.0
    basis = build_basis(figure(frames=48, speed=0.0, shift=shift), Settings(cycle="yes"))
    seam = find_seam(basis, 48, travels=False)
    gap, speed = seam.jump(seam.marks[:, 0, 0])
    assert gap == pytest.approx(0.1, abs=0.003)
    assert speed == pytest.approx(0.0, abs=0.06)
