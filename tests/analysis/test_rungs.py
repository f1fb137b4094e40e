# SPDX-License-Identifier: GPL-3.0-or-later
"""Feet on rungs, and bodies that lean on the sides of what was declared."""

from dataclasses import replace

import numpy as np
import pytest
from test_hands_on_supports import COUNT, standing
from walker import box, hop, with_supports

from analysis import Settings, check_clip
from analysis.basis import build_basis
from analysis.basis.contacts import Plant
from analysis.basis.other_bearers import sits
from analysis.basis.slips import Slip
from analysis.plant_measures import stays

ASK = Settings(cycle="no", checks=("slide", "sink", "gravity"))
UP_M = 0.9


def on_rungs(*, back=0.0, slips=0.0, first=30, last=34, wide=0.03, fps=24.0):
    """Both feet on a rung each, .9 m up, which cross the soles `back` metres behind the balls.

    The left foot may slip along its rung, evenly between two samples.
    """
    count = round(3.0 * fps)
    clip = standing(fps, count)
    share = np.clip((np.arange(count) - first) / (last - first), 0.0, 1.0)
    up = np.zeros((count, 1, 3))
    up[..., 2] = UP_M
    clip = replace(clip, positions=clip.positions + up)
    foot = clip.joint("foot.L")
    positions = np.array(clip.positions)
    positions[:, foot, 0] += slips * share
    clip = replace(clip, positions=positions)
    rungs = []
    for side, x in (("L", 0.1), ("R", -0.1)):
        ball = clip.positions[0, clip.joint(f"foot.{side}"), 1] - 0.16
        middle = np.array([x, ball + back, UP_M - 0.5 * wide])
        half = np.array([0.12, 0.5 * wide, 0.5 * wide])
        rungs.append(box(middle - half, middle + half, count))
    clip = with_supports(clip, *rungs)
    meta = replace(clip.meta, supports=("left rung", "right rung"), floor_z=0.0)
    return replace(clip, meta=meta)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("back", [0.0, 0.03, 0.07])
def test_who_stands_on_rungs_stands(fps, back):
    """On the balls of the feet, or across the arches, with nothing under heel and ball."""
    clip = on_rungs(back=back, fps=fps)
    basis = build_basis(clip, ASK)
    assert [(plant.side, plant.box) for plant in basis.plants] == [("L", 0), ("R", 1)]
    assert basis.flights == ()
    shot = check_clip(clip, ASK)
    assert not shot.findings
    assert not shot.style


@pytest.mark.parametrize("back", [0.0, 0.07])
def test_a_foot_that_slips_along_its_rung_is_found(back):
    (finding,) = check_clip(on_rungs(back=back, slips=0.04), ASK).findings
    assert (finding.check, finding.part, finding.severity) == ("slide", "foot.L", "major")
    assert finding.amount == pytest.approx(4.0, abs=0.2)
    assert abs(finding.frames[0] - 31) <= 2
    assert "on left rung" in finding.says


def test_feet_on_rungs_say_nothing_about_a_floor_far_below():
    shot = check_clip(on_rungs(), ASK)
    assert "edges and rungs" in dict(shot.skipped)["sink"]


@pytest.mark.parametrize("back", [0.0, 0.07])
def test_a_floor_that_nobody_states_lies_below_the_rungs(back):
    """Heels that stand in the air beside them are on no floor."""
    clip = on_rungs(back=back)
    basis = build_basis(replace(clip, meta=replace(clip.meta, floor_z=None)), ASK)
    assert basis.ground.floor_z < UP_M - 0.09
    assert [plant.box for plant in basis.plants] == [0, 1]


def test_a_hand_on_two_parts_of_a_ladder_rests_once():
    part = Slip(Plant("L", 4, 10, 40, 0, True, True), (), np.zeros(0), np.zeros(3), (10, 40))
    beside = replace(part, plant=replace(part.plant, first=20, last=60, box=1))
    again = replace(part, plant=replace(part.plant, first=70, last=90))
    other = replace(part, plant=replace(part.plant, side="R", body=7))
    assert stays([]) == 0
    assert stays([again, part, beside]) == 2
    assert stays([part, other]) == 2


def test_what_is_wide_bears_only_what_is_over_it():
    """A plank of 12 cm that begins 7 cm before the balls of the feet is no rung."""
    clip = on_rungs(back=-0.13, wide=0.12)
    assert not build_basis(clip, ASK).plants


def in_the_air():
    """A figure that neither falls nor moves, .9 m over the floor."""
    clip = standing(sway=0.0)
    clip = replace(clip, positions=clip.positions + [0.0, 0.0, UP_M])
    return replace(clip, meta=replace(clip.meta, floor_z=0.0))


@pytest.mark.parametrize(
    ("part", "offset"),
    [
        ("thigh.L", (0.2, 0.0, 0.0)),  # a seat that is against a crate's side
        ("chest", (0.0, 0.22, 0.0)),  # a back on a wall
        ("shin.R", (0.0, -0.2, 0.0)),  # knees against a ledge
    ],
    ids=["seat", "back", "knee"],
)
def test_who_leans_on_a_side_does_not_fly(part, offset):
    clip = in_the_air()
    spot = clip.positions[0, clip.joint(part)]
    assert len(build_basis(clip, ASK).flights) == 1
    near = box(spot + offset - 0.1, spot + offset + 0.1, COUNT)
    assert build_basis(with_supports(clip, near), ASK).flights == ()
    far = box(spot + 2.0 * np.array(offset) - 0.1, spot + 2.0 * np.array(offset) + 0.1, COUNT)
    assert len(build_basis(with_supports(clip, far), ASK).flights) == 1


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_a_jump_beside_a_wall_flies(fps):
    """At its top a free flight is slower than .4 m/s for .08 s: that leans on nothing."""
    clip = hop(fps=fps, air_s=0.5, distance=0.0)
    place = clip.positions[0, clip.joint("thigh.L"), 0]
    wall = box((place + 0.05, -2.0, 0.3), (place + 0.5, 2.0, 3.0), len(clip.frames))
    flights = [build_basis(each, ASK).flights for each in (clip, with_supports(clip, wall))]
    assert [(f.first, f.last) for f in flights[0]] == [(f.first, f.last) for f in flights[1]]
    assert len(flights[0]) == 1


def test_a_chair_of_parts_bears_who_sits_on_its_seat():
    """As one box it reaches up to its back: the seat would be deep inside, and bear nobody."""
    clip = in_the_air()
    hips = clip.positions[0, clip.joint("thigh.L")] * [0.0, 1.0, 1.0]
    top = hips - [0.0, 0.0, 0.08]
    seat = box(top - [0.25, 0.2, 0.04], top + [0.25, 0.25, 0.0], COUNT)
    back = box(top + [-0.25, 0.21, 0.0], top + [0.25, 0.25, 0.5], COUNT)
    whole = box(top - [0.25, 0.2, 0.04], top + [0.25, 0.25, 0.5], COUNT)
    assert sits(build_basis(with_supports(clip, seat, back), ASK)).all()
    assert not sits(build_basis(with_supports(clip, whole), ASK)).any()


def test_the_good_sentence_speaks_of_what_was_asked_on_rungs():
    """Whether feet on rungs sink or float is not asked: none is said to stand still."""
    shot = check_clip(on_rungs(), replace(ASK, checks=("slide",)))
    assert shot.good == ("2 plants: no foot slips along what it stands on.",)
