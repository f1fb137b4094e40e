# SPDX-License-Identifier: GPL-3.0-or-later
"""`stiff_prop` on swings with a known drag: what is found, and what is quiet."""

from dataclasses import replace

import numpy as np
import pytest
from blades import BEGINS, TAKES, swinging
from figures import figure, names

from analysis import Settings, check_clip
from analysis import quaternions as quat
from analysis.meta import Event

ASKED = Settings(cycle="no", checks=("stiff_prop",))
THERE_AND_BACK = (0.5, 1.2, 1.9, 2.6)


def why(shot):
    return dict(shot.skipped).get("stiff_prop")


@pytest.mark.parametrize("fps", [24, 30, 60])
@pytest.mark.parametrize("degrees", [90.0, 120.0])
def test_a_glued_sword_is_found_with_its_swing(fps, degrees):
    shot = check_clip(swinging(fps=fps, lag_s=0.0, degrees=degrees), ASKED)
    assert names(shot) == [("stiff_prop", "prop.1")]
    (found,) = shot.findings
    assert found.amount == pytest.approx(degrees, abs=2.0)
    first, last = (BEGINS * fps + 1, (BEGINS + TAKES) * fps + 1)
    assert abs(found.frames[0] - first) <= 0.1 * fps
    assert abs(found.frames[1] - last) <= 0.1 * fps
    assert first < found.peak_frame < last
    assert shot.measures["prop_lag_s"] == 0.0
    assert shot.measures["prop_wrist_range_deg"] == pytest.approx(0.0, abs=0.1)


def test_what_is_said_of_it():
    (found,) = check_clip(swinging(lag_s=0.0, degrees=120.0), ASKED).findings
    assert found.severity == "major"
    assert found.says == (
        "The sword is stiff on the forearm through a swing of 120 degrees from frame 14 to 22: "
        "the wrist gives less than a degree."
    )
    assert found.suggestion.text.startswith(
        "Let it trail: key the right hand's wrist a frame or two after the forearm from frame 14"
    )


@pytest.mark.parametrize("fps", [24, 30, 60])
@pytest.mark.parametrize("lag_s", [0.04, 0.06, 0.08, -0.05])
def test_a_sword_that_trails_or_leads_is_well_and_its_lag_is_measured(fps, lag_s):
    shot = check_clip(swinging(fps=fps, lag_s=lag_s), ASKED)
    assert names(shot) == []
    assert "1 swing" in shot.good[0]
    assert shot.measures["prop_lag_s"] == pytest.approx(lag_s, abs=0.012)
    assert shot.measures["prop_wrist_range_deg"] > 10.0


def test_size_does_not_matter():
    one, ten = (check_clip(swinging(lag_s=0.0, scale=s), ASKED).findings[0] for s in (1.0, 10.0))
    assert one.frames == ten.frames
    assert one.amount == pytest.approx(ten.amount)
    assert one.says == ten.says


@pytest.mark.parametrize(
    ("clip", "expected"),
    [
        (figure(), "no hand holds a prop"),
        (swinging(lag_s=0.0, fixed=True), "every prop is declared fixed"),
        (swinging(lag_s=0.0, degrees=0.0), "no prop swings by 85 degrees within 1 s"),
        (swinging(lag_s=0.0, degrees=60.0), "no prop swings by 85 degrees within 1 s"),
        (
            swinging(lag_s=0.0, takes=4.0, seconds=5.0, degrees=120.0),
            "no prop swings by 85 degrees within 1 s",
        ),
    ],
    ids=["no prop", "fixed", "a hold", "a short swing", "a slow carry"],
)
def test_what_is_not_asked_says_why(clip, expected):
    shot = check_clip(clip, ASKED)
    assert names(shot) == []
    assert why(shot) == expected


def test_a_body_that_turns_round_with_what_it_carries_is_quiet():
    clip = swinging(lag_s=0.0, degrees=0.0, seconds=4.0)
    half = 0.5 * np.linspace(0.0, 2.0 * np.pi, len(clip.frames))  # once around in four seconds
    turn = np.stack((np.cos(half), 0 * half, 0 * half, np.sin(half)), axis=1)
    turned = replace(
        clip,
        positions=quat.rotate(turn[:, None], clip.positions),
        rotations=quat.multiply(
            np.broadcast_to(turn[:, None], clip.rotations.shape), clip.rotations
        ),
    )
    assert why(check_clip(turned, ASKED)) == "no prop swings by 85 degrees within 1 s"


def test_a_second_hand_on_it_makes_it_two_handed():
    clip = swinging(lag_s=0.0)
    sword, hand = clip.joint("sword"), clip.joint("hand.L")
    places = clip.positions.copy()
    way = np.array([0.0, 0.3, 0.0])
    places[:, hand] = clip.positions[:, sword] + quat.rotate(clip.rotations[:, sword], way)
    assert names(check_clip(replace(clip, positions=places), ASKED)) == []


def test_a_shot_of_stiff_swings_is_one_finding():
    clip = swinging(lag_s=0.0, begins=THERE_AND_BACK, seconds=3.4)
    (found,) = check_clip(clip, ASKED).findings
    assert found.says.startswith("The sword never drags in 4 swings: from frame ")


def test_one_stiff_swing_among_others_is_that_one():
    clip = swinging(begins=THERE_AND_BACK, seconds=3.4, locked=(2,))
    (found,) = check_clip(clip, ASKED).findings
    assert found.frames[0] == pytest.approx(1.9 * 24 + 1, abs=2)
    assert "is stiff" in found.says


def test_a_declared_hit_is_no_matter_of_the_wrist():
    event = Event(frames=(14.0, 20.0), part="hand.R", kind="hit")
    assert names(check_clip(swinging(lag_s=0.0, events=(event,)), ASKED)) == []


def test_a_wider_tolerance_takes_less_for_stiff():
    found = {}
    for lag_s in np.arange(0.0, 0.03, 0.002):
        for tolerance in ("strict", "normal", "loose"):
            asked = replace(ASKED, tolerance=tolerance)
            told = bool(check_clip(swinging(fps=60, lag_s=lag_s), asked).findings)
            found[tolerance] = found.get(tolerance, 0) + told
    assert 1 <= found["loose"] < found["normal"] < found["strict"] < 15


def test_a_prop_on_the_forearm_itself_is_asked_as_well():
    clip = swinging(lag_s=0.06, held_by="forearm.R")
    assert names(check_clip(clip, ASKED)) == []
    assert names(check_clip(swinging(lag_s=0.0, held_by="forearm.R"), ASKED)) != []


def test_gaps_and_short_clips_are_quiet():
    clip = swinging(lag_s=0.0)
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[16:18, clip.joint("sword")] = False
    shot = check_clip(replace(clip, valid=valid), ASKED)
    assert names(shot) == []
    for last in (2, 3, 5):
        assert names(check_clip(clip.cut(1, last), ASKED)) == []
    valid[:, clip.joint("forearm.R")] = False
    shot = check_clip(replace(clip, valid=valid), ASKED)
    assert why(shot) == "no prop is known together with the forearm that holds it"
