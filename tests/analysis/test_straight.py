# SPDX-License-Identifier: GPL-3.0-or-later
"""Straight, even runs of single paths, on curves whose answer is known."""

import numpy as np
import pytest
from scipy.interpolate import BarycentricInterpolator

from analysis.straight import arc_offset, find_runs

HEIGHT_M = 1.7


def found(path, fps, *, ratio=5.0, factor=1.0):
    runs = find_runs(
        path[:, None],
        1.0 / fps,
        ratios=np.array([ratio]),
        factor=factor,
        least_m=0.0025 * HEIGHT_M,
        least_m_s=0.15 * HEIGHT_M,
    )
    return [run for run in runs if run.is_straight]


def circle(count, *, fps=24.0, radius=0.4, turns_s=0.6):
    """(T,3) a point on a circle, even: speed constant, straight nowhere."""
    angle = 2.0 * np.pi * turns_s * np.arange(count) / fps
    return radius * np.stack((np.cos(angle), np.sin(angle), 0.0 * angle), axis=-1)


def cut_short(path, first, last):
    """The path with a straight, even line between two samples."""
    cut = path.copy()
    share = np.linspace(0.0, 1.0, last - first + 1)[:, None]
    cut[first : last + 1] = path[first] + share * (path[last] - path[first])
    return cut


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("steps", [4, 5, 6, 8, 12])
def test_a_path_that_is_cut_short_is_found_from_corner_to_corner(fps, steps):
    steps = round(steps * fps / 24.0)
    path = circle(round(2.0 * fps), fps=fps)
    (run,) = found(cut_short(path, 20, 20 + steps), fps)
    assert (run.first, run.last) == (20, 20 + steps)
    gap = np.linalg.norm(path - cut_short(path, 20, 20 + steps), axis=-1).max()
    assert run.off_m == pytest.approx(gap, rel=0.12)


def test_the_swing_is_the_cubic_through_what_is_beside_the_run():
    """Compared with scipy's polynomial through the two samples at either end."""
    path = cut_short(circle(48), 20, 28)
    (run,) = found(path, 24.0)
    beside = [19, 20, 28, 29]
    cubic = BarycentricInterpolator(beside, path[beside])
    assert path[run.worst] + arc_offset(path, run) == pytest.approx(cubic(run.worst), abs=1e-12)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_arcs_even_travel_and_eased_lines_have_no_runs(fps):
    count = round(2.0 * fps)
    time = np.arange(count) / fps
    line = np.outer(time, [1.2, 0.0, 0.0])
    eased = np.outer(0.6 * (3.0 * (time / 2.0) ** 2 - 2.0 * (time / 2.0) ** 3), [1.0, 0.0, 0.0])
    swing = np.outer(0.4 * np.sin(2.0 * np.pi * time), [1.0, 0.2, 0.0])
    for path in (circle(count, fps=fps), line, eased, swing):
        assert found(path, fps) == []


def test_a_linear_move_from_hold_to_hold_is_a_run():
    path = np.outer(np.clip((np.arange(48) - 12) / 12.0, 0.0, 1.0), [0.5, 0.0, 0.0])
    (run,) = found(path, 24.0)
    assert (run.first, run.last) == (12, 24)
    # Flat handles would swing this far off it: u - (3u2 - 2u3) is largest at (1 - 1/sqrt(3)) / 2.
    # The cubic through the frames of the holds beside it is flat between those.
    assert run.off_m == pytest.approx(0.5 * np.sqrt(3.0) / 18.0, rel=0.25)


@pytest.mark.parametrize(("speed", "finds"), [(0.14, 0), (0.16, 1)])
def test_a_slow_run_is_none(speed, finds):
    size = speed * HEIGHT_M * 0.5
    path = np.outer(np.clip((np.arange(48) - 12) / 12.0, 0.0, 1.0), [size, 0.0, 0.0])
    assert len(found(path, 24.0)) == finds


def test_three_steps_are_too_few_and_ends_are_not_judged():
    path = circle(48)
    assert found(cut_short(path, 20, 23), 24.0) == []
    assert found(cut_short(path, 0, 8), 24.0) == []
    assert found(cut_short(path, 40, 47), 24.0) == []


def test_nearly_even_runs_need_larger_corners():
    """2 % of the step in every second difference: a ratio of 5 wants corners of 20 %."""
    path = cut_short(circle(48, turns_s=1.2), 20, 26)
    step = np.linalg.norm(path[21] - path[20])
    wobble = np.zeros((48, 3))
    wobble[21:26:2, 2] = 0.01 * step
    assert len(found(path + wobble, 24.0)) == 1
    flat = cut_short(circle(48, turns_s=0.2, radius=1.2), 20, 26)
    assert len(found(flat, 24.0)) == 1
    assert found(flat + wobble, 24.0) == []


def test_single_precision_leaves_a_run_exact():
    path = cut_short(circle(48, turns_s=0.3, radius=1.0), 20, 26) + [3.0, -2.0, 1.0]
    assert len(found(path.astype(np.float32).astype(float), 24.0)) == 1


def test_runs_from_key_to_key_share_their_corners():
    path = cut_short(cut_short(cut_short(circle(48), 10, 16), 16, 22), 22, 30)
    assert [(run.first, run.last) for run in found(path, 24.0)] == [(10, 16), (16, 22), (22, 30)]


@pytest.mark.parametrize("width", [1, 2])
def test_even_travel_between_two_pops_is_no_run(width):
    path = np.outer(np.arange(48) / 24.0, [1.2, 0.0, 0.0])
    for at in (12, 26):
        path[at : at + width, 2] += 0.06
    assert found(path, 24.0) == []


@pytest.mark.parametrize("count", [1, 2, 5, 6])
def test_short_paths_have_no_runs(count):
    assert found(circle(48)[:count], 24.0) == []
