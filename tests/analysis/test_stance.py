# SPDX-License-Identifier: GPL-3.0-or-later
"""How long feet bear: of gaits whose contacts are known, and of people as it is published.

People's feet bear for about 60 % of a walking stride, and both at once for about 20 % (Perry &
Burnfield 2010, Gait Analysis, 2nd ed.: 62 % and 24; Winter 2009, Biomechanics and Motor Control of
Human Movement, 4th ed.: 60 % and 20; all from memory). A run has no time on both feet.
"""

import os
from dataclasses import replace

import numpy as np
import pytest
from walker import STANCE, Walk, walk

from analysis import Settings
from analysis.basis import build_basis
from analysis.gait import find_gait
from analysis.loop import find_cycle
from analysis.stance import Tread, bears

if os.environ.get("PLUMBLINE_CAPTURED") is None:
    pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner", allow_module_level=True)

from demo_scenes.captured.clip import to_clip
from tests.quality.captured import motions
from tests.quality.cycle_strides import stride_round
from tests.quality.cycle_walks import draw_style, walk_round
from tests.quality.cycles import resampled
from tests.quality.stride_keys import Gait, off_after
from tests.quality.strides import gait_clip
from tests.quality.timing import sampled

RATES = [24.0, 30.0, 60.0]
DT_S, HEIGHT_M = 1.0 / 30.0, 1.7


def gait_of(clip):
    basis = build_basis(clip, Settings(cycle="no"))
    return find_gait(basis, find_cycle(basis)), basis.dt_s


def frames_off(clip, share):
    """How many frames either end of a foot's time on the floor is off, on average, and the most."""
    gait, dt_s = gait_of(clip)
    off = [0.5 * (stride.duty - share) * stride.seconds / dt_s for stride in gait.strides]
    return abs(float(np.mean(off))), float(np.abs(off).max())


@pytest.mark.parametrize("fps", RATES)
@pytest.mark.parametrize("in_place", [False, True])
def test_a_walker_s_feet_bear_while_they_stand(fps, in_place):
    """Its feet begin and end their swings on a minimum-jerk curve: 1 mm in the first 60th."""
    mean, most = frames_off(walk(Walk(frames=round(6 * fps), fps=fps, in_place=in_place)), STANCE)
    assert mean <= (1.0 if fps < 60.0 else 1.5)
    assert most <= (1.5 if fps < 60.0 else 2.0)


@pytest.mark.parametrize("fps", RATES)
@pytest.mark.parametrize("seed", range(4))
def test_feet_that_roll_over_heel_and_toe_bear(fps, seed):
    """The heel turns about the toes until the foot swings, on the same curve."""
    style = draw_style(np.random.default_rng([99, seed]))
    form = replace(to_clip(motions()[0]), fps=fps)
    each = walk_round(form, np.random.default_rng([99, seed]), jitter=seed % 2 > 0)
    mean, _most = frames_off(each.played(np.arange(4.0 * each.length)), style.stance)
    assert mean <= (1.0 if fps < 60.0 else 1.6)


@pytest.mark.parametrize("fps", RATES)
@pytest.mark.parametrize("running", [False, True])
@pytest.mark.parametrize("crisp", [False, True])
def test_keyed_feet_bear_from_landing_to_leaving(fps, running, crisp):
    count = 2 * round(0.5 * fps * (0.7 if running else 1.1))
    plan = Gait(frames=count, running=running, crisp=crisp, stride_m=1.8 if running else 1.2)
    clip = gait_clip(plan, fps, "gait", cycle=None, rounds=4)
    mean, _most = frames_off(clip, off_after(plan) / count)
    assert mean <= 1.0
    gait, _dt_s = gait_of(clip)
    assert gait.running is running
    assert (gait.mean("double") > 0.1) is not running
    assert not running or gait.mean("double") == 0.0


@pytest.mark.parametrize("fps", [12.0, *RATES])
@pytest.mark.parametrize("running", [False, True])
def test_frames_are_counted_with_both_ends_of_a_plant(fps, running):
    """Keyed down on frame 0 and, for the last time, on the frame after which it is off."""
    count = 2 * round(0.5 * fps * (0.7 if running else 1.1))
    plan = Gait(frames=count, running=running, crisp=True, stride_m=1.8 if running else 1.2)
    gait, _dt_s = gait_of(gait_clip(plan, fps, "gait", cycle=None, rounds=4))
    down = round(off_after(plan)) + 1
    for side in ("left", "right"):
        assert gait.mean(side) == pytest.approx(down / count)
    assert gait.mean("double") == pytest.approx(max(2 * down / count - 1.0, 0.0))


@pytest.mark.parametrize("fps", [24.0, 30.0])
def test_of_what_keeps_to_no_frames_as_many_are_counted_as_it_bears_for(fps):
    """The same walk, begun at tenths of a frame: to half a frame, on average."""
    count = 2 * round(5.0 * fps * 1.1)
    plan = Gait(frames=count, running=False, crisp=True, stride_m=1.2)
    fine = gait_clip(plan, 10.0 * fps, "gait", cycle=None, rounds=4)
    shares = []
    for first in range(10):
        at = np.arange(first, len(fine.frames), 10)
        gait, _dt_s = gait_of(replace(sampled(fine, at.astype(float)), fps=fps))
        shares.append(0.5 * (gait.mean("left") + gait.mean("right")))
    known = off_after(plan) / count
    assert np.mean(shares) == pytest.approx(known, abs=0.5 / (0.1 * count))
    assert np.ptp(shares) <= 1.01 / (0.1 * count)


@pytest.mark.parametrize("fps", RATES)
@pytest.mark.parametrize("half", ["walk.1", "walk.2"])
def test_a_captured_walk_bears_as_people_s_do(fps, half):
    """Each half of pybullet's walk with its mirror image, at .98 m/s."""
    motion = next(each for each in motions() if each.name == half)
    each = to_clip(motion)
    stride = stride_round(each)
    count = round(stride.length * fps / each.fps)
    gait, _dt_s = gait_of(resampled(stride, count, fps).played(np.arange(4.0 * count)))
    assert not gait.running
    for side in ("left", "right"):
        assert 0.58 <= gait.mean(side) <= 0.63
    assert 0.17 <= gait.mean("double") <= 0.24


def tread_of(ahead, up=0.0):
    """One point of a sole that goes so far ahead, metres, on each of E - 1 steps; low or not."""
    count = len(ahead) + 1
    steps = np.zeros((count, 1, 3))
    steps[:-1, 0, 1] = -np.asarray(ahead)
    low = np.broadcast_to(np.asarray(up) < 0.02, (count,))
    return Tread(low[:, None].copy(), steps)


def spans_of(ahead, plant, up=0.0):
    """First and last sample on which the foot bears, under a body at 1.2 m/s along -Y."""
    count = len(ahead) + 1
    lead = np.outer(np.arange(count) * 1.2 * DT_S, [0.0, -1.0, 0.0])
    stands = np.zeros(count, dtype=bool)
    stands[plant[0] : plant[1] + 1] = True
    found = np.flatnonzero(bears(stands, tread_of(ahead, up), lead, DT_S, HEIGHT_M))
    assert (np.diff(found) == 1).all()
    return int(found[0]), int(found[-1])


SWING = [0.08] * 6


def test_a_plant_that_swings_slowly_at_its_ends_is_cut():
    ahead = [*SWING, 0.012, *[0.0] * 10, 0.011, *SWING]
    assert spans_of(ahead, (6, 18)) == (7, 17)


def test_a_heel_that_comes_back_has_landed():
    """It went a centimetre too far, and is back where it stands."""
    ahead = [*SWING, 0.007, -0.012, 0.004, *[0.0] * 10, *SWING]
    assert spans_of(ahead, (9, 19)) == (6, 19)


def test_toes_that_creep_bear_until_they_go():
    ahead = [*SWING, *[0.0] * 10, 0.001, 0.0005, 0.015, *SWING]
    assert spans_of(ahead, (6, 14)) == (6, 18)


def test_what_is_not_low_does_not_bear():
    up = np.zeros(23)
    up[14:] = 0.1
    assert spans_of([*SWING, *[0.0] * 10, *SWING], (6, 13), up) == (6, 13)


def test_a_plant_that_is_low_for_a_moment_only():
    """Most of its steps tell nothing: they are in gaps, or over its edge."""
    up = np.full(23, 0.1)
    up[9:11] = 0.0
    assert spans_of([*SWING, *[0.0] * 10, *SWING], (6, 13), up) == (9, 10)
    assert spans_of([*SWING, *[0.0] * 10, *SWING], (6, 13), np.full(23, 0.1)) == (6, 13)


def test_a_foot_that_slips_evenly_bears_all_the_same():
    """As fast as the rest of its plant is not away."""
    ahead = [*SWING, *[0.01] * 10, *SWING]
    assert spans_of(ahead, (6, 16)) == (6, 16)


def test_size_and_heading_do_not_matter():
    ahead = np.array([*SWING, 0.007, -0.012, 0.004, *[0.0] * 10, 0.001, 0.004, *SWING])
    tread = tread_of(ahead)
    count = len(ahead) + 1
    lead = np.outer(np.arange(count) * 1.2 * DT_S, [0.0, -1.0, 0.0])
    stands = np.zeros(count, dtype=bool)
    stands[9:20] = True
    usual = bears(stands, tread, lead, DT_S, HEIGHT_M)
    turn = np.array([[0.6, -0.8, 0.0], [0.8, 0.6, 0.0], [0.0, 0.0, 1.0]])
    moved = Tread(tread.low, 10.0 * tread.steps @ turn.T)
    found = bears(stands, moved, 10.0 * lead @ turn.T, DT_S, 10.0 * HEIGHT_M)
    np.testing.assert_array_equal(found, usual)


def test_a_body_that_stays_over_its_feet_leaves_plants_as_they_are():
    stands = np.zeros(20, dtype=bool)
    stands[4:12] = True
    found = bears(stands, tread_of([0.05] * 19), np.zeros((20, 3)), DT_S, HEIGHT_M)
    np.testing.assert_array_equal(found, stands)


def test_plants_of_one_foot_never_meet():
    """A foot that steps within a frame or two."""
    stands = np.ones(30, dtype=bool)
    stands[14:16] = False
    lead = np.outer(np.arange(30) * 0.04, [0.0, -1.0, 0.0])
    found = bears(stands, tread_of([0.0] * 29), lead, DT_S, HEIGHT_M)
    assert not found[14:16].all()
    assert len(np.flatnonzero(np.diff(found.astype(int)))) == 2


def test_a_loop_s_foot_bears_over_the_seam():
    """It stands at the round's end, and pushes off in its first samples: rounds are laid out."""
    tread = tread_of([0.001, *[0.1] * 11, *[0.0] * 7])
    again = tread.again(np.array([[0.0, -0.0005, 0.0]]), 20, 3)
    stands = np.tile(np.arange(20) >= 12, 3)
    lead = np.outer(np.arange(60) * 0.04, [0.0, -1.0, 0.0])
    found = bears(stands, again, lead, DT_S, HEIGHT_M)
    np.testing.assert_array_equal(np.flatnonzero(found[20:40]), [0, 1, *range(12, 20)])
    np.testing.assert_array_equal(np.flatnonzero(found[:20]), range(12, 20))
