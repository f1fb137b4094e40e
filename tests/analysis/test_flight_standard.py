# SPDX-License-Identifier: GPL-3.0-or-later
"""What `gravity` compares flights with: the shot's other flights, or gravity.

Gravity is 9.80665 m/s2 (3rd CGPM 1901).
"""

from dataclasses import replace

import numpy as np
import pytest
from walker import hop, joined

from analysis import Settings, check_clip
from analysis.free_fall import GRAVITY
from analysis.meta import Event

FALL = Settings(cycle="no", checks=("gravity",))


@pytest.mark.parametrize("fps", [24.0, 30.0])
@pytest.mark.parametrize("factor", [0.6, 1.7])
def test_the_flight_that_breaks_the_shot_s_gravity_is_found(fps, factor):
    odd = hop(fps=fps, gravity=factor * GRAVITY, tuck=0.0)
    clip = joined(hop(fps=fps, tuck=0.0), odd, hop(fps=fps, tuck=0.0))
    (finding,) = check_clip(clip, FALL).findings
    assert (finding.check, finding.part, finding.severity) == ("gravity", "root", "major")
    flight = len(odd.frames) + 14 + 0.25 * fps
    assert finding.peak_frame == pytest.approx(flight, abs=2)
    assert finding.amount == pytest.approx(abs(factor - 1.0) * GRAVITY, rel=0.1)
    assert f"{factor:.1f}" in finding.says


def test_flights_that_fall_alike_are_a_style():
    moon = [hop(gravity=0.6 * GRAVITY, tuck=0.0) for _ in range(2)]
    shot = check_clip(joined(*moon), FALL)
    assert not shot.findings
    assert shot.good == ()
    (said,) = (each for each in shot.style if "a style" in each)
    assert said.startswith(
        "2 flights at 5.9 m/s2, 0.6 times gravity, all alike: a style, not a fault."
    )
    assert "compared with gravity, say how tall it is in the story" in said
    asked = Settings(cycle="no", checks=("gravity",), height_m=1.78)
    assert len(check_clip(joined(*moon), asked).findings) == 2


def test_one_flight_alone_is_blamed_beyond_twice_only():
    quick = check_clip(hop(gravity=1.6 * GRAVITY, tuck=0.0), FALL)
    assert not quick.findings
    assert not quick.good
    why = dict(quick.skipped)["gravity"]
    assert "1.6 times gravity; one flight alone may be meant so. To have each flight" in why
    assert why.endswith("(Height in the panel, --height)")
    (finding,) = check_clip(hop(gravity=2.4 * GRAVITY, tuck=0.0), FALL).findings
    assert "2.4 times as fast as gravity" in finding.says


def test_without_a_known_size_flights_are_compared_with_each_other():
    """A figure ten metres high may be a giant, or one drawn in another unit."""
    odd = hop(gravity=1.7 * GRAVITY, scale=6.0, tuck=0.0)
    clip = joined(hop(scale=6.0, tuck=0.0), odd, hop(scale=6.0, tuck=0.0))
    shot = check_clip(clip, FALL)
    assert shot.height_m is None
    (finding,) = shot.findings
    assert "the shot's other flights" in finding.says
    alone = check_clip(hop(scale=6.0, tuck=0.0), FALL)
    assert not alone.findings
    assert (
        "height is not known, and one flight alone tells nothing" in dict(alone.skipped)["gravity"]
    )


@pytest.mark.parametrize("factor", [0.5, 2.0])
def test_of_two_flights_of_unknown_size_the_second_is_compared_with_the_first(factor):
    odd = hop(gravity=factor * GRAVITY, scale=6.0, tuck=0.0)
    (finding,) = check_clip(joined(hop(scale=6.0, tuck=0.0), odd), FALL).findings
    assert finding.frames[0] > 39
    assert f"falls {factor:.{1 if factor > 1 else 2}f} times as fast as" in finding.says
    assert "the shot's other flight (" in finding.says


@pytest.mark.parametrize("fps", [24.0, 60.0])
def test_what_is_pulled_in_the_air_is_judged_from_there_on_only(fps):
    """Declared, the first half of the flight is somebody else's: what follows falls freely."""
    clip = hop(fps=fps, air_s=0.8, gravity=GRAVITY, tuck=0.0, distance=0.0)
    count = round(0.8 * fps)
    leaves, half = 13, 13 + count // 2
    place = np.array(clip.positions)
    time = np.arange(count // 2 + 1) / fps
    lifted = np.zeros(len(place))
    # Pulled up by 1.5 g for as long, and then left alone: a jump of speed that is declared.
    lifted[leaves : half + 1] = 0.5 * 1.5 * GRAVITY * time * (time - time[-1])
    pulled = replace(clip, positions=place - lifted[:, None, None] * [0.0, 0.0, 1.0])
    event = Event(frames=(float(clip.frames[leaves]), float(clip.frames[half])), kind="pull")
    declared = replace(pulled, meta=replace(pulled.meta, events=(event,)))
    asked = replace(FALL, height_m=1.78)
    assert check_clip(pulled, asked).measures.get("fall_m_s2") != pytest.approx(GRAVITY, rel=0.1)
    shot = check_clip(declared, asked)
    assert not shot.findings
    assert shot.measures["fall_m_s2"] == pytest.approx(GRAVITY, rel=0.03)


@pytest.mark.parametrize("habit", [0.85, 1.0, 1.17, 1.3, 1.6])
@pytest.mark.parametrize("longer", [1.2, 0.8])
def test_a_flight_that_is_retimed_is_found_whatever_the_shot_s_habit(habit, longer):
    """A rig may be taller than its rest pose tells, or its flights a style: what is played s times
    as long falls by 1 / s^2 as much as the others."""
    usual = hop(fps=30.0, gravity=habit * GRAVITY, tuck=0.0)
    odd = hop(fps=30.0, gravity=habit / longer**2 * GRAVITY, air_s=0.5 * longer, tuck=0.0)
    (finding,) = check_clip(joined(usual, odd, usual, usual), FALL).findings
    first = len(usual.frames)
    assert first < finding.frames[0] < finding.frames[1] < first + len(odd.frames)
    assert not check_clip(joined(usual, usual, usual), FALL).findings


@pytest.mark.parametrize("factors", [(1.0, 0.9, 1.1), (1.1, 0.95, 1.0, 1.1), (0.92, 1.1)])
def test_flights_that_differ_a_little_are_clean(factors):
    hops = [hop(fps=30.0, gravity=factor * GRAVITY, tuck=0.0) for factor in factors]
    shot = check_clip(joined(*hops), FALL)
    assert not shot.findings
    assert "gravity gives 9.8" in shot.good[0]


def test_a_shot_that_disagrees_with_itself_is_compared_with_gravity():
    factors = (1.0, 1.6, 0.55)
    hops = [hop(fps=30.0, gravity=factor * GRAVITY, tuck=0.0) for factor in factors]
    findings = check_clip(joined(*hops), FALL).findings
    assert len(findings) == 2
    assert all("as fast as gravity has it" in finding.says for finding in findings)


def test_the_one_flight_that_gravity_has_right_is_told_so_and_the_others_named_instead():
    slow = hop(fps=30.0, gravity=0.5 * GRAVITY, tuck=0.0)
    shot = check_clip(joined(slow, hop(fps=30.0, tuck=0.0), slow), FALL)
    (finding,) = shot.findings
    assert "as fast as the shot's other flights (9." in finding.says
    assert "as gravity has it)" in finding.says
    assert finding.suggestion.text.endswith(
        "Or leave this one, and give the other 2 flights fewer frames in the air, or more height."
    )
    assert any(each.startswith("2 of 3 flights at 4.9 m/s2") for each in shot.style)


@pytest.mark.parametrize("scale", [1.0, 6.0])
def test_nothing_is_said_of_gravity_where_the_odd_flight_or_its_size_tells_nothing(scale):
    slow = hop(fps=30.0, gravity=0.5 * GRAVITY, tuck=0.0, scale=scale)
    factor = 1.0 if scale > 1.0 else 1.7
    odd = hop(fps=30.0, gravity=factor * GRAVITY, tuck=0.0, scale=scale)
    (finding,) = check_clip(joined(slow, odd, slow), FALL).findings
    assert "the shot's other flights" in finding.says
    assert "as gravity has it" not in finding.says
    assert "leave this one" not in finding.suggestion.text
