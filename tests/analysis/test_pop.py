# SPDX-License-Identifier: GPL-3.0-or-later
"""`pop`: what is found at any rate, size and heading, in fast limbs and noise; what is none.

`test_limits` holds the limits to their definition, `test_departure` has steps and corners.
"""

from dataclasses import replace

import numpy as np
import pytest
from figures import figure, names, spike

from analysis import Settings, check_clip
from analysis import quaternions as quat

POP = Settings(cycle="no", checks=("pop",))
RATES = [(24, 48), (30, 60), (60, 120)]


def bump(frames, fps, at_s, metres):
    """(T,) a stray key of a 24 fps curve at `at_s`: off on it, on its way half a key apart."""
    away = np.abs(np.arange(frames) / fps - at_s) * 24.0
    return metres * np.where(away < 1.0, 1.0 - away**2 * (3.0 - 2.0 * away), 0.0)


@pytest.mark.parametrize(("fps", "frames"), RATES)
@pytest.mark.parametrize("way", [(0, 0, 1), (1, 0, 0), (0, -1, 0)])
def test_a_stray_key_is_found_at_any_rate(fps, frames, way):
    """Its bump lasts a frame at 24 a second, and three to five at 60."""
    shift = np.outer(bump(frames, fps, 1.0, 0.06), way)
    (found,) = check_clip(figure(fps=fps, frames=frames, shift=shift), POP).findings
    assert (found.part, found.severity) == ("root", "major")
    assert found.frames[0] <= 1 + fps <= found.frames[1]
    assert found.amount == pytest.approx(6.0, abs=1.0)


@pytest.mark.parametrize(("fps", "frames"), RATES)
def test_clean_strides_are_clean_at_any_rate(fps, frames):
    for speed in (0.0, 1.4, 3.0):
        assert names(check_clip(figure(fps=fps, frames=frames, speed=speed), POP)) == []


@pytest.mark.parametrize("degrees", [30.0, 140.0])
def test_the_heading_does_not_matter(degrees):
    clip = figure(
        turns={"head": spike(48, 30, 0.3)}, shift=np.outer(spike(48, 14, 0.05), [0, 0, 1])
    )
    half = np.radians(degrees) / 2.0
    turn = np.array([np.cos(half), 0.0, 0.0, np.sin(half)])
    turned = replace(
        clip,
        positions=quat.rotate(
            np.broadcast_to(turn, (*clip.positions.shape[:2], 4)), clip.positions
        ),
        rotations=quat.multiply(np.broadcast_to(turn, clip.rotations.shape), clip.rotations),
    )
    told = [
        [(f.part, f.frames, round(f.amount, 3)) for f in check_clip(each, POP).findings]
        for each in (clip, turned)
    ]
    assert told[0] == told[1]
    assert len(told[0]) == 2


def rough_arm(shift):
    """An arm that shakes at the shoulder; its hand is shifted by metres at sample 24."""
    shake = np.random.default_rng(4).normal(size=48, scale=0.03)
    clip = figure(turns={"upper_arm.R": shake}, speed=0.0)
    places = np.array(clip.positions)
    places[24, clip.joints.index("hand.R")] += [shift, 0.0, 0.0]
    return replace(clip, positions=places)


def test_a_hand_that_jumps_off_a_rough_arm_is_found_against_the_arm():
    assert names(check_clip(rough_arm(0.0), POP)) == []
    (found,) = check_clip(rough_arm(0.07), POP).findings
    assert (found.part, found.frames) == ("hand.R", (25, 25))
    # The arm's own shake would hide as much of the arm itself.
    world = 0.07 / 0.56
    shake = np.random.default_rng(4).normal(size=48, scale=0.03) + spike(48, 24, world)
    assert names(check_clip(figure(turns={"upper_arm.R": shake}, speed=0.0), POP)) == []


@pytest.mark.parametrize("seed", range(5))
def test_noise_on_every_joint_is_quiet(seed):
    noise = np.random.default_rng(seed).normal(size=(240, 16, 3), scale=0.003)
    clip = figure(frames=240)
    assert names(check_clip(replace(clip, positions=clip.positions + noise), POP)) == []


@pytest.mark.parametrize("frames", [2, 3])
def test_a_strike_of_a_few_frames_over_an_arc_is_no_pop(frames):
    """From a hold into a hold, the frames between lie off the straight way, as arcs do."""
    along = np.clip((np.arange(48) - 22) / frames, 0.0, 1.0)
    arc = np.stack((0.3 * along, 0.0 * along, 0.1 * np.sin(np.pi * along)), axis=-1)
    assert names(check_clip(figure(shift=arc, speed=0.0, period_s=1e6), POP)) == []


def test_a_pop_where_a_swing_turns_is_found():
    """There the point hardly moves to one side of the pop, and leaves to the other."""
    swing = 0.1 * np.cos(2 * np.pi * (np.arange(48) - 24.5) / 24.0)
    shift = np.outer(swing, [1, 0, 0]) + np.outer(spike(48, 24, 0.04), [0, 0, 1])
    (found,) = check_clip(figure(shift=shift, speed=0.0, period_s=1e6), POP).findings
    assert (found.part, found.frames) == ("root", (25, 25))


def test_a_tolerance_and_a_style_widen_it():
    clip = figure(shift=np.outer(spike(48, 22, 0.02), [0, 0, 1]), speed=0.0)
    assert names(check_clip(clip, POP)) == [("pop", "root")]
    assert names(check_clip(clip, replace(POP, style={"pop": 2.0}))) == []


def pose_to_pose(way):
    """(48,) a hold, a quick move along `way` (shares of it from frame to frame), a hold."""
    path = np.zeros(48)
    path[24 : 24 + len(way)] = np.cumsum(way)
    path[24 + len(way) :] = np.sum(way)
    return path


@pytest.mark.parametrize(
    ("way", "found"),
    [
        ((1.0,), 1),  # a key that is lost: from pose to pose within a frame
        ((0.62, 0.22, 0.1, 0.06), 0),  # eases out
        ((0.06, 0.1, 0.22, 0.62), 0),  # gathers speed
        ((0.2, 0.6, 0.2), 0),
    ],
)
def test_a_quick_move_of_some_frames_is_no_step(way, found):
    shift = np.outer(0.12 * pose_to_pose(way), [0, -1, 0])
    clip = figure(speed=0.0, period_s=1e6, shift=shift)
    assert len(names(check_clip(clip, POP))) == found


def test_a_strike_out_of_a_hold_that_overshoots_is_no_pop():
    """Standing, then across within two frames, past the pose and back into it, drifting on."""
    path = 0.79 + 0.02 * (np.arange(48) - 27)
    path[:24], path[24:27] = 0.0, (0.62, 1.12, 0.91)
    clip = figure(speed=0.0, period_s=1e6, shift=np.outer(0.3 * path, [0, -0.4, 0.9]))
    assert names(check_clip(clip, POP)) == []


@pytest.mark.parametrize(("share", "found"), [(1.3, 0), (1.9, 1)])
def test_samples_far_apart_need_more(share, found):
    """At 12 a second (as on twos) 1.6 times what is asked at 24."""
    metres = share * 0.0076 * 1.78
    shift = np.outer(spike(48, 22, metres), [0, 0, 1])
    calm = {"speed": 0.0, "period_s": 1e6, "shift": shift}
    assert len(check_clip(figure(fps=12.0, **calm), POP).findings) == found
    assert len(check_clip(figure(fps=24.0, **calm), POP).findings) == 1


@pytest.mark.parametrize("angle", [0.0, 0.15, 0.3])
@pytest.mark.parametrize("speed", [0.05, 0.12])
def test_a_neck_that_turns_where_the_body_turns_a_corner_is_told_and_to_blame(angle, speed):
    """The corner leaves no path in the world to come back to; the neck's turn stands alone."""
    time = np.arange(48) - 22.0
    way = np.stack((np.abs(time), np.maximum(time, 0.0), 0.0 * time), axis=-1) * speed
    turns = {"root": 0.2 * np.abs(time), "neck": spike(48, 22, angle)}
    clip = figure(speed=0.0, period_s=1e6, shift=way, turns=turns)
    assert names(check_clip(clip, POP)) == ([("pop", "neck")] if angle else [])
