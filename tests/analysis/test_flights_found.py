# SPDX-License-Identifier: GPL-3.0-or-later
"""Which frames are in the air: low hops, undeclared steps, gaps."""

from dataclasses import replace

import numpy as np
import pytest
from figures import NAMES
from walker import hop, joined

from analysis import Settings, check_clip
from analysis.basis import build_basis
from analysis.free_fall import GRAVITY

FALL = Settings(cycle="no", checks=("gravity",))


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0, 120.0])
@pytest.mark.parametrize("height", [0.08, 0.11, 0.14])
def test_a_low_hop_on_the_spot_is_one_flight(fps, height):
    """At its top a sole is as slow and as low as one that stands on something unseen."""
    air_s = np.sqrt(8.0 * height / GRAVITY)
    clip = hop(fps=fps, air_s=air_s, distance=0.0, tuck=0.0)
    (flight,) = build_basis(clip, FALL).flights
    over_6_cm = 2.0 * np.sqrt(2.0 * (height - 0.06) / GRAVITY)
    assert abs(flight.samples - over_6_cm * fps) <= 2
    assert flight.whole


def test_a_step_that_was_not_declared_bears_who_stands_on_it():
    """12 cm up, a second there, and down again."""
    up = hop(rise=0.12, air_s=0.3, distance=0.3, after=24, tuck=0.05)
    down = hop(rise=-0.12, air_s=0.3, distance=0.3, after=24, tuck=0.05)
    clip = joined(up, down)
    flights = build_basis(clip, FALL).flights
    stands = range(len(up.frames) - 20, len(up.frames))
    assert not any(flight.first <= at <= flight.last for flight in flights for at in stands)


def with_gap(clip, parts, first, last):
    """The clip with no numbers for some parts from one sample to another, both included."""
    valid, place = np.array(clip.valid_mask), np.array(clip.positions)
    for part in parts:
        valid[first : last + 1, NAMES.index(part)] = False
        place[first : last + 1, NAMES.index(part)] = np.nan
    return type(clip)(**{**vars(clip), "valid": valid, "positions": place})


@pytest.mark.parametrize("parts", [["thigh.L", "thigh.R"], ["head"], ["upper_arm.L", "hand.L"]])
def test_a_body_with_gaps_in_the_air_is_not_judged(parts):
    """Bridged by straight lines, thighs alone would take a fifth of gravity away."""
    gone = with_gap(hop(tuck=0.0), parts, 17, 22)
    shot = check_clip(gone, Settings(cycle="no", checks=("hang_time", "gravity")))
    assert not shot.findings
    assert "gaps in the air" in dict(shot.skipped)["gravity"]
    assert "gaps in the air" in dict(shot.skipped)["hang_time"]
    assert "fall_m_s2" not in shot.measures


def test_a_hand_s_gap_does_not_matter():
    shot = check_clip(with_gap(hop(tuck=0.0), ["hand.L"], 17, 22), FALL)
    assert shot.measures["fall_m_s2"] == pytest.approx(GRAVITY, rel=0.03)


def test_a_flight_that_a_gap_of_a_foot_cuts_is_not_whole():
    flights = build_basis(with_gap(hop(tuck=0.0), ["foot.L"], 18, 20), FALL).flights
    assert len(flights) == 2
    assert not any(flight.whole for flight in flights)


@pytest.mark.parametrize("after", [4, 6, 8, 10, 14])
@pytest.mark.parametrize("rise", [0.2, 0.4, 0.6])
def test_a_landing_on_something_undeclared_is_not_blamed(rise, after):
    """What flies and then stands unseen falls by no one strength: that is told, not judged."""
    clip = hop(rise=rise, air_s=0.6, distance=0.9, after=after)
    meta = replace(clip.meta, floor_z=0.0)
    assert not check_clip(replace(clip, meta=meta), FALL).findings


def flat(u):
    """A top that is flat for half of the time, 40 cm up."""
    return 0.4 * (1.0 - np.abs(2.0 * u - 1.0) ** 6)


@pytest.mark.parametrize("fps", [24.0, 60.0])
def test_a_flat_top_hangs_and_is_not_held(fps):
    """It hardly falls, but nobody holds on to anything for half a second between two feet."""
    clip = hop(fps=fps, air_s=0.6, shape=flat, tuck=0.0)
    (flight,) = build_basis(clip, FALL).flights
    assert not flight.held
    (finding,) = check_clip(clip, Settings(cycle="no", checks=("hang_time",))).findings
    assert "hangs" in finding.says


def test_a_hand_that_holds_on_to_something_is_seen():
    """The same flat top, but the left hand stays in one place while the body goes on."""
    clip = hop(fps=60.0, air_s=0.6, shape=flat, tuck=0.0, distance=1.2)
    place = np.array(clip.positions)
    place[20:45, NAMES.index("hand.L")] = place[32, NAMES.index("hand.L")]
    (flight,) = build_basis(replace(clip, positions=place), FALL).flights
    assert flight.held


def test_a_path_that_is_no_even_fall_says_so():
    shot = check_clip(hop(shape=flat, tuck=0.0), FALL)
    assert "no arc of one fall" in dict(shot.skipped)["gravity"]


def test_a_flight_that_hangs_breaks_the_shot_s_habit():
    """It has no strength of its own to blame, but the one beside it stands no longer alone."""
    fast = hop(gravity=1.7 * GRAVITY, tuck=0.0)
    assert not check_clip(fast, FALL).findings
    (finding,) = check_clip(joined(hop(shape=flat, tuck=0.0), fast), FALL).findings
    assert finding.frames[0] > 39
    assert "1.7 times as fast as gravity" in finding.says


def test_a_pop_in_a_flight_that_falls_too_fast_are_two_findings():
    clip = hop(fps=60.0, gravity=2.3 * GRAVITY, air_s=0.7, tuck=0.0, distance=0.0, before=60)
    place = np.array(clip.positions)
    place[81] += [0.0, 0.0, 0.06]
    # It flies off from standing still, at once: that is a hard start as well.
    asked = Settings(cycle="no", checks=("pop", "gravity"))
    shot = check_clip(replace(clip, positions=place), asked)
    assert {(f.check, f.part) for f in shot.findings} == {("pop", "root"), ("gravity", "root")}


@pytest.mark.parametrize("found", [False, True])
def test_a_flight_that_is_held_is_told_beside_those_that_are_judged(found):
    """What one flight does, well or wrongly, does not answer for the one that nothing bears."""
    held = hop(air_s=1.0, shape=lambda u: 0.4 * np.minimum(1.0, 8 * np.minimum(u, 1 - u)))
    fast = hop(gravity=(2.2 if found else 1.0) * GRAVITY, tuck=0.0)
    shot = check_clip(joined(hop(tuck=0.0), fast, held), FALL)
    assert len(shot.findings) == found
    assert len(shot.good) == (not found)
    assert "yet it does not fall: declare what bears it" in dict(shot.skipped)["gravity"]
    assert dict(check_clip(joined(hop(tuck=0.0), fast), FALL).skipped).get("gravity") is None
