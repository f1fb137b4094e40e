# SPDX-License-Identifier: GPL-3.0-or-later
"""The corpus's keyed walks and runs: planted, even, and closed."""

import os
from dataclasses import replace

import numpy as np
import pytest

if os.environ.get("PLUMBLINE_CAPTURED") is None:
    pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner", allow_module_level=True)

from analysis import Settings, check_clip
from analysis import quaternions as quat
from tests.quality.sets import clean_cases
from tests.quality.stride_keys import Gait
from tests.quality.strides import gait_clip, key_gait


def sole(clip, point):
    """(T,3) world path of a named point."""
    at = clip.points.index(point)
    joint = clip.point_joint[at]
    turned = quat.rotate(clip.rotations[:, joint], clip.point_offset[at])
    return clip.positions[:, joint] + turned


@pytest.mark.parametrize("gait", [Gait(), Gait(running=True, frames=18, stride_m=1.8)])
def test_feet_stand_while_the_body_goes_on(gait):
    clip = gait_clip(gait, 24.0, "gait")
    stands = round(0.35 * gait.frames) - 2 if gait.running else round(0.6 * gait.frames) - 2
    for side in "LR":
        still = np.linalg.norm(np.diff(sole(clip, f"toe.{side}"), axis=0), axis=-1) < 1e-9
        assert still.sum() >= stands - 2
    travel = clip.positions[-1, 0, 1] - clip.positions[0, 0, 1]
    assert travel == pytest.approx(-gait.stride_m * (gait.frames - 1) / gait.frames, abs=0.02)


def test_a_cycle_goes_on_over_its_seam():
    """Another round begins where and as fast as the first one ends."""
    gait = Gait(frames=26, strides=2, start=5, seed=3)
    splines = key_gait(gait).splines
    at = np.arange(gait.length)
    for name, curve in splines.items():
        once, again = curve.at(at), curve.at(at + gait.length)
        travel = again - once
        np.testing.assert_allclose(travel, np.broadcast_to(travel[:1], travel.shape), atol=1e-9)
        fine = np.diff(curve.at(gait.length + np.linspace(-1e-3, 1e-3, 3)), axis=0)
        if not name.startswith("foot"):
            np.testing.assert_allclose(fine[0], fine[1], atol=2e-6)


def test_strides_differ_where_there_are_several():
    clip = gait_clip(Gait(strides=2, in_place=True, seed=5), 24.0, "gait")
    hand = clip.positions[:, clip.joint("hand.L")]
    assert np.linalg.norm(hand[:24] - hand[24:], axis=-1).max() > 0.005


def test_a_turning_walk_turns_and_stays_planted():
    clip = gait_clip(Gait(turn_deg=40.0), 24.0, "gait")
    ahead = quat.rotate(clip.rotations[:, 0], np.array([1.0, 0.0, 0.0]))
    turned = np.degrees(np.arctan2(ahead[-1, 1], ahead[-1, 0]) - np.arctan2(*ahead[0, 1::-1]))
    assert turned == pytest.approx(40.0 * 23 / 24, abs=6.0)
    still = np.linalg.norm(np.diff(sole(clip, "toe.L"), axis=0), axis=-1) < 1e-9
    assert still.sum() > 8


@pytest.mark.corpus
def test_movers_go_evenly():
    for case in clean_cases(["travelling"]):
        mover = case.clip.positions[:, case.clip.joint("mover")]
        steps = np.diff(mover, axis=0)
        np.testing.assert_allclose(steps, np.broadcast_to(steps[:1], steps.shape), atol=1e-9)
        assert case.clip.parents[case.clip.joint("hips")] == case.clip.joint("mover")
        hips = case.clip.positions[:, 0] - mover
        assert np.ptp(hips[:, :2], axis=0).max() < 0.12


@pytest.mark.corpus
def test_the_seam_falls_on_a_landing():
    for case in clean_cases(["strike_seam"]):
        clip, size = case.clip, case.clip.meta.height_m / 1.62
        heels = {side: sole(clip, f"heel.{side}")[:, 2] / size for side in "LR"}
        landing = min("LR", key=lambda side: abs(heels[side][0]))
        assert abs(heels[landing][0]) < 0.03
        assert heels[landing][-1] > heels[landing][0] + 0.005  # it was higher a frame before


@pytest.mark.parametrize("in_place", [False, True])
@pytest.mark.parametrize(
    "gait",
    [
        Gait(frames=28, stride_m=1.2, bob_m=0.014, sway_m=0.022, strides=2),
        Gait(frames=18, stride_m=1.8, bob_m=0.02, sway_m=0.012, running=True, strides=2),
    ],
    ids=["walk", "run"],
)
def test_a_gait_is_measured_as_it_was_keyed(gait, in_place):
    fps = 30.0
    clip = gait_clip(replace(gait, in_place=in_place), fps, "gait")
    found = check_clip(clip, Settings(checks=("sway",))).measures
    assert found["run_share"] == float(gait.running)
    assert found["strides"] == 2.0 * gait.strides
    assert found["stride_s"] == pytest.approx(gait.frames / fps, rel=0.01)
    assert found["stride_m"] == pytest.approx(gait.stride_m, rel=0.01)
    assert found["gait_speed_m_s"] == pytest.approx(gait.stride_m * fps / gait.frames, rel=0.01)
    hips = clip.positions[:, clip.joint("hips")]
    assert found["root_lateral_m"] == pytest.approx(2.0 * gait.sway_m, rel=0.1)
    spans = [hips[at : at + gait.frames] for at in (0, gait.frames)]  # the two strides
    across, up = (np.mean([np.ptp(span[:, axis]) for span in spans]) for axis in (0, 2))
    assert found["root_lateral_m"] == pytest.approx(across, rel=0.05)
    assert found["root_vertical_m"] == pytest.approx(up, rel=0.03)
    # From the heel's landing to where the toes leave: .6 of a stride, .35 in running.
    stands = 0.35 if gait.running else 0.6
    for side in ("left", "right"):
        assert found[f"foot_contact_{side}_share"] == pytest.approx(stands, abs=2.0 / gait.frames)
    froude = found["gait_speed_m_s"] ** 2 / (9.80665 * (0.4215 + 0.41))
    assert found["froude"] == pytest.approx(froude, rel=0.02)
