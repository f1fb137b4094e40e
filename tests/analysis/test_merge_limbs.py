# SPDX-License-Identifier: GPL-3.0-or-later
"""A limb's lock, snap or stretch and what other checks see beside it are one finding."""

from dataclasses import replace

import numpy as np
import pytest
from clamped import clamped, stretched, wanted
from figures import NAMES, figure

from analysis import Settings, check_clip

ONCE = Settings(cycle="no")


def told(clip):
    found = check_clip(clip, ONCE).findings
    return [(each.check, each.part) for each in found], found


def test_a_body_that_pops_over_feet_that_stay_tells_its_knees_snaps():
    root, goals = wanted(2.0, 24.0, least=0.985, bob=0.003)
    root[24, 2] -= 0.03
    parts, found = told(clamped(root, goals, 24.0))
    assert parts == [("pop", "root")]
    alone = check_clip(clamped(root, goals, 24.0), Settings(cycle="no", checks=("knee_pop",)))
    assert {check for check, _part in found[0].also} >= {each.check for each in alone.findings}


@pytest.mark.parametrize("per_cent", [3.0, 6.0])
def test_an_arm_that_stretches_after_a_hand_that_pops_is_the_hands_pop(per_cent):
    clip = figure()
    at, hand = 24, NAMES.index("hand.L")
    share = np.zeros(48)
    share[at] = per_cent / 100.0
    thigh = stretched(clip, "L", share)  # a leg, for comparison: it stretches by itself
    assert [each for each in told(thigh)[0] if each[0] == "overreach"]
    places = np.array(clip.positions)
    places[at, hand] += [0.12, 0.0, 0.0]
    middle = NAMES.index("forearm.L")
    places[at, middle] += [0.05, 0.0, 0.0]
    parts, found = told(replace(clip, positions=places))
    assert len(parts) == 1
    assert parts[0][0] == "pop"
    assert "overreach" in {check for check, _part in found[0].also}


def test_a_body_that_goes_on_over_a_leg_it_locks_is_one_finding():
    root, goals = wanted(3.0, 24.0, lasts_s=1.6, least=0.97, bob=0.0)
    time = np.arange(len(root)) / 24.0
    root[:, 1] -= 0.35 * np.sin(np.pi * np.clip((time - 0.8) / 1.4, 0.0, 1.0)) ** 2
    goals["R"][:, 1] = root[:, 1]
    goals["R"][:, 2] += 0.2  # it stands on its left foot
    parts, _found = told(clamped(root, goals, 24.0, floor_z=0.0))
    assert parts == [("locked_knee", "shin.L")]


def test_a_foot_that_is_pulled_under_the_floor_until_its_leg_locks_is_one_finding():
    root, goals = wanted(2.0, 24.0, pulled=0.03, lasts_s=0.6)
    """What takes it there is the foot: lower hips would leave it under the floor."""
    parts, found = told(clamped(root, goals, 24.0, floor_z=0.0))
    assert parts == [("sink", "foot.L")]
    assert ("locked_knee", "shin.L") in found[0].also
