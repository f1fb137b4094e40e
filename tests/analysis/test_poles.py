# SPDX-License-Identifier: GPL-3.0-or-later
"""A knee or elbow that a pole throws while hip and foot, shoulder and hand stay: whose fault."""

from dataclasses import replace

import numpy as np
import pytest
from figures import figure, names, steered

from analysis import Settings, check_clip
from analysis import quaternions as quat

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
