# SPDX-License-Identifier: GPL-3.0-or-later
"""Topples told from the stand that they leave: by energy, by time, and by advice that clears."""

import re
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicSpline
from toppling import GRAVITY, HEIGHT_M, com_at_rest, leans, toppled

from analysis import Event, Settings, check_clip
from analysis.basis import build_basis
from analysis.topple import find_topples

FALL = Settings(cycle="no", checks=("gravity",))
ROD = 1.5 * GRAVITY / HEIGHT_M
EDGE_M = float(np.hypot(*(com_at_rest() - [-0.16, 0.0])))
PENDULUM = GRAVITY / EDGE_M
RESTS_DEG, LIES_DEG = 3.0, 84.0


def eased(count, *, rests_deg=RESTS_DEG, before=9, after=25):
    """(T,) radians: upright to flat in so many frames, on the smoothest path between two rests (a
    polynomial of fifth degree: Flash & Hogan 1985, J Neurosci 5:1688-1703)."""
    u = np.clip((np.arange(before + count + after) - before) / count, 0.0, 1.0)
    shares = u**3 * (10.0 - 15.0 * u + 6.0 * u**2)
    return np.radians(rests_deg + (LIES_DEG - rests_deg) * shares)


def told(clip, settings=FALL):
    """The only finding, or None; why there is none, if that is said."""
    shot = check_clip(clip, settings)
    assert len(shot.findings) <= 1
    return (shot.findings or (None,))[0], dict(shot.skipped).get("gravity", "")


def stand_of(clip):
    (topple,) = find_topples(build_basis(clip, FALL))
    return topple.stand


def retimed(lean, first, last, count):
    """Leans of frames counted from 1: those from first to last in so many frames more."""
    at = np.arange(len(lean))
    inside = np.linspace(first - 1.0, last - 1.0, count + 1)
    return CubicSpline(at, lean)(np.concatenate((at[: first - 1], inside, at[last:])))


@pytest.mark.parametrize("fps", [24.0, 30.0])
@pytest.mark.parametrize("seconds", [1 / 3, 0.42, 0.6, 0.75])
def test_an_eased_topple_far_too_fast_is_pushed_down(seconds, fps):
    finding, _ = told(toppled(eased(round(seconds * fps)), fps=fps))
    assert finding.severity == "major"
    assert "from its stand: it is pushed down" in finding.says
    assert re.search(r"From where it leaves its stand .* add \d+", finding.suggestion.text)


@pytest.mark.parametrize("fps", [24.0, 60.0])
@pytest.mark.parametrize("share", [0.45, 0.84, 1.0, 1.7, 3.0])
def test_its_speed_is_held_against_what_it_has_come_down(share, fps):
    """A body that gains speed at a share of a pendulum's rate has that share of its energy."""
    clip = toppled(leans(3.0, share * PENDULUM, fps, end_deg=88.0), fps=fps)
    assert stand_of(clip).of_drop == pytest.approx(share, rel=0.03)
    finding, _ = told(clip)
    assert (finding is not None and "pushed down" in finding.says) == (share > 1.4)


@pytest.mark.parametrize("fps", [24.0, 30.0])
@pytest.mark.parametrize("rest_deg", [1.5, 4.0])
def test_what_it_needs_is_counted_from_its_stand(rest_deg, fps):
    """scipy solves the equations of rod and pendulum, let go where this body stands."""
    clip = toppled(leans(rest_deg, 3.0 * ROD, fps), fps=fps)
    stand = stand_of(clip)
    ends = np.radians((stand.start_deg, stand.end_deg))
    assert stand.start_deg > rest_deg > stand.start_deg - 1.0
    for rate, seconds in ((ROD, stand.rod_s), (PENDULUM, stand.pendulum_s)):
        path = solve_ivp(
            lambda _t, s, rate=rate: [s[1], rate * np.sin(s[0])],
            (0.0, 4.0),
            [np.radians(rest_deg), 0.0],
            dense_output=True,
            rtol=1e-9,
            atol=1e-12,
        )
        time = np.linspace(0.0, 4.0, 8001)
        first, last = (time[np.argmax(path.sol(time)[0] >= end)] for end in ends)
        assert last - first == pytest.approx(seconds, abs=0.01)
    finding, _ = told(clip)
    assert finding.frames == (stand.first + 1.0, stand.last + 1.0)
    assert f"needs {round(stand.pendulum_s * fps)} to" in finding.says


@pytest.mark.parametrize("backward", [False, True])
@pytest.mark.parametrize("pace", [0.5, 0.7, 1.4, 2.0])
def test_the_advice_done_on_its_frames_clears_it(pace, backward):
    lean = leans(3.0, pace**2 * ROD, 24.0, end_deg=88.0, before=12)
    finding, _ = told(toppled(lean, backward=backward))
    assert ("it hangs" in finding.says) == (pace < 1.0)
    first, last = (int(each) for each in finding.frames)
    needs = int(re.search(r"fall take (\d+) frames", finding.suggestion.text)[1])
    mended, why = told(toppled(retimed(lean, first, last, needs), backward=backward))
    assert mended is None and not why


@pytest.mark.parametrize("paces", [(1.25, 1.4, 1.7, 2.0), (0.75, 0.6, 0.5, 0.35)])
def test_the_more_it_is_off_the_more_is_seen(paces):
    """By so much that it is major from where it is clearly over the limit."""
    clips = [toppled(leans(3.0, pace**2 * ROD, 24.0, end_deg=88.0)) for pace in paces]
    stands = [stand_of(each) for each in clips]
    fast = [paces[0] > 1.0] * len(paces)
    seen = [s.off_pendulum_rad if f else s.off_rod_rad for s, f in zip(stands, fast, strict=True)]
    assert np.all(np.diff(seen) > 0.05)
    assert [told(each)[0].severity for each in clips[1:]] == ["major"] * 3


@pytest.mark.parametrize("fps", [24.0, 30.0])
def test_an_eased_topple_in_a_falls_time_is_to_keep_its_frames(fps):
    """Let go so near to upright, a body takes as long as this one, but faster and faster."""
    finding, _ = told(toppled(eased(round(1.75 * fps), rests_deg=1.2), fps=fps))
    assert "in time, but it hangs on its way" in finding.says
    assert "Keep its frames" in finding.suggestion.text


def test_an_eased_topple_that_is_not_blamed_is_told_to_be_unjudged():
    """Not too fast for its drop, not too slow, and no even fall."""
    clip = toppled(eased(38))
    assert stand_of(clip).of_drop < 1.4
    finding, why = told(clip)
    assert finding is None
    assert "topples" in why and "nothing leaves the ground" not in why


def test_a_body_that_folds_as_it_goes_down_is_told_to_be_unjudged():
    lean = leans(3.0, ROD, 24.0)
    finding, why = told(toppled(lean, fold=np.linspace(0.0, 1.2, len(lean))))
    assert finding is None
    assert re.search(r"goes down over its feet on frames \d+ to \d+, but bends", why)
    _, why = told(toppled(np.zeros(40)))
    assert why == "nothing leaves the ground in this range"


def test_a_body_that_is_under_way_has_no_stand():
    """It may have been set going by anything."""
    lean = leans(2.0, 1.2 * PENDULUM, 24.0, before=0)
    cut = toppled(lean[lean > np.radians(7.0)])
    assert stand_of(cut) is None
    assert stand_of(toppled(lean)) is not None
    assert told(cut)[0] is None


def test_a_push_on_its_way_is_blamed_from_what_its_drop_cannot_give():
    lean = leans(2.0, ROD, 24.0)
    at = int(np.argmax(lean > np.radians(22.0)))
    after = np.maximum(np.arange(len(lean)) - at, 0.0) / 24.0
    found = {}
    for speed in (0.2, 1.2):
        clip = toppled(np.minimum(lean + speed * after, lean.max()))
        found[speed] = (told(clip)[0] is not None, stand_of(clip).of_drop > 1.4)
    assert found == {0.2: (False, False), 1.2: (True, True)}


@pytest.mark.parametrize("events", [(2.0, 5.0), (1.0, 60.0)])
def test_what_was_declared_to_push_it_from_its_stand_is_not_blamed(events):
    clip = toppled(eased(14, before=1))
    assert told(clip)[0] is not None
    event = Event(frames=events, kind="hit", part="chest")
    finding, _ = told(replace(clip, meta=replace(clip.meta, events=(event,))))
    assert finding is None


@pytest.mark.parametrize("scale", [1.0, 10.0])
def test_its_size_does_not_matter(scale):
    plain = stand_of(toppled(eased(14)))
    large = stand_of(toppled(eased(14), scale=scale, height_m=HEIGHT_M))
    assert large.of_drop == pytest.approx(plain.of_drop, rel=1e-6)
    assert large.rod_s == pytest.approx(plain.rod_s, rel=1e-6)
