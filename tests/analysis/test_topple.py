# SPDX-License-Identifier: GPL-3.0-or-later
"""Topples: rod and pendulum, and what `gravity` says of bodies that fall over."""

import re
from dataclasses import replace

import numpy as np
import pytest
from figures import figure
from scipy.integrate import solve_ivp
from toppling import GRAVITY, HEIGHT_M, com_at_rest, leans, toppled

from analysis import Event, Settings, check_clip
from analysis.basis import build_basis
from analysis.topple import find_topples
from analysis.topple_times import (
    fit_topple,
    pendulum_rate2,
    rest_lean,
    rod_rate2,
    topple_s,
)

FALL = Settings(cycle="no", checks=("gravity",))
ROD = 1.5 * GRAVITY / HEIGHT_M
PENDULUM = GRAVITY / float(np.hypot(*(com_at_rest() - [-0.16, 0.0])))


@pytest.mark.parametrize(
    ("degrees", "rod_s", "pendulum_s"),
    [
        (1, 1.784, 1.635),
        (2, 1.548, 1.419),
        (5, 1.237, 1.133),
        (10, 1.001, 0.918),
        (20, 0.766, 0.702),
    ],
)
def test_times_from_rest_to_the_floor(degrees, rod_s, pendulum_s):
    """A rod of 1.7 m, and a mass at .56 of that: rigid-body mechanics, from which another
    simulator's times differ by a millisecond at most."""
    start = np.radians(degrees)
    assert topple_s(start, np.pi / 2, rod_rate2(1.7)) == pytest.approx(rod_s, abs=0.001)
    found = topple_s(start, np.pi / 2, pendulum_rate2(0.56 * 1.7))
    assert found == pytest.approx(pendulum_s, abs=0.001)


@pytest.mark.parametrize("start_deg", [0.5, 3.0, 15.0, 40.0])
@pytest.mark.parametrize("speed", [0.0, 0.3, 2.0])
@pytest.mark.parametrize("rate2", [2.0, ROD, 40.0])
def test_times_are_those_of_the_equation_solved_by_scipy(start_deg, speed, rate2):
    end = np.radians(75.0)

    def there(_time, state):
        return state[0] - end

    there.terminal = True
    start = np.radians(start_deg)
    solved = solve_ivp(
        lambda _t, s: [s[1], rate2 * np.sin(s[0])],
        (0.0, 60.0),
        [start, speed],
        events=there,
        rtol=1e-10,
        atol=1e-12,
    )
    expected = solved.t_events[0][0]
    assert topple_s(start, end, rate2, speed) == pytest.approx(expected, rel=2e-4)


def test_there_is_no_time_where_there_is_no_fall():
    assert topple_s(0.0, 1.0, ROD) == np.inf
    assert topple_s(0.5, 0.5, ROD) == 0.0
    assert np.isfinite(topple_s(0.0, 1.0, ROD, 0.5))


def test_people_are_near_a_rod():
    """Winter 2009, Table 4.1 and Figure 4.1: shares of mass, how high their centres stand, and
    radii of gyration about these, shares of the height, for somebody who stands straight."""
    segments = [
        (0.029, 0.020, 0.475 * 0.039),
        (0.093, 0.285 - 0.433 * 0.246, 0.302 * 0.246),
        (0.200, 0.530 - 0.433 * 0.245, 0.323 * 0.245),
        (0.497, 0.530 + 0.5 * 0.288, 0.5 * 0.288),
        (0.081, 0.935, 0.495 * 0.13),
        (0.056, 0.818 - 0.436 * 0.188, 0.322 * 0.188),
        (0.032, 0.630 - 0.430 * 0.145, 0.303 * 0.145),
        (0.012, 0.485 - 0.506 * 0.108, 0.297 * 0.108),
    ]
    turning = sum(m * z for m, z, _k in segments)
    inertia = sum(m * (z**2 + k**2) for m, z, k in segments)
    assert turning / inertia == pytest.approx(1.5, rel=0.02)
    assert rod_rate2(1.7) * 1.7 / GRAVITY == pytest.approx(1.5)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("rate2", [0.5 * ROD, ROD, PENDULUM])
def test_a_fit_gives_back_rate_and_lean_at_rest(fps, rate2):
    lean = leans(2.0, rate2, fps, before=0, after=0)
    lean = lean[lean > np.radians(8.0)]
    fit = fit_topple(lean, 1.0 / fps)
    assert fit.rate2 == pytest.approx(rate2, rel=0.01)
    assert np.degrees(rest_lean(lean, fit)) == pytest.approx(2.0, abs=0.5)
    rng = np.random.default_rng(3)
    noisy = [fit_topple(lean + rng.normal(0, 0.003, lean.shape), 1.0 / fps) for _ in range(200)]
    spread = float(np.std([each.rate2 for each in noisy]))
    assert 0.8 * spread < np.median([each.error for each in noisy]) < 3.0 * spread


def test_a_fit_needs_five_samples_and_a_fall():
    assert fit_topple(np.linspace(0.1, 0.5, 4), 0.04) is None
    even = np.linspace(0.2, 0.9, 12)
    fit = fit_topple(even, 0.04)
    assert fit.rate2 == pytest.approx(0.0, abs=1e-6)
    assert rest_lean(even, replace(fit, rate2=0.0)) is None


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("backward", [False, True])
@pytest.mark.parametrize("rest_deg", [1.0, 4.0])
def test_a_rod_is_told_as_one(fps, backward, rest_deg):
    clip = toppled(leans(rest_deg, ROD, fps), fps=fps, backward=backward)
    (topple,) = find_topples(build_basis(clip, FALL))
    assert topple.of_rod == pytest.approx(1.0, abs=0.02)
    assert topple.took_s == pytest.approx(topple.rod_s, abs=0.01)
    assert topple.way == pytest.approx((0.0, 1.0 if backward else -1.0), abs=0.01)
    shot = check_clip(clip, FALL)
    assert not shot.findings
    assert "topples from 1" in shot.good[0]
    assert shot.measures["topple_s"] == pytest.approx(shot.measures["topple_rod_s"], abs=0.01)
    assert shot.measures["topple_pendulum_s"] < shot.measures["topple_rod_s"]
    assert "gravity" not in dict(shot.skipped)


@pytest.mark.parametrize("scale", [1.0, 10.0])
@pytest.mark.parametrize("fps", [24.0, 30.0])
def test_a_body_that_hangs_as_it_topples_is_found(fps, scale):
    clip = toppled(leans(2.0, 0.45 * ROD, fps), fps=fps, scale=scale, height_m=HEIGHT_M)
    (finding,) = check_clip(clip, FALL).findings
    assert (finding.check, finding.part, finding.severity) == ("gravity", "root", "major")
    assert finding.amount == pytest.approx(0.55 * GRAVITY, rel=0.05)
    assert "it hangs" in finding.says
    told = re.search(r"in (\d+) frames; .* needs (?:(\d+) to )?(\d+)", finding.says)
    took, slow = int(told[1]), int(told[3])
    assert finding.frames[1] - finding.frames[0] == took
    assert took * np.sqrt(0.45) == pytest.approx(slow, abs=1.0)
    assert int(told[2] or slow) <= slow


def test_the_advice_gives_gravity_back():
    clip = toppled(leans(2.0, 0.45 * ROD, 24.0))
    (finding,) = check_clip(clip, FALL).findings
    needs, less = map(
        int, re.search(r"take (\d+) frames: take out (\d+)", finding.suggestion.text).groups()
    )
    times = (needs / (needs + less)) ** 2
    mended = check_clip(toppled(leans(2.0, 0.45 * ROD / times, 24.0)), FALL)
    assert not mended.findings


def test_a_body_that_is_pushed_down_is_found():
    (finding,) = check_clip(toppled(leans(2.0, 1.8 * PENDULUM, 24.0)), FALL).findings
    assert "it is pushed down" in finding.says
    assert "add" in finding.suggestion.text


def test_an_even_lean_over_is_found():
    """It goes down at one speed: no fall does."""
    lean = np.radians(
        np.concatenate((np.full(8, 5.0), np.linspace(5.0, 70.0, 40), np.full(8, 70.0)))
    )
    (finding,) = check_clip(toppled(lean), FALL).findings
    assert "it hangs" in finding.says


def test_between_rod_and_pendulum_and_a_little_beyond_nothing_is_said():
    for rate2 in (0.8 * ROD, PENDULUM, 1.2 * PENDULUM):
        assert not check_clip(toppled(leans(2.0, rate2, 24.0)), FALL).findings


@pytest.mark.parametrize("part", [None, "chest"])
def test_inside_a_declared_event_it_is_a_measure(part):
    clip = toppled(
        leans(2.0, 0.45 * ROD, 24.0), events=(Event(frames=(1.0, 60.0), kind="pull", part=part),)
    )
    shot = check_clip(clip, FALL)
    assert not shot.findings
    assert shot.measures["topple_s"] > 1.3 * shot.measures["topple_rod_s"]


def test_a_topple_that_is_pushed_on_its_way_is_no_even_fall():
    lean = leans(2.0, ROD, 24.0)
    at = int(np.argmax(lean > np.radians(22.0)))
    pushed = lean + np.where(np.arange(len(lean)) > at, 1.2 / 24.0 * (np.arange(len(lean)) - at), 0)
    pushed = np.minimum(pushed, lean.max())
    (topple,) = find_topples(build_basis(toppled(pushed), FALL))
    assert not topple.even


def _hesitating(seconds, fps=24.0):
    """A rod that falls over, stays at 25 degrees for a while, and goes on from there as it came."""
    lean = leans(2.0, ROD, fps)
    waits = int(np.argmax(lean > np.radians(25.0)))
    creeps = lean[waits] + np.radians(0.05) * np.arange(round(seconds * fps))
    rest = lean[waits + 1 :] - lean[waits] + creeps[-1]
    return toppled(np.concatenate((lean[: waits + 1], creeps[1:], rest)), fps=fps)


@pytest.mark.parametrize("fps", [24.0, 30.0])
def test_one_that_waits_on_its_way_is_blamed_for_longer_than_any_rod_takes(fps):
    """A rod at rest at 10 degrees takes longest from there: scipy solves its equation."""
    clip = _hesitating(0.5, fps)
    (topple,) = find_topples(build_basis(clip, FALL))
    assert not topple.even
    start, end = np.radians((topple.start_deg, topple.end_deg))
    solved = solve_ivp(
        lambda _t, s: [s[1], ROD * np.sin(s[0])],
        (0.0, 10.0),
        [start, 0.0],
        dense_output=True,
        rtol=1e-9,
    )
    assert solved.sol(topple.most_s)[0] == pytest.approx(end, abs=0.01)
    assert topple.took_s > np.sqrt(1.4) * topple.most_s > topple.rod_s
    (finding,) = check_clip(clip, FALL).findings
    assert "it hangs" in finding.says
    needs = int(re.search(r"take (\d+) frames: take out", finding.suggestion.text)[1])
    assert needs / fps == pytest.approx(topple.rod_s, abs=1.0 / fps)


def test_one_that_waits_for_less_is_blamed_where_it_is_surely_slow():
    """By less than a rod may take from there at rest, but surely more slowly than from a stand."""
    clip = _hesitating(0.4)
    (topple,) = find_topples(build_basis(clip, FALL))
    assert not topple.even and topple.took_s < np.sqrt(1.4) * topple.most_s
    (finding,) = check_clip(clip, FALL).findings
    assert "it hangs" in finding.says


def test_one_that_waits_within_a_rods_time_is_told_to_be_unjudged():
    shot = check_clip(_hesitating(0.3), FALL)
    assert not shot.findings and not shot.good
    assert "does not gain speed as one fall does" in dict(shot.skipped)["gravity"]


def test_no_topples_where_knees_give_way_or_nothing_falls():
    lean = leans(2.0, 0.45 * ROD, 24.0)
    fold = np.linspace(0.0, 1.2, len(lean))
    assert not find_topples(build_basis(toppled(lean, fold=fold), FALL))
    assert not find_topples(build_basis(figure(), FALL))
    assert not find_topples(build_basis(toppled(np.full(30, 0.02)), FALL))
    # A bow that goes no further than 30 degrees.
    sway = np.radians(15.0 - 15.0 * np.cos(np.linspace(0.0, 2.0 * np.pi, 60)))
    assert not find_topples(build_basis(toppled(sway), FALL))


def test_a_figure_of_unknown_height_is_not_judged():
    clip = toppled(leans(2.0, 0.45 * ROD, 24.0), scale=10.0)
    assert not check_clip(clip, FALL).findings


def test_gaps_are_not_judged():
    clip = toppled(leans(2.0, 0.45 * ROD, 24.0))
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[20:50] = False
    assert not check_clip(replace(clip, valid=valid), FALL).findings
