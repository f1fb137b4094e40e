# SPDX-License-Identifier: GPL-3.0-or-later
"""Seams of loops: both sides, all parts together, frames that are missing, any rate and size."""

import numpy as np
import pytest
from figures import NAMES, figure, names
from walker import turned

from analysis import Settings, check_clip
from analysis import quaternions as quat

LOOP = Settings(cycle="yes", checks=("double_frame", "loop_seam"))


def led_up(frames, fps, seconds=0.5):
    """(T,) 0 until some time before the end, then ever more, as of a curve that does not close."""
    time = np.arange(frames) / fps - (frames / fps - seconds)
    return np.clip(time, 0.0, None) ** 3 / seconds**2 / 3.0  # meets the end at speed 1


def kick(frames, at, size):
    """(T,) a sudden turn of a joint, as of a foot that is set down: one sharp corner."""
    return size * np.exp(-np.abs(np.arange(frames) - at) / 2.0)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("speed", [0.0, 1.4])
def test_a_whole_body_that_meets_itself_at_another_speed(fps, speed):
    frames = round(2 * fps)
    shift = np.outer(0.3 * led_up(frames, fps), [0.0, 0.0, 1.0])
    shift -= np.linspace(0.0, 1.0, frames, endpoint=False)[:, None] * shift[-1]
    clip = figure(frames=frames, fps=fps, speed=speed, shift=shift)
    assert names(check_clip(clip, LOOP)) == [("loop_seam", "root")]


@pytest.mark.parametrize("fps", [24.0, 60.0])
def test_a_pose_that_is_a_little_off_everywhere(fps):
    """Half a degree or less at every joint: no part shows it, all together do."""
    frames = round(2 * fps)
    rng = np.random.default_rng(3)
    ramp = np.linspace(0.0, 1.0, frames, endpoint=False) ** 3
    turns = {name: rng.choice([-1.0, 1.0]) * np.radians(0.7) * ramp for name in NAMES}
    clip = figure(frames=frames, fps=fps, turns=turns)
    assert names(check_clip(clip, LOOP))
    assert names(check_clip(figure(frames=frames, fps=fps), LOOP)) == []


def test_what_one_side_does_inside_the_loop_the_other_may_do_at_its_seam():
    both = {"hand.L": kick(48, 0, 0.4) + kick(48, 48, 0.4), "hand.R": kick(48, 24, 0.4)}
    assert names(check_clip(figure(turns=both), LOOP)) == []
    alone = {"hand.L": both["hand.L"]}
    assert names(check_clip(figure(turns=alone), LOOP)) == [("loop_seam", "hand.L")]


def test_a_pop_of_the_whole_body_excuses_no_hand():
    """Carried along, both hands jump at once: that is not what one does at the seam."""
    shift = np.zeros((48, 3))
    shift[30, 2] = 0.04
    gone = {"upper_arm.L": 0.16 * np.linspace(0.0, 1.0, 48, endpoint=False) ** 4}
    found = check_clip(figure(turns=gone, shift=shift), LOOP).findings
    assert [(f.check, f.part) for f in found] == [("loop_seam", "upper_arm.L")]
    assert ("loop_seam", "hand.L") in found[0].also


def test_seams_do_not_depend_on_size_or_direction():
    gone = {"upper_arm.L": 0.4 * np.clip((np.arange(48) - 39) / 8.0, 0.0, 1.0) ** 2}
    shots = [
        check_clip(clip, LOOP)
        for clip in (
            figure(turns=gone),
            figure(turns=gone, scale=10.0, height_m=1.78),
            turned(figure(turns=gone), 70.0),
        )
    ]
    for shot in shots:
        assert names(shot) == [("loop_seam", "upper_arm.L")]
        assert shot.findings[0].amount == pytest.approx(shots[0].findings[0].amount, rel=0.01)


@pytest.mark.parametrize("speed", [0.0, 1.4])
@pytest.mark.parametrize("start", [0, 5, 11, 17])
def test_a_loop_that_ends_a_frame_too_early_is_told_so(speed, start):
    clip = figure(frames=64, speed=speed).cut(1 + start, 23 + start)
    shot = check_clip(clip, LOOP)
    assert names(shot) == [("loop_seam", None)]
    finding = shot.findings[0]
    assert finding.severity == "major"
    assert finding.says == (
        f"A frame is missing: from frame {23 + start} to frame {1 + start} everything goes two "
        "steps."
    )
    assert finding.suggestion.frame == 24 + start
    assert finding.amount == pytest.approx(2.0 * finding.limit, rel=0.25)


def test_no_frame_is_missing_from_what_breaks_otherwise():
    for turns in ({"upper_arm.L": 0.4 * np.linspace(0.0, 1.0, 48) ** 4}, {}):
        shift = np.outer(0.05 * np.linspace(0.0, 1.0, 48) ** 3, [0.0, 0.0, 1.0])
        shot = check_clip(figure(turns=turns, shift=shift, speed=0.0), LOOP)
        assert shot.findings
        assert not any("missing" in finding.says for finding in shot.findings)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("repeats", [1, 2, 3])
@pytest.mark.parametrize("off", [-0.2, 0.0, 0.2])
def test_repeats_a_fifth_of_a_step_off_in_a_turning_loop(fps, repeats, off):
    length = round(fps)
    frames = length + repeats
    clip = figure(frames=frames, fps=fps, period_s=(length + off) / fps, speed=0.0)
    angle = np.radians(40.0) * np.arange(frames) / (length + off)
    turn = np.stack((np.cos(angle / 2), 0 * angle, 0 * angle, np.sin(angle / 2)), -1)[:, None]
    turn = np.broadcast_to(turn, clip.rotations.shape)
    ahead = np.array(clip.positions) + [1.5, 0.0, 0.0]
    circle = type(clip)(
        **{
            **vars(clip),
            "positions": quat.rotate(turn, ahead),
            "rotations": quat.multiply(turn, clip.rotations),
        }
    )
    found = [f for f in check_clip(circle, LOOP).findings if f.check == "double_frame"]
    assert [each.amount for each in found] == [repeats]
