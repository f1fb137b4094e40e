# SPDX-License-Identifier: GPL-3.0-or-later
"""The clean cycles: they close, they are what was captured, and the same each time."""

import os
from dataclasses import replace

import numpy as np
import pytest

from analysis import Settings
from analysis import quaternions as quat
from tests.quality.captured import captured
from tests.quality.case import HALVES
from tests.quality.cycle_cut import BLEND_S, best_cuts, cut_round
from tests.quality.cycle_round import screw, travel_of
from tests.quality.cycles import cycles
from tests.quality.score import alarms

if os.environ.get("PLUMBLINE_CAPTURED") is None:
    pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner", allow_module_level=True)


@pytest.mark.corpus
def test_there_are_a_hundred_in_each_half_and_each_has_its_name():
    cases = cycles()
    assert len({case.name for case in cases}) == len(cases)
    for half in ("A", "B"):
        assert sum(case.half == half for case in cases) >= 100
    assert all(case.half == HALVES.get(case.source, case.half) for case in cases)
    assert all(case.clip.meta.cycle for case in cases)
    assert {case.clip.fps for case in cases} == {24.0, 30.0, 60.0}


@pytest.mark.corpus
def test_they_travel_turn_and_stay():
    turns = [abs(case.round.turn) for case in cycles()]
    ways = [np.hypot(*case.round.travel) for case in cycles()]
    assert all(turn == 0.0 or turn > np.radians(15.0) for turn in turns)
    assert all(way == 0.0 or way > 0.27 for way in ways)  # .15 of the height is no travel
    kinds = {(turn > 0.0, way > 0.0) for turn, way in zip(turns, ways, strict=True)}
    assert kinds == {(False, False), (False, True), (True, False), (True, True)}


def test_the_next_round_is_the_first_carried_on():
    for case in cycles()[::9]:
        each = case.round
        rounds = each.played(np.arange(2.0 * each.length))
        at, about = screw(each.turn, each.travel, np.ones(1))
        carried = quat.rotate(about, rounds.positions[: each.length]) + at
        np.testing.assert_allclose(rounds.positions[each.length :], carried, atol=1e-9)
        np.testing.assert_allclose(rounds.positions[: each.length], case.clip.positions, atol=1e-9)


def test_no_seam_is_rougher_than_the_rest():
    """Of all joints together; where a body part lands on the seam that part may be."""
    for case in cycles():
        path = case.round.played(np.arange(-2.0, case.round.length + 2.0)).positions
        rough = np.linalg.norm(np.diff(path, 4, axis=0), axis=-1).mean(axis=1)
        over = max(*rough[:2], *rough[-2:])
        assert over < 2.2 * rough[2:-2].max(), case.name


def test_a_cut_is_the_captured_motion_but_for_the_blend():
    clip = captured()[0].clip
    for cut in best_cuts(clip, 2):
        made = cut_round(clip, cut)
        loop = made.played(np.arange(float(cut.length)))
        fade = round(BLEND_S * clip.fps)
        theirs = clip.positions[cut.first : cut.first + cut.length][fade:]
        ours = loop.positions[fade:]
        # Up to where it stands: distances between all joints over time are the same.
        for a, b in ((ours, theirs), (ours - ours[0, 0], theirs - theirs[0, 0])):
            gap_a = np.linalg.norm(a - a[-1, 0], axis=-1)
            gap_b = np.linalg.norm(b - b[-1, 0], axis=-1)
            np.testing.assert_allclose(gap_a, gap_b, atol=1e-9)


def test_the_arc_of_a_round_ends_where_it_was_cut():
    for turn in (0.0, 0.7, -2.0):
        gap = np.array([0.4, -1.1])
        at, _about = screw(turn, travel_of(turn, gap), np.array([0.0, 1.0]))
        np.testing.assert_allclose(at, [[0.0, 0.0, 0.0], [*gap, 0.0]], atol=1e-12)


def test_walks_stand_on_their_feet():
    """A foot that stands stays where it is, but for its roll; in the world nothing slides."""
    walks = [c for c in cycles() if c.name.startswith("cycles/strides/walks") and not c.round.turn]
    assert len(walks) > 10
    for case in walks:
        each = case.round
        clip = each.played(np.arange(2.0 * each.length))
        if not any(each.travel):
            continue
        foot = clip.joints.index("foot.L")
        ball = clip.positions[:, foot] + quat.rotate(
            clip.rotations[:, foot], clip.point_offset[clip.points.index("toe.L")]
        )
        speed = np.linalg.norm(np.diff(ball, axis=0), axis=-1) * clip.fps
        assert np.sort(speed)[: round(0.7 * each.length)].max() < 0.25, case.name


def still_spots(case):
    """How fast heel or toe moves over the floor in the stillest quarter of the steps, m/s, of
    whichever foot is faster."""
    each = case.round
    clip = each.played(np.arange(2.0 * each.length))
    paces = []
    for side in "LR":
        foot = clip.joints.index(f"foot.{side}")
        spots = []
        for name in ("heel", "toe"):
            offset = clip.point_offset[clip.points.index(f"{name}.{side}")]
            spots.append(clip.positions[:, foot] + quat.rotate(clip.rotations[:, foot], offset))
        steps = np.linalg.norm(np.diff(spots, axis=1), axis=-1).min(axis=0) * clip.fps
        paces.append(np.quantile(steps, 0.25))
    return max(paces)


def test_walks_that_are_bent_into_a_circle_drag_their_feet_and_say_so():
    """Straight ones that do not tremble stand still."""
    walks = [
        case
        for case in cycles()
        if case.name.startswith("cycles/strides/walks") and any(case.round.travel)
    ]
    bent = [case for case in walks if case.round.turn]
    assert all(case.faulty == ("slide",) for case in bent)
    assert all(still_spots(case) > 0.08 for case in bent)
    straight = [case for case in walks if not case.round.turn]
    assert not any(case.faulty for case in straight)
    assert sum(still_spots(case) < 1e-3 for case in straight) >= 6


def test_what_is_blended_says_that_feet_are_dragged():
    for case in cycles():
        blended = "/cut/" in case.name
        assert not blended or case.faulty == ("slide", "sink", "push"), case.name
        assert blended or case.round.turn or not case.faulty, case.name


def test_what_a_clip_is_known_to_have_is_no_false_alarm():
    case = next(c for c in cycles() if c.name == "cycles/jerky/cut/dance_a.24.2.0")
    settings = Settings(checks=("slide",))
    assert alarms(replace(case, faulty=()), settings)
    assert not alarms(case, settings)
