# SPDX-License-Identifier: GPL-3.0-or-later
"""The spacing strip's numbers: a step a frame, gaps left out, one jump not in the way."""

import numpy as np
import pytest
from figures import figure, spike

from analysis import Clip, Settings
from analysis.pipeline import examine
from analysis.spacing_strip import full_height, speed_in, step_speed, strip_of
from analysis.trails import COM, Spot

FPS = 24.0


def moved(shift):
    """The root's path is a line that is walked by so many metres a frame (T,)."""
    clip = figure(frames=len(shift))
    positions = np.zeros_like(clip.positions)
    positions[..., 0] = np.cumsum(shift)[:, None]
    positions += clip.positions[:1]
    return Clip(**{**vars(clip), "positions": positions})


def test_each_frame_has_the_step_that_leads_to_it_and_a_frame_that_stands_shows():
    steps = np.full(24, 0.02)
    steps[10], steps[11] = 0.0, 0.04  # the mean of both sides would be even
    speed = strip_of(examine(moved(steps)), Spot("root")).speed
    assert np.isnan(speed[0])
    np.testing.assert_allclose(speed[1:], steps[1:] * FPS, atol=1e-12)


def test_speeds_are_those_at_the_characters_height():
    asked = Settings(height_m=1.8)
    one, ten = (examine(figure(scale=s), asked).basis for s in (1.0, 10.0))
    np.testing.assert_allclose(step_speed(one, Spot("hand.L")), step_speed(ten, Spot("hand.L")))


def test_steps_that_begin_or_end_in_a_gap_are_not_known():
    clip = figure()
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[10:13, clip.joint("hand.L")] = False
    strip = strip_of(examine(Clip(**{**vars(clip), "valid": valid})), Spot("hand.L"))
    assert np.flatnonzero(np.isnan(strip.speed)).tolist() == [0, 10, 11, 12, 13]
    assert len(strip.frames) == len(clip.frames)


def test_one_jump_stands_out_of_the_chart_and_what_stands_has_none():
    speed = np.r_[np.nan, np.full(40, 1.0), 30.0]
    assert full_height(speed) == pytest.approx(1.5)
    assert full_height(np.r_[np.nan, np.linspace(0.0, 2.0, 50)]) == pytest.approx(2.0)
    assert full_height(np.r_[np.zeros(60), 1.0]) == 1.0  # all else stands
    assert full_height(np.full(9, 1e-9)) == full_height(np.full(3, np.nan)) == 0.0


def test_findings_of_the_point_are_named_and_what_is_intended_is_not():
    clip = figure(turns={"head": spike(48, 24, 0.5)})
    examination = examine(clip)
    findings = examination.shot.findings
    (n,) = [n for n, each in enumerate(findings) if each.check == "pop"]
    at = int(np.flatnonzero(clip.frames == findings[n].peak_frame)[0])
    assert at in strip_of(examination, Spot("head")).named
    assert strip_of(examination, Spot("head"), read=n).read == at
    assert at not in strip_of(examination, Spot("head"), quiet=(n,)).named
    assert at in strip_of(examination, Spot("head"), read=n, quiet=(n,)).named
    assert at not in strip_of(examination, Spot("hand.L")).named


def test_the_centre_of_mass_has_a_strip_and_what_is_not_followed_has_none():
    examination = examine(figure())
    assert strip_of(examination, Spot(COM)).name == "Centre of mass"
    with pytest.raises(KeyError):
        strip_of(examination, Spot("tail"))


def test_a_chart_tells_all_its_speeds_in_one_unit():
    assert [speed_in(each, 2.0) for each in (0.04, 1.44)] == ["0.0 m/s", "1.4 m/s"]
    assert speed_in(0.474, 0.6) == "47 cm/s"
    assert speed_in(0.0123, 0.02) == "12.3 mm/s"
