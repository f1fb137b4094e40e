# SPDX-License-Identifier: GPL-3.0-or-later
"""Hips that are lifted too high are one finding, which lowers the hips."""

from dataclasses import replace

import numpy as np
import pytest
from clamped import LENGTH, clamped, stretched, wanted, with_target
from figures import NAMES, figure
from made_up import event

from analysis import Settings, check_clip
from analysis.basis import build_basis
from analysis.evidence import Evidence
from analysis.hips_down import hips_drop, stands
from analysis.limbs import find_limbs
from analysis.merge import merge

ONCE = Settings(cycle="no")


def lifted(fps=24.0, lift=0.13, targets=True, **meta):
    """Standing with the hips lifted for a while, off both feet, and the samples where they are."""
    root, goals = wanted(2.0, fps, lift=lift)
    clip = clamped(root, goals, fps, floor_z=0.0, **meta)
    if targets:
        for side in "LR":
            clip = with_target(clip, f"foot.{side}", goals[side])
    way = goals["L"] - root
    beyond = np.hypot(way[:, 1], way[:, 2]) - LENGTH
    return clip, float(beyond.max())


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("lift", [0.11, 0.13, 0.2])
def test_hips_that_are_lifted_off_both_feet_are_one_finding(fps, lift):
    clip, beyond = lifted(fps, lift)
    assert beyond > 0.0
    (found,) = check_clip(clip, ONCE).findings
    assert found.part == "root"
    assert {part[-1] for check, part in found.also if check == found.check} == {"L", "R"}
    assert found.says.startswith("Both legs are at their reach")
    assert found.says.endswith("the root is too high.")
    assert -found.suggestion.offset[2] == pytest.approx(beyond, abs=0.004)
    assert found.suggestion.text.startswith("Lower the hips by ")
    assert "nearer" not in found.suggestion.text  # both feet stand where they should


def test_without_targets_no_number_is_guessed():
    (found,) = check_clip(lifted(targets=False)[0], ONCE).findings
    assert (found.check, found.part) == ("locked_knee", "root")
    assert found.suggestion.text.startswith("Lower the hips a little over frames ")
    assert found.suggestion.offset is None


def test_legs_that_stretch_with_the_hips_are_one_finding():
    share = 0.06 * np.sin(np.pi * np.clip((np.arange(48) - 20) / 10.0, 0.0, 1.0)) ** 2
    clip = stretched(stretched(figure(), "L", share), "R", share)
    (found,) = check_clip(clip, Settings(cycle="no", checks=("overreach",))).findings
    assert found.part == "root"
    assert "stretch, by up to 6.0 %" in found.says
    assert ", frames 23 to 29: the root is too high." in found.says


def test_a_single_frame_is_told_as_one():
    share = np.zeros(48)
    share[24] = 0.05
    clip = stretched(stretched(figure(), "L", share), "R", share)
    (found,) = check_clip(clip, Settings(cycle="no", checks=("overreach",))).findings
    assert ", frame 25: the root is too high." in found.says
    assert " at frame 25" in found.suggestion.text


def test_a_single_leg_that_is_planted_lowers_the_hips():
    root, goals = wanted(2.0, 24.0, lift=0.13)
    goals["R"][:, 2] += 0.2  # it stands on its left foot
    clip = with_target(clamped(root, goals, 24.0, floor_z=0.0), "foot.L", goals["L"])
    (found,) = check_clip(clip, ONCE).findings
    assert (found.check, found.part) == ("overreach", "foot.L")
    assert found.suggestion.text.startswith("Lower the hips by ")
    assert found.suggestion.text.endswith("the left foot stands where it is wanted.")


def test_a_single_leg_that_is_pulled_away_in_the_air_comes_nearer():
    root, goals = wanted(2.0, 24.0, pulled=0.06, lasts_s=0.3)
    root[:, 2] += 1.0
    goals = {side: goal + [0.0, 0.0, 1.0] for side, goal in goals.items()}
    clip = with_target(clamped(root, goals, 24.0, floor_z=0.0), "foot.L", goals["L"])
    found = [each for each in check_clip(clip, ONCE).findings if each.check == "overreach"]
    assert [each.part for each in found] == ["foot.L"]
    assert found[0].suggestion.text.startswith("Move the control of the left foot ")


def test_the_drop_is_what_brings_the_hip_within_reach():
    clip, _beyond = lifted()
    basis = build_basis(clip, ONCE)
    for leg in find_limbs(basis)[:2]:
        drop = hips_drop(basis, leg, 0, len(clip.frames) - 1)
        goal = clip.control_matrices[:, "LR".index(leg.side), :3, 3]
        hip = leg.paths[:, 0] - [0.0, 0.0, drop]
        assert np.linalg.norm(hip - goal, axis=-1).max() == pytest.approx(LENGTH, abs=1e-6)
        assert hips_drop(basis, leg, 0, 5) is None  # bent there
        assert stands(basis, leg, 20, 28)


def test_a_goal_further_aside_than_the_leg_is_long_is_not_reached_from_lower_down():
    clip, _beyond = lifted()
    goal = np.array(clip.positions[:, NAMES.index("foot.L")])
    goal[22:26] += [0.0, -2.0, 0.0]
    aside = with_target(replace(clip, control_matrices=None, meta=figure().meta), "foot.L", goal)
    basis = build_basis(aside, ONCE)
    assert hips_drop(basis, find_limbs(basis)[0], 22, 25) is None


@pytest.mark.parametrize(
    ("events", "parts"),
    [
        ([("locked_knee", "shin.L", 20, 24), ("overreach", "foot.R", 22, 26)], ["root"]),
        ([("knee_pop", "shin.L", 20, 21), ("overreach", "foot.R", 21, 26)], ["root"]),
        ([("locked_knee", "shin.L", 20, 24), ("locked_knee", "shin.R", 30, 34)], ["L", "R"]),
        ([("locked_knee", "shin.L", 20, 24), ("overreach", "forearm.R", 22, 26)], ["L", "R"]),
        ([("overreach", "forearm.L", 20, 24), ("overreach", "forearm.R", 23, 30)], ["L", "R"]),
        (
            [
                ("locked_knee", "shin.L", 20, 24),
                ("locked_knee", "shin.R", 20, 24),
                ("overreach", "forearm.R", 22, 26),
            ],
            ["root"],
        ),
    ],
)
def test_which_limbs_are_one_event(events, parts):
    basis = build_basis(figure(frames=60), ONCE)
    by_check = {check: [] for check, *_rest in events}
    for each in events:
        by_check[each[0]].append(event(basis, *each, peak=each[2]))
    found = merge(basis, [Evidence(check, tuple(each)) for check, each in by_check.items()])
    assert sorted(basis.bodies[each.owner].part.split(".")[-1] for each in found) == parts


def test_a_lock_is_no_hitch_of_its_joint():
    basis = build_basis(figure(frames=60), ONCE)
    lock = event(basis, "locked_knee", "shin.R", 20, 24, peak=20)
    for part, leads in (("shin.R", "locked_knee"), ("foot.R", "hitch")):
        hitch = event(basis, "hitch", part, 20, 24, peak=20, visible_m=0.2)
        (found,) = merge(basis, [Evidence("hitch", (hitch,)), Evidence("locked_knee", (lock,))])
        assert found.lead.check == leads
