# SPDX-License-Identifier: GPL-3.0-or-later
"""Noise of every joint is measured, and makes no knee snap and no limb stretch."""

from dataclasses import replace

import numpy as np
import pytest
from clamped import LENGTH, clamped, stretched, wanted

from analysis import Settings, check_clip
from analysis.basis.tremble import noise_of, noise_of_points

KNEES = Settings(checks=("knee_pop",), cycle="no")
REACH = Settings(checks=("overreach",), cycle="no")
MM = 1e-3


def trembling(clip, millimetres, seed):
    """The clip with independent noise on every joint and frame."""
    noise = np.random.default_rng(seed).normal(size=clip.positions.shape)
    return replace(clip, positions=clip.positions + millimetres * MM * noise)


def rising(fps):
    """It crouches, and stands up for a moment: its knees come near full reach for a few frames."""
    root, goals = wanted(3.0, fps, lift=0.093 * LENGTH, lasts_s=1.2, bob=0.0)
    return clamped(root, goals, fps)


def wave(count=120):
    return np.sin(2 * np.pi * np.arange(count) / 60.0)


@pytest.mark.parametrize("order", [4, 6])
@pytest.mark.parametrize("share", [0.25, 0.5])
def test_noise_along_an_axis_is_measured_whatever_moves_slowly(order, share):
    rng = np.random.default_rng(4)
    paths = [0.3 * wave()[:, None] + 2 * MM * rng.normal(size=(120, 1)) for _ in range(4)]
    known = [np.ones(120, dtype=bool)] * 4
    assert noise_of(paths, known, order, share) == pytest.approx(2 * MM, rel=0.2)


def test_noise_square_to_a_line_is_measured_along_each_axis():
    rng = np.random.default_rng(5)
    noise = 2 * MM * rng.normal(size=(400, 3)) * [1.0, 1.0, 0.0]
    found = noise_of([noise], [np.ones(400, dtype=bool)], 6, 0.25)
    assert found == pytest.approx(2 * MM, rel=0.15)


def test_gaps_are_left_out_and_too_little_tells_nothing():
    rng = np.random.default_rng(6)
    path, known = 2 * MM * rng.normal(size=(300, 1)), np.ones(300, dtype=bool)
    path[100:200], known[100:200] = 5.0 * rng.normal(size=(100, 1)), False
    assert noise_of([path], [known], 4, 0.5) == pytest.approx(2 * MM, rel=0.3)
    assert noise_of([path[:11]], [known[:11]], 4, 0.5) == 0.0
    assert noise_of([path[:2]], [known[:2]], 4, 0.5) == 0.0
    assert noise_of([], [], 4, 0.5) == 0.0


def said(settings, millimetres):
    """How many findings 54 s of it have at 24, 30 and 60 frames a second."""
    clips = [rising(fps) for fps in (24.0, 30.0, 60.0)]
    shots = [
        check_clip(trembling(clip, millimetres, seed), settings)
        for clip in clips
        for seed in range(6)
    ]
    return sum(len(shot.findings) for shot in shots)


@pytest.mark.parametrize("share", [0.25, 0.5])
def test_noise_of_points_is_measured_along_each_axis(share):
    rng = np.random.default_rng(7)
    points = 0.3 * wave(600)[:, None, None] + 2 * MM * rng.normal(size=(600, 4, 3))
    assert noise_of_points(points, 6, share) == pytest.approx(np.full(4, 2 * MM), rel=0.15)
    assert noise_of_points(points[:13], 6, share).tolist() == [0.0] * 4


@pytest.mark.parametrize(("millimetres", "most"), [(1.0, 0), (2.0, 0), (3.0, 1)])
def test_knees_that_tremble_do_not_snap(millimetres, most):
    """Few frames near full reach tell little of the noise; the bent ones tell it as well. The odds
    of 3 mm allow for one finding in a minute."""
    assert said(KNEES, millimetres) <= most


@pytest.mark.parametrize("millimetres", [1.0, 2.0, 3.0])
def test_limbs_that_tremble_do_not_stretch(millimetres):
    assert said(REACH, millimetres) == 0


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_a_stretch_of_5_per_cent_is_told_among_limbs_that_tremble(fps):
    clip = rising(fps)
    share = 0.05 * np.exp(-(((np.arange(len(clip.frames)) / fps - 1.5) / 0.1) ** 2))
    for seed in range(6):
        found = check_clip(trembling(stretched(clip, "L", share), 2.0, seed), REACH).findings
        assert [each.part for each in found] == ["shin.L"]
