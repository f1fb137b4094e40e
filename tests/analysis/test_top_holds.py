# SPDX-License-Identifier: GPL-3.0-or-later
"""Jumps that stand still at their top, beside what lands, hangs or stands on something unseen.

A free jump of 35 cm lasts sqrt(8 h / g) = .534 s (Bosco, Luhtanen & Komi 1983); whatever it lasts
longer is planted here, so that the frames that are too many are known.
"""

import re
from dataclasses import replace

import numpy as np
import pytest
from figures import NAMES
from walker import hop, joined

from analysis import Settings, check_clip
from analysis.basis import build_basis
from analysis.free_fall import GRAVITY
from analysis.top_hold import find_top_hold

HANG = Settings(cycle="no", checks=("hang_time",))
ABOUT_FLIGHTS = Settings(cycle="no", checks=("hang_time", "gravity", "push", "carry"))
HEIGHT = 0.35
FREE_S = np.sqrt(8.0 * HEIGHT / GRAVITY)
BEFORE = 20


def stands(hold_s, drift=0.0):
    """Heights of a free jump that stands for so many seconds at its top, and drifts up there."""

    def shape(u):
        time = u * (FREE_S + hold_s)
        rises, falls = time - 0.5 * FREE_S, time - 0.5 * FREE_S - hold_s
        gone = np.where(rises < 0.0, rises, np.where(falls > 0.0, falls, 0.0))
        share = np.clip(rises / max(hold_s, 1e-9), 0.0, 1.0)
        up = drift * np.where(falls > 0.0, 1.0 - falls / (0.5 * FREE_S), share)
        return HEIGHT - 0.5 * GRAVITY * gone**2 + up

    return shape


def held(hold_s, *, fps=24.0, drift=0.0, **plan):
    """A hop that stands at its top for so many seconds."""
    plan = {"distance": 0.0, "before": BEFORE, "after": BEFORE, "tuck": 0.05} | plan
    return hop(fps=fps, air_s=FREE_S + hold_s, shape=stands(hold_s, drift), **plan)


def frames_told(text):
    """How many frames are to be taken out, from which to which."""
    told = re.match(r"Take out the (\d+) frames at the top \(frames (\d+) to (\d+)\)", text)
    return tuple(int(n) for n in told.groups())


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("hold_s", [0.2, 0.25, 1.0 / 3.0, 0.5])
@pytest.mark.parametrize("plan", [{}, {"scale": 10.0, "height_m": 1.7}, {"drift": 0.03}])
def test_a_jump_that_stands_at_its_top_hangs(fps, hold_s, plan):
    (finding,) = check_clip(held(hold_s, fps=fps, **plan), HANG).findings
    assert finding.check == "hang_time"
    assert finding.severity == "major" or hold_s < 0.25
    count, first, last = frames_told(finding.suggestion.text)
    assert count == last - first + 1
    assert count == pytest.approx(hold_s * fps, abs=1.0)
    # In the middle of the hop, whose first frame is 1.
    middle = BEFORE + 0.5 * (FREE_S + hold_s) * fps
    assert 0.5 * (first + last) == pytest.approx(middle, abs=0.05 * fps)


@pytest.mark.parametrize("hold_s", [0.25, 0.5])
@pytest.mark.parametrize("distance", [0.0, 1.2])
def test_taking_those_frames_out_clears_it(hold_s, distance):
    clip = held(hold_s, distance=distance)
    (finding,) = check_clip(clip, ABOUT_FLIGHTS).findings
    count, first, last = frames_told(finding.suggestion.text)
    index = np.arange(len(clip.frames))
    kept = (clip.frames < first) | (clip.frames > last)
    # What it travels on them, it lands nearer.
    at = int(np.flatnonzero(clip.frames == first)[0])
    way = (clip.positions[at + count] - clip.positions[at]).mean(axis=0) * [1.0, 1.0, 0.0]
    place = clip.positions - np.where(index >= at + count, 1.0, 0.0)[:, None, None] * way
    nearer = re.search(r"and land (\S+) cm less far", finding.suggestion.text)
    assert bool(nearer) == (distance > 0.0)
    if nearer:
        assert float(nearer[1]) == pytest.approx(100.0 * np.linalg.norm(way), abs=2.0)
    cut = replace(
        clip,
        frames=clip.frames[: kept.sum()],
        positions=place[kept],
        rotations=clip.rotations[kept],
        valid=None if clip.valid is None else clip.valid[kept],
    )
    shot = check_clip(cut, Settings(cycle="no", checks=("hang_time", "gravity")))
    assert not shot.findings
    assert shot.measures["fall_m_s2"] == pytest.approx(GRAVITY, rel=0.1)


def test_both_ways_out_are_told_where_something_may_bear_it():
    (finding,) = check_clip(held(0.5), HANG).findings
    assert finding.suggestion.text.endswith("; or declare what bears it.")
    (finding,) = check_clip(held(0.15), HANG).findings
    assert "declare" not in finding.suggestion.text


def why_withheld(clip):
    """Why a clip with one flight is not judged by any check of flights."""
    (flight,) = [each for each in build_basis(clip, HANG).flights if each.whole]
    assert flight.held
    shot = check_clip(clip, HANG)
    assert not shot.findings
    return dict(shot.skipped)["hang_time"]


@pytest.mark.parametrize("hold_s", [0.7, 1.0, 2.0])
def test_what_stands_for_longer_may_be_borne(hold_s):
    assert why_withheld(held(hold_s)).endswith(
        "yet it does not fall: declare what bears it; if nothing does, it hangs in the air"
    )


@pytest.mark.parametrize("after", [3, 6, 10])
@pytest.mark.parametrize("rise", [0.2, 0.3, 0.5])
def test_a_jump_onto_what_was_not_declared_and_off_again_is_withheld(rise, after):
    """It comes down onto it and is thrown up again, however short it stands."""
    up = hop(rise=rise, air_s=0.5, after=after, before=BEFORE, tuck=0.05)
    off = hop(rise=-rise, air_s=0.5, before=after, after=BEFORE, tuck=0.05)
    clip = joined(up, off)
    clip = replace(clip, meta=replace(clip.meta, floor_z=0.0))
    assert "declare what bears it" in why_withheld(clip)


def test_a_hand_above_the_head_may_hold_on():
    """As one that jumps to a bar, hangs there and lets go."""
    clip = held(0.4)
    assert check_clip(clip, HANG).findings
    place = np.array(clip.positions)
    hand, head = NAMES.index("hand.L"), NAMES.index("head")
    place[:, hand, 2] = place[:, head, 2] + 0.3
    assert "declare what bears it" in why_withheld(replace(clip, positions=place))


def test_what_rises_evenly_is_lifted():
    """As long in the air and as high as a jump that stands at its top, but it rises at no fall."""

    def lifted(u):
        return HEIGHT * np.minimum(1.0, 4.0 * np.minimum(u, 1.0 - u))

    clip = hop(air_s=1.2, shape=lifted, distance=0.0, before=BEFORE, after=BEFORE, tuck=0.05)
    assert "declare what bears it" in why_withheld(clip)


@pytest.mark.parametrize("hold", [3, 6, 12])
def test_the_samples_of_a_hold_are_known(hold):
    rise = HEIGHT - 0.5 * GRAVITY * (np.arange(-6, 1) / 24.0) ** 2
    heights = np.concatenate((rise, np.full(hold, HEIGHT), rise[-2::-1]))
    found = find_top_hold(heights, 1.0 / 24.0, 1.7)
    assert found.samples == hold
    assert 6 <= found.first <= 7


def test_a_free_path_has_no_hold():
    free = -0.5 * GRAVITY * (np.arange(-8, 9) / 24.0) ** 2
    assert find_top_hold(free, 1.0 / 24.0, 1.7) is None
    # Twice as slow and even: other timing of all of it mends that.
    assert find_top_hold(0.25 * free, 1.0 / 24.0, 1.7) is None
    assert find_top_hold(free[:5], 1.0 / 24.0, 1.7) is None


def test_a_flight_evened_in_its_time_is_told_to_be_evened():
    """Its height and its time are right: no frame is too many."""
    air_s = np.sqrt(8.0 * 0.4 / GRAVITY)
    flat = hop(air_s=air_s, shape=lambda u: 0.4 * (1.0 - np.abs(2.0 * u - 1.0) ** 6), tuck=0.0)
    (finding,) = check_clip(flat, HANG).findings
    assert "half of them should" in finding.suggestion.text
