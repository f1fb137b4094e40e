# SPDX-License-Identifier: GPL-3.0-or-later
"""`slide` over a loop's seam: a plant that the seam parts is one plant, its slip one finding."""

from dataclasses import replace

import numpy as np
import pytest
from test_moving_ground import in_place

from analysis import Event, Settings, check_clip
from analysis.basis import build_basis
from analysis.loop import find_cycle
from analysis.looped import Places, lay_out
from tests.quality.figure import rebuild
from tests.quality.moves import about, reach, target
from tests.quality.stride_keys import Gait
from tests.quality.strides import gait_clip

SLIDE = Settings(cycle="yes", checks=("slide",))
FRAMES = 30


def cycle(*, mover=False, turn_deg=0.0, fps=24.0, start=8):
    """One stride of a walk; the left foot lands `start` frames before the range begins."""
    gait = Gait(frames=FRAMES, stride_m=1.2, start=start, turn_deg=turn_deg, strides=2)
    gait = replace(gait, frames=FRAMES)
    return gait_clip(gait, fps, "cycle", mover=mover)


def plant_over_seam(clip):
    """Samples of a round on which the plant over the seam begins and ends, and its foot's side."""
    basis = build_basis(clip, SLIDE)
    looped = lay_out(basis, find_cycle(basis))
    for plant in looped.basis.plants:
        if looped.length <= plant.first < 2 * looped.length <= plant.last:
            return plant.side, plant.first - looped.length, plant.last - looped.length
    raise AssertionError("no foot stands over the seam")


def slipping(clip, plant, way, *, turn_deg=0.0):
    """A planted foot (side, first, last sample counted on over the seam) slips evenly from four
    samples before the seam to three after it, and is led back once it leaves.

    turn_deg   how far a round turns to the left
    """
    side, _lands, leaves = plant
    first, last = len(clip.frames) - 4, len(clip.frames) + 3
    length, shift = len(clip.frames), 0.0
    back = np.exp(-1j * np.radians(turn_deg)) * complex(way[0], way[1])
    for at, there in (
        (np.arange(length), complex(way[0], way[1])),
        (np.arange(length) + length, back),
    ):
        goes = np.clip((at - first) / (last - first), 0.0, 1.0)
        share = goes * np.clip(1.0 - (at - leaves) / 8.0, 0.0, 1.0)
        shift = shift + np.outer(share, [there.real, there.imag, 0.0])
    return reach(clip, target(clip, f"foot.{side}"), shift)


KINDS = {
    "on a mover": lambda fps: cycle(mover=True, fps=fps),
    "travelling": lambda fps: cycle(fps=fps),
    "turning": lambda fps: cycle(mover=True, turn_deg=40.0, fps=fps),
    "turning in place": lambda fps: in_place(cycle(mover=True, turn_deg=40.0, fps=fps)),
    "in place": lambda fps: in_place(cycle(mover=True, fps=fps)),
}


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("fps", [24.0, 30.0])
def test_clean_cycles_stand_still_over_their_seam(kind, fps):
    shot = check_clip(KINDS[kind](fps), SLIDE)
    assert not shot.findings
    assert shot.measures["plants"] == 4  # two strides: each plant once


@pytest.mark.parametrize("kind", KINDS)
def test_a_slip_over_the_seam_is_one_finding_with_all_of_it(kind):
    clip = KINDS[kind](24.0)
    plant = side, first, last = plant_over_seam(clip)
    seam = len(clip.frames)
    assert first + 3 < seam < last - 3
    turn_deg = 80.0 if kind == "turning" else 0.0
    slid = slipping(clip, plant, [0.04, 0.0], turn_deg=turn_deg)
    shot = check_clip(slid, SLIDE)
    (finding,) = shot.findings
    assert finding.part == f"foot.{side}"
    assert finding.amount == pytest.approx(
        4.0 * shot.height_m / build_basis(clip, SLIDE).height.scene_m, abs=0.4
    )
    assert f"frames {seam - 3} over the loop's seam to 4" in finding.says
    assert finding.frames in ((seam - 3, seam), (1, 4))


def test_half_of_it_is_told_where_the_range_is_no_loop():
    clip = cycle(mover=True)
    slid = slipping(clip, plant_over_seam(clip), [0.04, 0.0])
    shot = check_clip(slid, replace(SLIDE, cycle="no"))
    assert all(finding.amount < 3.0 for finding in shot.findings)
    assert shot.measures["plants"] == 5


def test_a_repeated_last_frame_tells_how_far_the_round_leads():
    gait = Gait(frames=FRAMES, stride_m=1.2, start=8, turn_deg=50.0, strides=2)
    twice = gait_clip(gait, 24.0, "two rounds", rounds=2)
    clip = twice.cut(twice.frames[0], twice.frames[gait.length])
    clip = replace(clip, meta=replace(clip.meta, cycle=True))
    basis = build_basis(clip, SLIDE)
    found = find_cycle(basis)
    assert found.repeats == 1
    looped = lay_out(basis, found)
    after = looped.basis.positions[gait.length : 2 * gait.length]
    there = twice.positions[gait.length :, [body.joint for body in basis.bodies]]
    assert np.abs(after - there).max() < 1e-3


def test_what_was_declared_at_the_other_end_of_the_seam_counts():
    clip = cycle(mover=True)
    plant, seam = plant_over_seam(clip), len(clip.frames)
    slid = slipping(clip, plant, [0.04, 0.0])
    for frames in ((1, 2), (seam - 1, seam)):
        hit = Event(frames=frames, kind="hit", part=f"foot.{plant[0]}")
        meta = replace(slid.meta, events=(hit,))
        shot = check_clip(replace(slid, meta=meta), SLIDE)
        assert not shot.findings
        assert shot.measures["plants_pushed"] == 1


def test_a_foot_that_stands_throughout_a_loop_is_one_plant():
    from figures import steered

    shot = check_clip(steered(frames=24), SLIDE)
    assert shot.measures["plants"] == 2
    away = np.outer(0.5 - 0.5 * np.cos(2.0 * np.pi * np.arange(24) / 24), [0.03, 0.0, 0.0])
    (finding,) = check_clip(steered(frames=24, foot_shift=away), SLIDE).findings
    assert finding.part == "foot.L"
    assert finding.amount == pytest.approx(3.0, abs=0.2)


def test_stretches_are_told_on_the_range():
    basis = build_basis(cycle(), SLIDE)
    looped = lay_out(basis, find_cycle(basis))
    places, length = Places(basis, looped), looped.length
    assert places.spans(length + 2, length + 5) == [(2, 5)]
    assert places.spans(2 * length - 2, 2 * length + 1) == [(length - 2, length - 1), (0, 1)]
    assert places.spans(0, 3 * length - 1) == [(0, length - 1)]
    assert Places(basis).spans(3, 9) == [(3, 9)]
    assert places.text(2 * length - 2, 2 * length + 1) == f"{length - 1} over the loop's seam to 2"


def test_an_arm_that_breaks_at_the_seam_moves_no_foot():
    """The round's lead is read from the repeated frame, where one arm is 25 degrees off."""
    gait = Gait(frames=FRAMES, stride_m=1.2, start=8, strides=2)
    twice = gait_clip(gait, 24.0, "two rounds", rounds=2)
    clip = twice.cut(twice.frames[0], twice.frames[gait.length])
    clip = replace(clip, meta=replace(clip.meta, cycle=True))
    arm = clip.joint(clip.meta.roles["upper_arm.L"][0])
    off = np.radians(25.0) * np.clip(1.0 - np.arange(len(clip.frames)) / 6.0, 0.0, 1.0)
    broken = rebuild(clip, arm, turn=about(np.array([1.0, 0.0, 0.0]), off))
    shot = check_clip(broken, SLIDE)
    assert find_cycle(build_basis(broken, SLIDE)).repeats == 1
    assert not shot.findings
