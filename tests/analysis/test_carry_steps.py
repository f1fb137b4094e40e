# SPDX-License-Identifier: GPL-3.0-or-later
"""Steps in which a body goes further than its leg carries it: on walks whose travel is known."""

import itertools
from dataclasses import replace

import numpy as np
import pytest
from walker import ANKLE, STANCE, steer

from analysis import Event, Settings, check_clip
from analysis.basis import build_basis
from analysis.carry_steps import find_stepped, find_steps

ASKED = Settings(cycle="no", checks=("carry",), height_m=1.78)
STRIDE_S, STEP_M = 1.0, 0.6
STEP_S = 0.5 * STRIDE_S


def even(u):
    return u


def smooth_step(u):
    """Minimum jerk: Flash & Hogan 1985, J Neurosci 5:1688-1703."""
    return u**3 * (10.0 - 15.0 * u + 6.0 * u**2)


def pendulum(u, height_m=0.9):
    """Over one foot to over the next on a linear inverted pendulum: x'' = g x / h about each
    foot, from mechanics; the half before the next foot mirrors the half after this one."""
    w = np.sqrt(9.80665 / height_m)
    half = np.sinh(w * STEP_S * np.minimum(u, 1.0 - u)) / np.sinh(0.5 * w * STEP_S)
    return np.where(u < 0.5, 0.5 * half, 1.0 - 0.5 * half)


def walk(*, lengths=(STEP_M,) * 8, fps=24.0, arc=even, floats=None, extra=0.0, **meta):
    """A walk along -Y of steps of these lengths, each of half a second, from over one foot to over
    the next; `floats`: the step in which body and feet go further by `extra` metres, smoothly."""
    time = np.arange(round(len(lengths) * STEP_S * fps) + 1) / fps
    # Where the feet stand, one after the other, from two steps before the first on.
    every = np.array([lengths[0]] * 2 + list(lengths) + [lengths[-1]] * 2)
    feet = np.cumsum(np.concatenate(([-2.0 * lengths[0]], every)))
    at = np.minimum((time / STEP_S + 1e-9).astype(int), len(lengths) - 1)
    travel = feet[at + 2] + every[at + 2] * arc(time / STEP_S - at)
    if floats is not None:
        feet[floats + 3 :] += extra
        travel += extra * smooth_step(np.clip(time / STEP_S - floats, 0.0, 1.0))
    ways = {side: _foot(feet, time, first) for side, first in (("L", 0), ("R", 1))}
    bob = 0.015 * np.cos(2.0 * np.pi * time / STEP_S)
    root = np.stack((0.02 * np.sin(np.pi * time / STEP_S), -travel, 0.76 + bob), axis=-1)
    return steer(root, ways, fps, **meta)


def _foot(feet, time, first):
    """(T,3) an ankle that stands on every second place, from `first` on, around the time at which
    the body is over it; the body is over the third place at 0."""
    half = 0.5 * STANCE * STRIDE_S
    way = np.zeros((len(time), 3))
    way[:] = [0.1 if first == 0 else -0.1, -feet[first], ANKLE]
    for n in range(first, len(feet) - 2, 2):
        lifts, lands = (n - 2) * STEP_S + half, n * STEP_S - half
        u = np.clip((time - lifts) / (lands - lifts), 0.0, 1.0)
        way[:, 1] -= (feet[n + 2] - feet[n]) * smooth_step(u)
        way[:, 2] += 0.12 * np.sin(np.pi * u) ** 2
    return way


def quicker(frames, first, *, fps=24.0):
    """A walk that from a sample on goes through a step's way in so many frames less, smoothly."""
    clip = walk(lengths=(STEP_M,) * 10, fps=fps)
    step = STEP_S * fps
    count = len(clip.frames) - frames
    at = np.arange(count, dtype=np.float64)
    at += frames * smooth_step(np.clip((at - first) / (step - frames), 0.0, 1.0))
    below = np.clip(np.floor(at).astype(int), 0, len(clip.frames) - 2)
    part = (at - below)[:, None, None]
    positions, turns = (
        (1.0 - part) * each[below] + part * each[below + 1]
        for each in (clip.positions, clip.rotations)
    )
    turns /= np.linalg.norm(turns, axis=-1, keepdims=True)
    return replace(clip, positions=positions, rotations=turns, frames=clip.frames[:count])


def found(clip, settings=ASKED):
    return [(f.check, f.part) for f in check_clip(clip, settings).findings]


def test_steps_are_measured_from_over_one_foot_to_over_the_next():
    basis = build_basis(walk(fps=60.0), ASKED)
    steps, pace = find_steps(basis), -60.0 * np.gradient(basis.com[:, 1])
    assert len(steps) >= 5
    for step in steps:
        assert step.seconds == pytest.approx(STEP_S, abs=0.03)
        assert step.metres == pytest.approx(STEP_M, abs=0.03)
        over = np.interp([step.first, step.last], np.arange(len(pace)), pace)
        assert step.speed == pytest.approx(over.mean(), rel=0.03)
        assert step.way == pytest.approx([0.0, -1.0], abs=0.03)
    assert {a.side != b.side for a, b in itertools.pairwise(steps)} == {True}


def test_a_pendulum_s_ratio_is_what_mechanics_gives():
    """From over a foot at v0: D = 2 v0 / w sinh(x), so D / (T v0) = sinh(x) / x with x = w T / 2.

    Beside a walk at an even pace, as the legs that swing count in both."""
    x = 0.5 * np.sqrt(9.80665 / 0.9) * STEP_S
    clips = [walk(fps=60.0, arc=each) for each in (even, pendulum)]
    even_walk, swung = (find_steps(build_basis(each, ASKED)) for each in clips)
    times = np.median([step.ratio for step in swung])
    times /= np.median([step.ratio for step in even_walk])
    assert times == pytest.approx(np.sinh(x) / x, rel=0.03)


@pytest.mark.parametrize("begins", [4.0, 3.9, 3.8, 3.75, 4.1])
def test_a_step_played_quicker_is_found_wherever_in_it_that_begins(begins):
    """Begun before the body is over the foot, it shoots over it: that gives it no right to more."""
    (finding,) = check_clip(quicker(4, begins * STEP_S * 24.0), ASKED).findings
    assert finding.check == "carry"
    assert finding.frames[0] == pytest.approx(1 + 4 * 12, abs=3)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("arc", [even, pendulum])
def test_a_step_that_floats_is_found_at_any_rate(fps, arc):
    clip = walk(fps=fps, arc=arc, floats=3, extra=0.18)
    shot = check_clip(clip, ASKED)
    (finding,) = shot.findings
    assert (finding.check, finding.part, finding.severity) == ("carry", "root", "major")
    assert finding.frames == pytest.approx((1 + 1.5 * fps, 1 + 2.0 * fps), abs=0.1 * fps)
    assert finding.amount == pytest.approx(18.0, abs=5.0)
    assert shot.measures["step_beyond_pct"] > 12.0
    assert found(walk(fps=fps, arc=arc)) == []


def test_the_sentences_name_frames_lengths_and_both_ways_out():
    (finding,) = check_clip(walk(floats=3, extra=0.18), ASKED).findings
    assert "floats forward in the step from frame 37 to 49" in finding.says
    assert "over the right foot to over the next one it goes 7" in finding.says
    assert "or give the step 15 frames, not 12" in finding.suggestion.text
    assert f"{finding.amount:.1f} cm nearer" in finding.suggestion.text


def test_good_walks_are_said_to_be_good():
    shot = check_clip(walk(arc=pendulum), ASKED)
    assert any("further than its leg carries the body" in each for each in shot.good)
    assert "carry" not in dict(shot.skipped)


def test_limps_and_walks_that_gather_speed_are_left_alone():
    assert found(walk(lengths=(0.6, 0.45) * 5)) == []
    assert found(walk(lengths=tuple(np.linspace(0.4, 0.7, 10)))) == []
    assert found(walk(lengths=tuple(np.linspace(0.7, 0.4, 10)))) == []


def test_a_little_further_is_no_finding():
    assert found(walk(floats=3, extra=0.04)) == []


def test_a_tolerance_widens_the_limit():
    clip = walk(floats=3, extra=0.11)
    assert found(clip) == [("carry", "root")]
    assert found(clip, replace(ASKED, tolerance="loose")) == []


def test_events_of_the_whole_figure_and_too_few_steps_are_told():
    clip = walk(floats=3, extra=0.18)
    gust = Event(frames=(38.0, 46.0), part=None, direction=None, kind="hit")
    pulled = replace(clip, meta=replace(clip.meta, events=(gust,)))
    assert found(pulled) == []
    short = clip.cut(30, 66)
    assert found(short) == []
    assert "four in a row are compared" in dict(check_clip(short, ASKED).skipped)["carry"]


def test_blocking_is_not_asked_about_steps():
    assert found(walk(floats=3, extra=0.18), replace(ASKED, stage="blocking")) == []


def test_all_checks_together_tell_one_thing():
    clip = walk(fps=30.0, arc=pendulum, floats=3, extra=0.18)
    told = check_clip(clip, Settings(cycle="no", height_m=1.78)).findings
    plain = check_clip(walk(fps=30.0, arc=pendulum), Settings(cycle="no", height_m=1.78)).findings
    usual = {(f.check, f.part) for f in plain}
    new = [(f.check, f.part) for f in told if (f.check, f.part) not in usual]
    assert new == [("carry", "root")]


def test_gaps_and_short_clips_are_no_trouble():
    clip = walk(floats=3, extra=0.18)
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[40:44] = False
    assert found(replace(clip, valid=valid)) == []
    for last in (2, 4, 9, 20):
        assert found(clip.cut(1, last)) == []
    assert find_stepped(build_basis(clip.cut(1, 3), ASKED)) == []
