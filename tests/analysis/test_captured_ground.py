# SPDX-License-Identifier: GPL-3.0-or-later
"""Ground and gravity on captured motion: the clips that PyPI's pybullet 3.2.7 carries."""

import os
from pathlib import Path

import numpy as np
import pytest

from analysis import Settings, check_clip
from analysis.basis import build_basis
from demo_scenes.captured.clip import to_clip
from demo_scenes.captured.motions import load_motion

FOLDER = os.environ.get("PLUMBLINE_CAPTURED")
if FOLDER is None:
    pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner", allow_module_level=True)

GROUND = Settings(cycle="no", checks=("slide", "hang_time", "gravity"))
# Clips without known flaws, as for the checks of paths.
CLEAN = (
    "jump",
    "cartwheel",
    "crawl",
    "dance_a",
    "getup_faceup",
    "getup_facedown",
    "kick",
    "punch",
    "spinkick",
)
# On hands, knees, back and feet: something always bears the body.
BORNE = ("walk", "cartwheel", "kick", "punch", "roll", "crawl", "getup_faceup", "getup_facedown")


def clip(name):
    return to_clip(load_motion(Path(FOLDER), name))


@pytest.mark.parametrize("masses", ["winter", "de_leva", "dumas"])
def test_the_jump_is_one_flight_under_gravity(masses):
    """Captured at true scale: within 2 % of 9.80665 m/s2 (3rd CGPM 1901)."""
    settings = Settings(cycle="no", checks=GROUND.checks, masses=masses)
    jump = clip("jump")
    (flight,) = build_basis(jump, settings).flights
    assert flight.whole
    assert 0.35 < flight.samples / 60.0 < 0.45
    shot = check_clip(jump, settings)
    assert shot.measures["fall_m_s2"] == pytest.approx(9.80665, rel=0.02)
    assert shot.measures["hang_share"] == pytest.approx(0.5, abs=0.02)
    assert not shot.findings


@pytest.mark.parametrize("every", [2, 4])
def test_the_jump_falls_alike_at_lower_frame_rates(every):
    """At 30 and at 15 fps."""
    jump = clip("jump")
    thinned = type(jump)(
        **{
            **vars(jump),
            "frames": np.arange(1, len(jump.frames[::every]) + 1),
            "fps": 60.0 / every,
            "positions": jump.positions[::every],
            "rotations": jump.rotations[::every],
        }
    )
    shot = check_clip(thinned, GROUND)
    assert shot.measures["fall_m_s2"] == pytest.approx(9.80665, rel=0.05)
    assert not shot.findings


@pytest.mark.parametrize("name", BORNE)
def test_nothing_flies_where_something_bears_the_body(name):
    flights = build_basis(clip(name), GROUND).flights
    longest = max((flight.samples for flight in flights), default=0)
    assert longest <= 3, flights  # a frame or two of a getup has nothing near the floor


def test_a_run_has_a_flight_in_every_step():
    found = build_basis(clip("run"), GROUND).flights
    assert [flight.samples for flight in found] == [3, 3]


def test_a_kick_that_turns_the_body_falls_within_a_tenth():
    """The legs' swing shows how good the segment table is: 9.3 m/s2 here."""
    shot = check_clip(clip("spinkick"), GROUND)
    assert shot.measures["fall_m_s2"] == pytest.approx(9.80665, rel=0.1)
    assert not shot.findings


def test_walking_feet_stand_for_about_three_fifths_of_a_stride():
    """Stance is about 60 % of a stride (Perry & Burnfield 2010, from memory). The clip is half a
    stride and its mirror image: 39 frames, one plant of each foot within it."""
    plants = build_basis(clip("walk"), GROUND).plants
    assert {plant.side for plant in plants} == {"L", "R"}
    stride = 38
    for plant in plants:
        assert 0.45 < (plant.last - plant.first) / stride < 0.7


def test_a_foot_all_of_which_rises_between_two_stands_steps():
    """In `dance_a` the left foot goes on by 4 cm from frame 19 to 24 while the other one stands;
    no point of its sole keeps its height to less than 6 mm there."""
    basis = build_basis(clip("dance_a"), GROUND)
    plants = [plant for plant in basis.plants if plant.side == "L"]
    (a, b) = plants[0].last, plants[1].first
    assert [float(basis.frames[at]) for at in (a, b)] == [19.0, 24.0]
    soles = basis.soles[0]
    assert np.ptp(soles.clearance[a : b + 1], axis=0).min() * basis.height.to_story > 0.006
    assert np.linalg.norm(soles.steps[a:b].sum(axis=0), axis=-1).min() > 0.03


def test_slides_of_clean_motion_are_counted_and_bounded():
    """One foot in 20.8 s, which the file itself shows: in `punch` no point of the sole stays
    within several centimetres of its place while one of them is low."""
    found = [(name, f) for name in CLEAN for f in check_clip(clip(name), GROUND).findings]
    print([f"{name}: {finding.says}" for name, finding in found])
    expected = [("punch", "foot.R")]
    assert [(name, finding.part) for name, finding in found] == expected
    for name, finding in found:
        basis = build_basis(clip(name), GROUND)
        first, last = (int(np.flatnonzero(basis.frames == frame)[0]) for frame in finding.frames)
        side = finding.part[-1]
        sole = next(each.sole for each in basis.soles if each.sole.side == side)
        points = sole.points[first : last + 1]
        assert points[..., 2].min(axis=1).max() < 0.035
        gone = np.linalg.norm(points[..., :2] - points[:1, :, :2], axis=-1).max(axis=0)
        assert gone.min() > 0.9 * finding.amount / 100.0
