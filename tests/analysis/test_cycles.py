# SPDX-License-Identifier: GPL-3.0-or-later
"""Loops: frames that repeat, seams that break, and what is taken for a loop."""

from dataclasses import replace

import numpy as np
import pytest
from figures import figure, names, spike, steered, with_mover

from analysis import Settings, check_clip
from analysis import quaternions as quat

LOOP = Settings(cycle="yes")


@pytest.mark.parametrize("repeats", [1, 2, 3])
def test_double_frames(repeats):
    shot = check_clip(figure(frames=24 + repeats), LOOP)
    assert names(shot) == [("double_frame", None)]
    finding = shot.findings[0]
    assert finding.frames == (25, 24 + repeats)
    assert finding.amount == repeats
    assert finding.severity == "major"
    assert finding.title == "Double frame"
    assert "play 1 to 24" in finding.says


@pytest.mark.parametrize("rounds", [1, 2, 3, 8])
@pytest.mark.parametrize("start", range(0, 24, 3))
def test_whole_rounds_are_clean_wherever_they_begin(rounds, start):
    # Poses near an extreme are as close as repeats; rounds repeat the first one by right.
    clip = figure(frames=24 * rounds + start).cut(1 + start, 24 * rounds + start)
    assert names(check_clip(clip, LOOP)) == []


@pytest.mark.parametrize("start", range(0, 24, 3))
def test_a_double_frame_is_found_wherever_the_loop_begins(start):
    clip = figure(frames=25 + start).cut(1 + start, 25 + start)
    assert names(check_clip(clip, LOOP)) == [("double_frame", None)]


def test_tolerance_of_double_frames_goes_the_same_way_as_all_others():
    late = figure(frames=25, period_s=24.3 / 24)  # .3 of a step off
    found = {
        tolerance: "double_frame"
        in [n for n, _p in names(check_clip(late, Settings(cycle="yes", tolerance=tolerance)))]
        for tolerance in ("strict", "normal", "loose")
    }
    assert found == {"strict": True, "normal": True, "loose": False}


def test_a_double_frame_in_place_and_with_a_slight_offset():
    assert names(check_clip(figure(frames=25, speed=0.0), LOOP)) == [("double_frame", None)]
    late = figure(frames=25, period_s=24.15 / 24)  # .15 of a step off
    assert ("double_frame", None) in names(check_clip(late, LOOP))


def test_an_arm_that_does_not_come_home_hides_no_double_frame():
    turns = {"upper_arm.L": drift(25, 0.5)}
    for speed in (0.0, 1.4):
        shot = check_clip(figure(frames=25, turns=turns, speed=speed), LOOP)
        assert names(shot) == [("double_frame", None), ("loop_seam", "upper_arm.L")]


def test_no_double_frame_where_the_loop_is_right_or_declared():
    for frames in (22, 24, 48):
        assert "double_frame" not in [n for n, _p in names(check_clip(figure(frames=frames), LOOP))]
    declared = figure(frames=25, loop_end="repeat")
    shot = check_clip(declared, LOOP)
    assert ("double_frame", None) not in names(shot)
    assert dict(shot.skipped)["double_frame"] == "the last frame is declared to repeat the first"


def test_a_still_figure_repeats_nothing():
    clip = figure(frames=30)
    still = type(clip)(
        **{
            **vars(clip),
            "positions": np.repeat(clip.positions[:1], 30, axis=0),
            "rotations": np.repeat(clip.rotations[:1], 30, axis=0),
        }
    )
    shot = check_clip(still, LOOP)
    assert names(shot) == []


def drift(frames, radians):
    """A turn that grows over the last eight frames and is gone at the first again."""
    return radians * np.clip((np.arange(frames) - (frames - 9)) / 8.0, 0.0, 1.0) ** 2


@pytest.mark.parametrize("speed", [0.0, 1.4])
@pytest.mark.parametrize("joint", ["upper_arm.L", "forearm.R", "head"])
def test_a_part_that_does_not_come_home_breaks_the_seam(joint, speed):
    shot = check_clip(figure(turns={joint: drift(48, 0.4)}, speed=speed), LOOP)
    assert names(shot) == [("loop_seam", joint)]
    assert shot.findings[0].severity == "major"
    assert shot.findings[0].peak_frame == 48
    assert "from frame 48 to frame 1" in shot.findings[0].says


def test_stray_keys_inside_the_cycle_do_not_excuse_its_seam():
    turns = {"upper_arm.L": drift(48, 0.3), "neck": spike(48, 10, 0.2)}
    shift = np.outer(spike(48, 28, 0.03), [0, 0, 1])
    shot = check_clip(figure(turns=turns, shift=shift), LOOP)
    assert names(shot) == [("pop", "root"), ("pop", "neck"), ("loop_seam", "upper_arm.L")]


def test_a_seam_gap_of_the_whole_body_in_place():
    shift = np.outer(drift(48, 0.04), [0, 0, 1])
    shot = check_clip(figure(speed=0.0, shift=shift), LOOP)
    assert names(shot) == [("loop_seam", "root")]
    assert shot.findings[0].suggestion.frame == 49


def test_travel_and_turning_are_no_break():
    clip = figure(frames=48, speed=1.4)
    assert names(check_clip(clip, LOOP)) == []
    # The same stride around a quarter circle a round.
    angle = np.linspace(0, np.pi / 2, 49)[:48]
    turn = np.stack((np.cos(angle / 2), 0 * angle, 0 * angle, np.sin(angle / 2)), -1)[:, None]
    level = np.array(clip.positions)
    level[..., 1] += 1.4 * np.arange(48)[:, None] / 24
    level[..., 0] += 1.5
    circle = type(clip)(
        **{
            **vars(clip),
            "positions": quat.rotate(np.broadcast_to(turn, (48, 16, 4)), level),
            "rotations": quat.multiply(np.broadcast_to(turn, (48, 16, 4)), clip.rotations),
        }
    )
    assert names(check_clip(circle, LOOP)) == []


@pytest.mark.parametrize(("degrees", "breaks"), [(20.0, False), (12.0, True)])
def test_a_loop_that_turns_by_fifteen_degrees_a_round_is_meant_to_turn(degrees, breaks):
    angle = np.radians(degrees) * np.arange(48) / 48.0
    turn = np.stack((np.cos(angle / 2), 0 * angle, 0 * angle, np.sin(angle / 2)), -1)[:, None]
    clip = figure(speed=0.0)
    turn = np.broadcast_to(turn, clip.rotations.shape)
    turned = {
        "positions": quat.rotate(turn, np.array(clip.positions)),
        "rotations": quat.multiply(turn, clip.rotations),
    }
    shot = check_clip(type(clip)(**{**vars(clip), **turned}), LOOP)
    assert bool(shot.findings) is breaks


def test_the_loop_is_guessed_from_the_motion():
    assert check_clip(figure(frames=24)).cycle
    assert check_clip(figure(frames=25)).cycle
    assert not check_clip(figure(frames=20)).cycle
    assert not check_clip(figure(frames=23)).cycle  # one frame short is no loop, nor two
    assert not check_clip(figure(frames=22)).cycle
    assert not check_clip(figure(frames=31)).cycle
    assert not check_clip(figure(frames=192)).cycle  # a shot of many strides
    assert not check_clip(figure(frames=24, cycle=False)).cycle
    assert check_clip(figure(frames=31, cycle=True)).cycle


@pytest.mark.parametrize("speed", [0.0, 1.4])
def test_a_mover_that_stands_still_does_not_carry_the_travel(speed):
    clip = figure(speed=speed)
    assert names(check_clip(with_mover(clip, np.zeros((48, 3))), LOOP)) == []
    gone = figure(speed=speed, turns={"head": drift(48, 0.4)})
    found = check_clip(with_mover(gone, np.zeros((48, 3))), LOOP)
    assert names(found) == [("loop_seam", "head")]


def test_a_jump_between_two_moments_of_rest_is_not_guessed_to_loop():
    """It sways on over the seam as it began, and yet nobody means a loop."""
    ease = np.clip((np.arange(48) - 5) / 36.0, 0.0, 1.0)
    ease = ease * ease * (3.0 - 2.0 * ease)
    way = np.stack((0 * ease, -2.4 * ease, 0.5 * np.sin(np.pi * ease) ** 2), axis=-1)
    swaying = steered()
    jump = type(swaying)(**{**vars(swaying), "positions": swaying.positions + way[:, None]})
    assert check_clip(swaying).cycle
    assert not check_clip(jump).cycle


def test_a_loop_full_of_gaps_says_so():
    clip = figure()
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[30] = False
    place = np.where(valid[..., None], clip.positions, np.nan)
    gaps = type(clip)(**{**vars(clip), "positions": place, "valid": valid})
    skipped, once = (
        dict(check_clip(each, settings).skipped)
        for each, settings in ((gaps, LOOP), (clip, Settings(cycle="no")))
    )
    for check in ("double_frame", "loop_seam"):
        assert skipped[check] == "every part has a gap, and a loop is judged on whole paths"
        assert once[check] == "the range does not play as a cycle"


@pytest.mark.parametrize("frames", [12, 13, 14, 16, 18, 20])
@pytest.mark.parametrize("speed", [0.0, 1.4])
def test_short_loops_are_clean_and_break_where_an_arm_does_not_come_home(frames, speed):
    """A run's stride takes 16 frames; so few leave little to compare the seam with."""
    clean = figure(frames=frames, period_s=frames / 24.0, speed=speed)
    assert names(check_clip(clean, LOOP)) == []
    gone = {"upper_arm.L": drift(frames, 0.8)}
    broken = figure(frames=frames, period_s=frames / 24.0, speed=speed, turns=gone)
    assert ("loop_seam", "upper_arm.L") in names(check_clip(broken, LOOP))


def test_a_seam_says_what_breaks_a_gap_or_the_speed():
    """A parabola over the loop meets itself, but comes down where it goes up again."""
    time = (np.arange(48) + 0.25) / 24.0 - 1.0  # seconds
    kink = np.outer(0.1 * time**2, [0, 0, 1])
    (found,) = check_clip(figure(speed=0.0, period_s=1e6, shift=kink), LOOP).findings
    assert "changes speed by 40 cm/s at once" in found.says  # from 20 cm/s up to 20 cm/s down
    step = np.outer(0.05 * (np.arange(48) / 48.0), [0, 0, 1])
    # A whole figure that rises with its feet leaves the floor too: the seam alone is asked.
    seam = replace(LOOP, checks=("loop_seam",))
    (gap,) = check_clip(figure(speed=0.0, period_s=1e6, shift=step), seam).findings
    assert "lands 5.0 cm off its path" in gap.says
    assert "changes speed" not in gap.says
