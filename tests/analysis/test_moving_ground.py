# SPDX-License-Identifier: GPL-3.0-or-later
"""A walk that turns, on a mover and in place: the ground's speed and turn, and the same slips."""

from dataclasses import replace

import numpy as np
import pytest

from analysis import Settings, check_clip
from analysis import quaternions as quat
from analysis.basis import build_basis
from tests.quality.moves import reach, target
from tests.quality.stride_keys import Gait
from tests.quality.strides import gait_clip

SLIDE = Settings(cycle="no", checks=("slide",))
FRAMES, STRIDE_M = 26, 1.2


def walking(turn_deg, fps=24.0):
    """Three strides on a mover that goes evenly, each turning so far to the left."""
    gait = Gait(frames=FRAMES, strides=3, turn_deg=turn_deg, stride_m=STRIDE_M)
    return gait_clip(gait, fps, "turning", mover=True)


def in_place(clip):
    """The same seen from its mover: that stands and looks one way, and the ground goes by."""
    mover = clip.joint("mover")
    back = quat.multiply(clip.rotations[0, mover], quat.conjugate(clip.rotations[:, mover]))
    away = clip.positions - clip.positions[:, [mover]]
    places = quat.rotate(np.broadcast_to(back[:, None], clip.rotations.shape), away)
    turns = quat.multiply(np.broadcast_to(back[:, None], clip.rotations.shape), clip.rotations)
    still = clip.positions[:1, [mover]]
    return replace(clip, positions=places + still, rotations=quat.continuous(turns))


def slipping(clip, side, frames, way):
    """One foot shifted evenly between two samples of a stand, and back in the swing after it."""
    at = np.arange(len(clip.frames))
    share = np.clip((at - frames[0]) / (frames[1] - frames[0]), 0.0, 1.0)
    share *= np.clip(1.0 - (at - frames[1]) / 8.0, 0.0, 1.0)
    return reach(clip, target(clip, f"foot.{side}"), np.outer(share, way))


@pytest.mark.parametrize("turn_deg", [15.0, 60.0, -60.0, 120.0])
@pytest.mark.parametrize("fps", [24.0, 30.0])
def test_feet_tell_the_speed_and_the_turn_of_the_ground(turn_deg, fps):
    clip = in_place(walking(turn_deg, fps))
    shot = check_clip(clip, SLIDE)
    assert not shot.findings
    stride_s = FRAMES / fps
    to_story = shot.height_m / build_basis(clip, SLIDE).height.scene_m
    expected = STRIDE_M * to_story / stride_s
    assert shot.measures["ground_turn_deg_s"] == pytest.approx(turn_deg / stride_s, rel=0.02)
    assert shot.measures["ground_speed_m_s"] == pytest.approx(expected, rel=0.03)
    assert "and turns by" in shot.good[0]
    assert shot.good[0].endswith("every foot stands still.")


def test_a_straight_one_does_not_turn():
    shot = check_clip(in_place(walking(0.0)), SLIDE)
    assert shot.measures["ground_turn_deg_s"] == 0.0
    assert "turns" not in shot.good[0]


@pytest.mark.parametrize("turn_deg", [0.0, 40.0, -90.0])
def test_travelling_and_in_place_have_the_same_findings(turn_deg):
    clip = walking(turn_deg)
    plants = [p for p in build_basis(clip, SLIDE).plants if p.lands and p.leaves]
    first, second = plants[0], plants[-1]
    for plant, way in ((first, [0.02, 0.01, 0.0]), (second, [0.0, -0.05, 0.0])):
        clip = slipping(clip, plant.side, (plant.first + 3, plant.last - 1), way)
    both = [check_clip(each, SLIDE) for each in (clip, in_place(clip))]
    told = [[(f.part, f.frames, f.severity) for f in shot.findings] for shot in both]
    assert len(told[0]) == 2
    assert told[0] == told[1]
    for here, there in zip(both[0].findings, both[1].findings, strict=True):
        assert here.amount == pytest.approx(there.amount, abs=0.15)


def test_size_and_heading_do_not_matter():
    clip = in_place(walking(60.0))
    lengths = ("positions", "rest_positions", "lengths", "point_offset")
    large = replace(clip, **{name: getattr(clip, name) * 10.0 for name in lengths})
    half = np.radians(50.0) / 2.0
    about = np.broadcast_to([np.cos(half), 0.0, 0.0, np.sin(half)], clip.rotations.shape)
    turned = replace(
        clip,
        positions=quat.rotate(about, clip.positions),
        rotations=quat.multiply(about, clip.rotations),
    )
    turns = [
        check_clip(each, SLIDE).measures["ground_turn_deg_s"] for each in (clip, large, turned)
    ]
    assert turns[1] == pytest.approx(turns[0], abs=0.01)
    assert turns[2] == pytest.approx(turns[0], abs=0.01)


def test_two_feet_that_disagree_are_told():
    """One of them goes a tenth faster than the ground that both walk on."""
    clip = in_place(walking(0.0))
    for plant in [p for p in build_basis(clip, SLIDE).plants if p.side == "L" and p.lands]:
        way = 0.1 * STRIDE_M / FRAMES * (plant.last - plant.first)
        clip = slipping(clip, "L", (plant.first, plant.last), [0.0, way, 0.0])
    found = check_clip(clip, SLIDE).findings
    assert found
    assert {f.part for f in found} == {"foot.L"}
