# SPDX-License-Identifier: GPL-3.0-or-later
"""A knee or elbow that a pole throws while hip and foot, shoulder and hand stay: whose fault."""

from dataclasses import replace

import numpy as np
import pytest
from figures import figure, names, steered

from analysis import Settings, check_clip
from analysis import quaternions as quat
from analysis.basis import build_basis
from analysis.checks.pop import find
from analysis.loop import find_cycle
from analysis.merged import Merged
from analysis.telling import finding_of

AT = 24
LEG, ARM = ("thigh.L", "shin.L", "foot.L"), ("upper_arm.L", "forearm.L", "hand.L")


def thrown(clip, limb, angle, end_shift=0.0):
    """The clip with a limb turned about the line between its ends on one frame.

    end_shift (m) moves the limb's end as well, sideways.
    """
    upper, middle, end = (clip.joint(name) for name in limb)
    places, turns = np.array(clip.positions), np.array(clip.rotations)
    axis = places[AT, end] - places[AT, upper]
    turn = np.array([np.cos(angle / 2), *(np.sin(angle / 2) * axis / np.linalg.norm(axis))])
    way = places[AT, middle] - places[AT, upper]
    places[AT, middle] = places[AT, upper] + quat.rotate(turn, way)
    places[AT, end, 0] += end_shift
    for joint in (upper, middle):
        turns[AT, joint] = quat.multiply(turn, turns[AT, joint])
    return replace(clip, positions=places, rotations=turns)


def thrown_from(clip, limb, angle):
    """The clip with a limb turned so from that frame on."""
    once, count = thrown(clip, limb, angle), len(clip.frames)
    places, turns = np.array(clip.positions), np.array(clip.rotations)
    for at in range(AT, count):
        moved = thrown(shifted(clip, at), limb, angle)
        places[at], turns[at] = moved.positions[AT], moved.rotations[AT]
    assert np.allclose(places[AT], once.positions[AT])
    return replace(clip, positions=places, rotations=turns)


def shifted(clip, at):
    """The clip with sample AT as sample `at` is."""
    places, turns = np.array(clip.positions), np.array(clip.rotations)
    places[AT], turns[AT] = places[at], turns[at]
    return replace(clip, positions=places, rotations=turns)


@pytest.mark.parametrize("angle", [0.5, 0.9])
@pytest.mark.parametrize(
    ("clip", "limb"),
    [(steered(), LEG), (figure(), LEG), (figure(speed=0.0), ARM)],
    ids=["standing", "walking", "arm"],
)
def test_what_a_pole_throws_is_the_shins_or_forearms(clip, limb, angle):
    shot = check_clip(thrown(clip, limb, angle), Settings(checks=("pop",)))
    assert names(shot) == [("pop", limb[1])]


def test_a_hand_that_moves_as_well_is_meant_itself():
    shot = check_clip(thrown(figure(speed=0.0), ARM, 0.5, 0.05), Settings(checks=("pop",)))
    assert names(shot) == [("pop", "hand.L")]


def advice(clip, part):
    """What to do about a pop of one part."""
    shot = check_clip(clip, Settings(checks=("pop",), cycle="no"))
    (finding,) = [each for each in shot.findings if each.part == part]
    return finding.suggestion.text


@pytest.mark.parametrize("angle", [0.3, 0.9])
@pytest.mark.parametrize("fps", [24.0, 60.0])
def test_a_thrown_knee_or_elbow_points_at_its_pole(angle, fps):
    leg = advice(thrown(steered(fps=fps, frames=round(2 * fps)), LEG, angle), "shin.L")
    assert leg.endswith(
        "Hip and ankle stay on their paths: look first at the knee's pole, or what else points it."
    )
    assert leg.startswith("Turn it back by ")
    arm = advice(thrown(figure(speed=0.0), ARM, angle), "forearm.L")
    assert " Shoulder and wrist stay on their paths: look first at the elbow's pole" in arm


def test_a_pole_that_stays_elsewhere_is_pointed_at_too():
    there = thrown_from(steered(), LEG, 0.5)
    assert "look first at the knee's pole" in advice(there, "shin.L")


def test_nothing_points_at_a_pole_where_an_end_goes_along_or_the_knee_stays():
    assert "pole" not in advice(thrown(steered(), LEG, 0.5, 0.05), "foot.L")
    clip = steered()
    turns = np.array(clip.rotations)
    shin = clip.joint("shin.L")
    roll = np.array([np.cos(0.4), 0.0, np.sin(0.4), 0.0])  # about the bone: the knee stays
    turns[AT, shin] = quat.multiply(turns[AT, shin], roll)
    text = advice(replace(clip, rotations=turns), "shin.L")
    assert text.startswith("Turn it back by")
    assert "pole" not in text


def test_a_foot_that_is_not_known_there_points_at_nothing():
    clip = thrown(steered(), LEG, 0.5)
    assert "pole" in advice(clip, "shin.L")
    valid = np.array(clip.valid_mask)
    valid[AT - 1, clip.joint("foot.L")] = False
    assert "pole" not in advice(replace(clip, valid=valid), "shin.L")


def test_a_limb_that_is_carried_points_at_no_pole():
    clip = thrown(steered(), LEG, 0.5)
    basis = build_basis(clip, Settings())
    event = next(e for e in find(basis, find_cycle(basis)).events if e.suggestion.own_text)
    for owner, said in ((event.body, True), (basis.body("thigh.L"), True), (basis.lead, False)):
        told = finding_of(basis, Merged(owner, event, [event]))
        assert ("pole" in told.suggestion.text) is said
