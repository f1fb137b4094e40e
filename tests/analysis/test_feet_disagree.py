# SPDX-License-Identifier: GPL-3.0-or-later
"""`slide` where planted feet disagree: with each other on the ground, or with the mover's turn."""

import re
from dataclasses import replace

import numpy as np
import pytest
from figures import steered
from test_moving_ground import FRAMES, STRIDE_M, in_place, walking
from walker import hop, steer

from analysis import Event, Settings, check_clip
from analysis import quaternions as quat
from analysis.basis import build_basis
from tests.quality.figure import rebuild
from tests.quality.moves import about, reach, target

SLIDE = Settings(cycle="no", checks=("slide",))
UP = np.array([0.0, 0.0, 1.0])


def faster(clip, side, share):
    """In all plants of a foot it goes back over the ground by a share of what a stride leads."""
    basis = build_basis(clip, SLIDE)
    ahead = -1.0  # -Y, where the figure faces
    for plant in [p for p in basis.plants if p.side == side and p.lands]:
        at = np.arange(len(clip.frames))
        far = share * STRIDE_M / FRAMES * (plant.last - plant.first)
        way = np.clip((at - plant.first) / (plant.last - plant.first), 0.0, 1.0) * far
        way = way * np.clip(1.0 - (at - plant.last) / 8.0, 0.0, 1.0)
        clip = reach(clip, target(clip, f"foot.{side}"), np.outer(-ahead * way, [0.0, 1.0, 0.0]))
    return clip


@pytest.mark.parametrize("travelling", [False, True])
def test_one_foot_that_goes_faster_in_all_its_plants_is_one_finding(travelling):
    clip = walking(0.0)
    clip = clip if travelling else in_place(clip)
    shot = check_clip(faster(clip, "R", 0.12), SLIDE)
    (finding,) = shot.findings
    to_story = shot.height_m / build_basis(clip, SLIDE).height.scene_m
    speed = STRIDE_M / (FRAMES / 24.0) * to_story
    assert (finding.check, finding.severity) == ("slide", "major")
    told = int(re.search(r"goes (\d+) cm/s", finding.says)[1])
    assert told == pytest.approx(0.12 * speed * 100, rel=0.1)
    if travelling:
        assert finding.part == "foot.R"
        assert finding.says.startswith("The right foot slips in all its plants: ")
        assert "back against the left one" in finding.says
        assert "forward from the first frame of its plants" in finding.suggestion.text
    else:  # which of the two is right is not to be known: both are told
        assert finding.part in ("foot.L", "foot.R")
        left, right = (float(each) for each in re.findall(r"([\d.]+) m/s \(", finding.says))
        assert left == pytest.approx(speed, abs=0.015)
        assert right == pytest.approx(1.12 * speed, abs=0.015)


def test_at_another_size_and_heading_it_is_the_same():
    clip = faster(in_place(walking(0.0)), "R", 0.12)
    (plain,) = check_clip(clip, SLIDE).findings
    lengths = ("positions", "rest_positions", "lengths", "point_offset")
    large = replace(clip, **{name: getattr(clip, name) * 10.0 for name in lengths})
    half = np.broadcast_to([np.cos(0.4), 0.0, 0.0, np.sin(0.4)], clip.rotations.shape)
    turned = replace(
        clip,
        positions=quat.rotate(half, clip.positions),
        rotations=quat.multiply(half, clip.rotations),
    )
    told = replace(SLIDE, height_m=1.7)
    amounts = [check_clip(each, told).findings[0].amount for each in (clip, large, turned)]
    assert amounts == pytest.approx([amounts[0]] * 3, abs=0.01)
    assert check_clip(turned, SLIDE).findings[0].says == plain.says


def on_mover(clip, speed, turn_rad_s):
    """What walks in place carried by a mover on an arc, m/s ahead (-Y) and turning to the left."""
    time = np.arange(len(clip.frames)) * clip.dt_s
    angle = turn_rad_s * time
    if turn_rad_s:
        radius = speed / turn_rad_s
        path = np.stack((radius * (1.0 - np.cos(angle)), -radius * np.sin(angle), 0.0 * time), -1)
    else:
        path = np.outer(speed * time, [0.0, -1.0, 0.0])
    turn = np.broadcast_to(about(UP, angle)[:, None], clip.rotations.shape)
    centre = clip.positions[:1, [clip.joint("mover")]]
    places = quat.rotate(turn, clip.positions - centre) + centre + path[:, None]
    return replace(clip, positions=places, rotations=quat.multiply(turn, clip.rotations))


@pytest.mark.parametrize(("turns", "should"), [(60.0, 30.0), (20.0, 60.0), (0.0, 25.0)])
def test_a_mover_that_turns_otherwise_than_the_feet_is_told(turns, should):
    stride_s = FRAMES / 24.0
    clip = in_place(walking(should))
    measured = check_clip(clip, SLIDE).measures["ground_turn_deg_s"]
    assert measured == pytest.approx(should / stride_s, rel=0.02)
    speed = STRIDE_M / stride_s
    right = on_mover(clip, speed, np.radians(should / stride_s))
    assert not check_clip(right, SLIDE).findings
    wrong = on_mover(clip, speed, np.radians(turns / stride_s))
    (finding,) = check_clip(wrong, SLIDE).findings
    assert finding.part == "mover"
    says = f"the planted feet say {should / stride_s:.0f} degrees a second to the left"
    assert says in finding.says
    assert f"turns by {turns / stride_s:.0f} degrees a second" in finding.says
    more = "left" if should > turns else "right"
    assert finding.suggestion.text.endswith(f"a second more to the {more}.")


def test_feet_that_turn_on_their_balls_are_no_turn_of_the_mover():
    """Each swivels outwards in its plants, as feet may: one to the left, one to the right."""
    clip = walking(0.0)
    for side, sign in (("L", 1.0), ("R", -1.0)):
        foot = clip.joint(clip.meta.roles[f"foot.{side}"][0])
        swivel = np.zeros(len(clip.frames))
        for plant in [p for p in build_basis(clip, SLIDE).plants if p.side == side]:
            swivel[plant.first : plant.last + 1] += np.linspace(
                0, 0.2, plant.last + 1 - plant.first
            )
        clip = rebuild(clip, foot, turn=about(UP, sign * swivel))
    assert all(finding.part != "mover" for finding in check_clip(clip, SLIDE).findings)


def test_one_foot_that_turns_on_ground_that_goes_by_is_told():
    """The left foot turns by 60 degrees a second in its plants, about its ball."""
    clip = in_place(walking(0.0))
    foot = clip.joint(clip.meta.roles["foot.L"][0])
    swivel = np.zeros(len(clip.frames))
    for plant in [p for p in build_basis(clip, SLIDE).plants if p.side == "L"]:
        count = plant.last + 1 - plant.first
        swivel[plant.first : plant.last + 1] = np.radians(60.0) * np.arange(count) * clip.dt_s
    shot = check_clip(rebuild(clip, foot, turn=about(UP, swivel)), SLIDE)
    (finding,) = [f for f in shot.findings if "disagree" in f.says]
    assert finding.part == "foot.L"
    assert "60 degrees a second to the left against the right one" in finding.says


def standing(left, right):
    """Both feet stand for three seconds; each goes by (x, y) metres within half a second."""
    root = np.tile(hop(distance=0.0).positions[0, 0], (72, 1))
    share = np.clip((np.arange(72) - 30) / 12.0, 0.0, 1.0)
    ways = {
        side: np.tile([x, 0.0, 0.08], (72, 1)) + np.outer(share, [*way, 0.0])
        for side, x, way in (("L", 0.1, left), ("R", -0.1, right))
    }
    return steer(root, ways, 24.0)


def test_feet_that_slip_apart_at_once_are_one_finding():
    shot = check_clip(standing((0.05, 0.0), (-0.03, 0.0)), SLIDE)
    (finding,) = shot.findings
    assert finding.part == "foot.L"
    assert finding.amount == pytest.approx(8.0, abs=0.4)
    assert finding.says.startswith("While both feet stand on the floor, frames 3")
    assert "cm/s to the left against the right one, 8.0 cm in all" in finding.says


def test_one_that_slips_while_the_other_stands_is_its_own():
    (finding,) = check_clip(standing((0.05, 0.0), (0.0, 0.0)), SLIDE).findings
    assert finding.part == "foot.L"
    assert finding.says.startswith("The left foot slips 5.0 cm to the left")


def test_what_was_declared_is_a_measure():
    clip = standing((0.05, 0.0), (-0.03, 0.0))
    meta = replace(clip.meta, events=(Event(frames=(30, 44), kind="pull"),))
    shot = check_clip(replace(clip, meta=meta), SLIDE)
    assert not shot.findings
    assert shot.measures["plants_pushed"] == 2


def test_still_and_short_input_has_an_answer():
    for frames in (2, 3, 5):
        shot = check_clip(steered(frames=frames), SLIDE)
        assert not shot.findings
