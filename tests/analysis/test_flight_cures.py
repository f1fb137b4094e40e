# SPDX-License-Identifier: GPL-3.0-or-later
"""What one cure clears leads: doing as the advice says leaves nothing to tell of the flight."""

import re
from dataclasses import replace

import numpy as np
import pytest
from scipy.interpolate import CubicSpline
from test_carry import PLAN
from test_carry import leap as any_leap

from analysis import Settings, check_clip
from analysis.basis import build_basis
from analysis.flight_cures import evened_fall, evened_velocity, is_spaced
from analysis.flown import find_flown

ASKED = Settings(cycle="no", checks=("hang_time", "gravity", "carry"), height_m=None)
FPS = 30.0
# So far that its travel tells of its time.
FAR = replace(PLAN, travel_m=(1.1, 0.0))
LEAVES, LANDS = PLAN.times[2] * FPS, (PLAN.times[2] + PLAN.air_s) * FPS


def leap(**changes):
    return any_leap(plan=FAR, **changes)


def retimed(clip, old):
    """The clip whose n-th sample is that of `old[n]` (places with fractions)."""
    at = np.clip(old, 0.0, len(clip.frames) - 1.0)
    spline = [CubicSpline(np.arange(len(clip.frames)), each, axis=0) for each in signed(clip)]
    positions, rotations = (each(at) for each in spline)
    rotations /= np.linalg.norm(rotations, axis=-1, keepdims=True)
    frames = clip.frames[0] + np.arange(len(at), dtype=np.float64)
    return replace(clip, positions=positions, rotations=rotations, frames=frames)


def signed(clip):
    turns = clip.rotations.copy()
    for n in range(1, len(turns)):
        against = (turns[n] * turns[n - 1]).sum(axis=-1) < 0.0
        turns[n][against] *= -1.0
    return clip.positions, turns


def hung(clip, amount):
    """The same flight between the same moments, slow at its top by so much of its time."""
    at = np.arange(len(clip.frames), dtype=np.float64)
    u = np.clip((at - LEAVES) / (LANDS - LEAVES), 0.0, 1.0)
    return retimed(clip, at + amount * (LANDS - LEAVES) * np.sin(2.0 * np.pi * u))


def longer(clip, share):
    """The flight played so many times as long."""
    more = (share - 1.0) * (LANDS - LEAVES)
    at = np.arange(len(clip.frames) + round(more), dtype=np.float64)
    inside = LEAVES + (at - LEAVES) / share
    return retimed(clip, np.where(at < LEAVES, at, np.where(at < LANDS + more, inside, at - more)))


@pytest.mark.parametrize("amount", [0.06, 0.08])
def test_a_hang_is_told_as_one_and_evening_it_clears_all(amount):
    clip = leap()
    shot = check_clip(hung(clip, amount), ASKED)
    (finding,) = shot.findings
    assert finding.check == "hang_time"
    assert "less time at the top" in finding.suggestion.text
    assert not check_clip(clip, ASKED).findings


@pytest.mark.parametrize("check", ["gravity", "carry"])
def test_what_the_spacing_alone_does_is_no_fall_and_no_travel_of_its_own(check):
    shot = check_clip(hung(leap(), 0.08), replace(ASKED, checks=(check,)))
    assert not shot.findings
    assert "the spacing of a flight is off" in dict(shot.skipped)[check]


def test_a_hung_flight_is_known_by_its_ends():
    basis = build_basis(hung(leap(), 0.08), ASKED)
    (flown,) = find_flown(basis, basis.flights, rough=False)
    assert is_spaced(basis, flown)
    assert flown.fall < 7.5
    assert evened_fall(basis, flown) == pytest.approx(9.81, rel=0.1)
    # 1.1 m in .5 s, along -Y.
    assert evened_velocity(basis, flown) == pytest.approx([0.0, -2.2], abs=0.08)


def test_a_jump_that_is_played_longer_is_cured_by_taking_out_frames():
    """Its landing seems short as well: one cure clears both, and tells which."""
    long = longer(leap(), 1.24)
    (finding,) = check_clip(long, ASKED).findings
    assert finding.check == "gravity"
    assert [check for check, _ in finding.also] == ["carry"]
    take = int(re.search(r"take out (\d+)", finding.suggestion.text)[1])
    share = (1.24 * (LANDS - LEAVES) - take) / (LANDS - LEAVES)
    assert not check_clip(longer(leap(), share), ASKED).findings


def test_one_that_lands_elsewhere_is_not_cured_by_other_timing():
    (finding,) = check_clip(leap(beyond=(-0.3, 0.0)), ASKED).findings
    assert (finding.check, finding.also) == ("carry", ())
