# SPDX-License-Identifier: GPL-3.0-or-later
"""A body that is too high tells the limbs that hang on it and do not reach: one finding."""

from dataclasses import replace

import numpy as np
import pytest
from figures import NAMES, figure
from made_up import evidence

from analysis import Settings
from analysis.basis import build_basis
from analysis.evidence import Suggestion
from analysis.merge import merge


def hanging(up=()):
    """The basis of a figure whose arms hang; those of the sides `up` are raised."""
    clip = figure(frames=60)
    places = np.array(clip.positions)
    for side in "LR":
        way = 1.0 if side in up else -1.0
        top = places[:, NAMES.index(f"upper_arm.{side}")]
        for n, part in enumerate(("forearm", "hand"), 1):
            places[:, NAMES.index(f"{part}.{side}")] = top + [0.0, 0.0, 0.25 * way * n]
    return build_basis(replace(clip, positions=places), Settings(cycle="no"))


def strides(basis, lower=0.05, side=0.0):
    """A stride in which the body goes too far: it is to come down by `lower`."""
    advice = Suggestion("Lower {it}.", 25.0, offset=np.array([side, 0.0, -lower]))
    says = "From frame 21 to 31 the {who} rises and falls by 9.0 cm in a stride."
    far = {"visible_m": max(abs(lower), side), "suggestion": advice, "says": says}
    return evidence(basis, "sway", "root", 20, 30, peak=25, never_major=True, **far)


@pytest.mark.parametrize(
    ("parts", "who"),
    [
        (["foot.L"], "the left leg is at its reach."),
        (["hand.R"], "the right arm is at its reach."),
        (["hand.L", "hand.R"], "both arms are at their reach."),
        (["foot.R", "hand.L"], "the right leg and the left arm are at their reach."),
        (["foot.L", "foot.R", "hand.L", "hand.R"], "both legs and both arms are at their reach."),
    ],
)
def test_a_stride_that_rises_too_far_tells_what_it_takes_to_its_reach(parts, who):
    basis = hanging()
    limbs = [evidence(basis, "overreach", part, 22, 27, peak=25) for part in parts]
    (found,) = merge(basis, [*limbs, strides(basis)])
    assert found.lead.check == "sway"
    assert found.lead.says.endswith(f"in a stride: it is too high, and {who}")
    assert len(found.members) == len(parts) + 1


@pytest.mark.parametrize(
    ("stride", "limb", "up"),
    [
        ({"lower": -0.05}, {}, ""),  # the body goes too low
        ({"lower": 0.0, "side": 0.05}, {}, ""),  # it goes aside
        ({}, {}, "L"),  # the hand is wanted higher than the shoulder
        ({}, {"visible_m": 0.08}, ""),  # further off than the body is
        ({}, {"first": 8}, ""),  # long before it
        ({}, {"last": 50}, ""),  # and long after it
    ],
)
def test_what_the_lift_does_not_explain_is_told_apart(stride, limb, up):
    basis = hanging(up)
    spans = {"first": 22, "last": 27, "peak": 25, **limb}
    reach = evidence(basis, "overreach", "hand.L", **spans)
    found = merge(basis, [reach, strides(basis, **stride)])
    assert sorted(each.lead.check for each in found) == ["overreach", "sway"]


@pytest.mark.parametrize(("reaches", "count"), [(True, 1), (False, 2)])
def test_an_arm_that_only_turns_evenly_does_not_miss_anything(reaches, count):
    basis = hanging()
    found = [
        strides(basis),
        evidence(basis, "straight_run", "upper_arm.L", 21, 27, peak=24, visible_m=0.2),
    ]
    if reaches:
        found.append(evidence(basis, "overreach", "hand.L", 22, 27, peak=25))
    assert len(merge(basis, found)) == count


def test_a_leg_and_both_arms_at_once_are_the_hips():
    basis = hanging()
    limbs = [
        evidence(basis, "overreach", part, 22, 27, peak=25)
        for part in ("foot.L", "hand.L", "hand.R")
    ]
    (found,) = merge(basis, limbs)
    assert found.owner == basis.lead
    assert found.lead.says.startswith("The left leg and both arms are at their reach")
    assert found.lead.says.endswith("the {who} is too high.")
    apart = hanging("L")
    assert len(merge(apart, limbs)) == 3
