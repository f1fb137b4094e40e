# SPDX-License-Identifier: GPL-3.0-or-later
"""A limb's lock, snap or stretch and what other checks see beside it are one finding."""

from dataclasses import replace

import numpy as np
import pytest
from clamped import clamped, stretched, wanted
from figures import NAMES, figure
from made_up import evidence

from analysis import Settings, check_clip
from analysis.basis import build_basis
from analysis.merge import merge

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


@pytest.mark.parametrize("fps", [24.0, 30.0])
def test_a_foot_that_slips_away_until_its_leg_locks_is_a_slip(fps):
    root, goals = wanted(3.0, fps, least=0.98, bob=0.0)
    root[:, 1] -= 0.1
    goals["R"][:, 1] -= 0.1
    share = np.clip((np.arange(len(root)) / fps - 1.2) / 0.4, 0.0, 1.0)
    goals["L"][:, 1] += 0.12 * share**2 * (3.0 - 2.0 * share)
    parts, found = told(clamped(root, goals, fps, floor_z=0.0))
    assert parts == [("slide", "foot.L")]
    assert "locked_knee" in {check for check, _part in found[0].also}


@pytest.mark.parametrize("check", ["knee_pop", "locked_knee", "overreach"])
@pytest.mark.parametrize(
    ("peak", "amount", "leads"),
    [
        (23, 3.0, True),  # fastest before the leg is at its reach
        (24, 3.0, False),  # dragged by it
        (23, 1.5, False),  # hardly a slip
    ],
)
def test_the_slip_tells_a_lock_that_it_leads_to(check, peak, amount, leads):
    basis = build_basis(figure(frames=60), ONCE)
    limb = evidence(basis, check, "shin.L", 24, 26, peak=25, visible_m=0.07)
    slide = evidence(basis, "slide", "foot.L", 20, 25, peak=peak, amount=amount, limit=1.0)
    (found,) = merge(basis, [slide, limb])
    assert found.lead.check == ("slide" if leads else check)
    assert {each.check for each in found.members} == {"slide", check}


@pytest.mark.parametrize(
    ("part", "first", "size", "expected"),
    [
        ("hand.L", 22, 0.05, ["torso_break"]),
        ("forearm.R", 30, 0.05, ["torso_break"]),
        ("foot.L", 22, 0.05, ["overreach", "torso_break"]),  # a leg hangs on the hips
        ("hand.L", 40, 0.05, ["overreach", "torso_break"]),  # at another time
        ("hand.L", 22, 0.4, ["overreach", "torso_break"]),  # far more than the break moves it
    ],
)
def test_a_break_of_the_trunk_takes_the_arms_off_their_goals(part, first, size, expected):
    basis = build_basis(figure(frames=60), ONCE)
    broken = evidence(basis, "torso_break", "chest", 20, 32, peak=26, visible_m=0.12)
    reach = evidence(basis, "overreach", part, first, first + 4, peak=first + 2, visible_m=size)
    found = merge(basis, [broken, reach])
    assert sorted(each.lead.check for each in found) == expected
