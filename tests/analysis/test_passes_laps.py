# SPDX-License-Identifier: GPL-3.0-or-later
"""Laps of a walk as ranges: each has its own ends, and two that only touch tell nothing."""

from dataclasses import replace

import numpy as np
import pytest
from figures import figure, spike
from test_passes_choices import assert_nothing_changed, ids, passed

from analysis import Settings
from tests.passes.edits import cut

LOOP = Settings(cycle="yes", checks=("pop", "double_frame", "loop_seam"))


def laps(**spikes):
    """Two laps of a second, with the left arm further out in the second one; parts leave their
    path at samples: `head=(7, 0.08)`."""
    out = np.where(np.arange(49) > 24, np.sin(np.pi * np.arange(49) / 24.0) ** 2, 0.0)
    clip = figure(frames=49, turns={"upper_arm.L": 0.8 * out})
    positions = clip.positions.copy()
    for joint, (at, size) in spikes.items():
        positions[:, clip.joints.index(joint), 0] += spike(49, at, size)
    return replace(clip, positions=positions)


def of_range(clip, first, last):
    return cut(clip, first - 1.0, 49.0 - last).clip


WALK = laps(head=(7, 0.08), root=(30, 0.08))


@pytest.mark.parametrize("ranges", [((1, 25), (25, 49)), ((25, 49), (1, 25))])
def test_another_lap_of_the_same_walk_fixes_nothing_and_makes_nothing_new(ranges):
    one, two = (of_range(WALK, *each) for each in ranges)
    first = passed(one, LOOP)
    repeated = f"double_frame:-:{ranges[0][1]}"
    assert repeated in ids(first)
    second = passed(two, LOOP, first)
    assert_nothing_changed(second)
    assert repeated in {each.id for each in second.not_told}
    assert second.states[f"double_frame:-:{ranges[1][1]}"] == "told_now"
    back = passed(one, LOOP, second)
    assert_nothing_changed(back)
    assert set(back.states.values()) == {"unchanged"}
    assert ids(back) == ids(first)


def test_what_was_mended_in_another_lap_is_fixed_alone():
    clip, mended = (laps(**{"hand.L": (5, 0.2), "hand.R": (17, each)}) for each in (0.2, 0.0))
    one = passed(of_range(clip, 1, 25), LOOP)
    assert {"double_frame:-:25", "pop:hand.L:6", "pop:hand.R:18"} <= ids(one)
    two = passed(of_range(mended, 8, 34), LOOP, one)
    assert {each.id for each in two.fixed} == {"pop:hand.R:18"}
    assert "new" not in two.states.values()


def test_a_repeat_that_was_mended_in_the_same_range_is_fixed():
    repeats = of_range(WALK, 1, 25)
    positions = repeats.positions.copy()
    positions[-1] += positions[-1] - positions[-2]
    settings = replace(LOOP, checks=("double_frame",))
    one = passed(repeats, settings)
    assert ids(one) == {"double_frame:-:25"}
    two = passed(replace(repeats, positions=positions), settings, one)
    assert {each.id for each in two.fixed} == ids(one)
