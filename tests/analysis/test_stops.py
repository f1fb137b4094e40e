# SPDX-License-Identifier: GPL-3.0-or-later
"""Dead stops of single points: what is eased is none, what falls to nothing at once is."""

import numpy as np
import pytest

from analysis.stops import find_stops

HEIGHT_M = 1.7
LEAST = 0.12 * HEIGHT_M


def moved(shape, *, fps, seconds, start_s=0.5, rest_s=0.6, size_m=0.6):
    """(T,3) a point at rest, then a move of a shape in 0..1 over 0..1, then at rest again."""
    count = round((start_s + seconds + rest_s) * fps) + 1
    time = np.clip((np.arange(count) / fps - start_s) / seconds, 0.0, 1.0)
    return np.outer(size_m * shape(time), [0.6, 0.0, 0.8])


def linear(u):
    return u


def flat_handles(u):
    """A Bezier curve between two flat handles a third of the way long (Blender's default)."""
    return 3.0 * u**2 - 2.0 * u**3


def minimum_jerk(u):
    """Flash & Hogan 1985, J Neurosci 5:1688."""
    return 10.0 * u**3 - 15.0 * u**4 + 6.0 * u**5


def half_sine(u):
    return 0.5 - 0.5 * np.cos(np.pi * u)


def hard(path, fps):
    return np.flatnonzero(find_stops(path, 1.0 / fps, LEAST).hard).tolist()


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("shape", [flat_handles, minimum_jerk, half_sine])
@pytest.mark.parametrize("frames", [4, 5, 6, 8, 12, 24])
def test_what_eases_in_never_stops_dead(fps, shape, frames):
    """Moves of so many frames at 24 a second, from .6 m, are fast and yet eased."""
    path = moved(shape, fps=fps, seconds=frames / 24.0)
    assert hard(path, fps) == []
    assert hard(path[::-1], fps) == []
    assert find_stops(path, 1.0 / fps, LEAST).rests.any()


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("seconds", [1.0 / 6.0, 0.5, 1.0])
def test_a_linear_move_stops_dead_where_it_ends(fps, seconds):
    path = moved(linear, fps=fps, seconds=seconds)
    (at,) = hard(path, fps)
    assert at == round((0.5 + seconds) * fps)
    found = find_stops(path, 1.0 / fps, LEAST)
    assert found.speed[at] == pytest.approx(0.6 / seconds, rel=1e-6)


def test_a_stop_between_two_samples_is_one_where_frames_are_short():
    """A move keyed at 24 frames a second, that ends half way between two samples of 60."""
    path = moved(linear, fps=60.0, seconds=0.525)
    assert len(hard(path, 60.0)) == 1


@pytest.mark.parametrize(("share", "stops"), [(0.95, 0), (1.05, 1)])
def test_slow_points_may_stop_as_they_like(share, stops):
    seconds = 0.6 / (share * LEAST)
    path = moved(linear, fps=24.0, seconds=np.ceil(24.0 * seconds) / 24.0)
    path *= (np.ceil(24.0 * seconds) / 24.0) / seconds
    assert len(hard(path, 24.0)) == stops


@pytest.mark.parametrize("fps", [24.0, 60.0])
def test_an_overshoot_or_a_settle_makes_it_no_dead_stop(fps):
    path = moved(linear, fps=fps, seconds=0.5)
    after = np.arange(len(path)) / fps - 1.0
    swing = np.where(after > 0.0, np.sin(2.0 * np.pi * after / 0.3) * np.exp(-after / 0.15), 0.0)
    assert hard(path + np.outer(0.03 * swing, [0.6, 0.0, 0.8]), fps) == []


def test_what_drifts_on_by_millimetres_still_stops_dead():
    path = moved(linear, fps=24.0, seconds=0.5)
    breathing = 0.002 * np.sin(2.0 * np.pi * np.arange(len(path)) / 96.0)
    assert len(hard(path + np.outer(breathing, [0.0, 0.0, 1.0]), 24.0)) == 1


@pytest.mark.parametrize("width", [1, 2, 3])
def test_what_pops_or_steps_does_not_stop(width):
    path = np.zeros((40, 3))
    path[15 : 15 + width, 0] = 0.1
    assert hard(path, 24.0) == []
    path[15:, 0] = 0.1
    assert hard(path, 24.0) == []


def test_held_poses_of_two_and_three_frames_are_no_stops():
    path = moved(linear, fps=24.0, seconds=1.0)[:36]
    for step in (2, 3):
        held = path[np.arange(36) // step * step]
        assert hard(held, 24.0) == []


@pytest.mark.parametrize("count", [1, 2, 7])
def test_short_paths_have_no_stops(count):
    assert hard(moved(linear, fps=24.0, seconds=0.5)[:count], 24.0) == []


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0, 120.0])
@pytest.mark.parametrize(("slow_m_s", "stops"), [(0.12, 0), (0.6, 1)])
def test_one_step_beyond_all_others_is_a_pop_and_no_stop(fps, slow_m_s, stops):
    """A slow move, one step at 1 m/s, and rest: as a lost track that is found again."""
    steps = np.zeros(round(1.5 * fps))
    last = round(0.8 * fps)
    steps[:last] = slow_m_s / fps
    steps[last] = 1.0 / fps
    path = np.outer(np.concatenate(([0.0], np.cumsum(steps))), [0.0, 1.0, 0.0])
    assert len(hard(path, fps)) == stops
    assert find_stops(path, 1.0 / fps, LEAST).rests.any()
