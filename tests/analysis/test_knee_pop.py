# SPDX-License-Identifier: GPL-3.0-or-later
"""Knees that snap near full reach: by little reach, or about the leg; honest knees are quiet."""

from dataclasses import replace

import numpy as np
import pytest
from clamped import LENGTH, clamped, wanted
from figures import NAMES, figure, names
from scipy.spatial.transform import Rotation
from walker import SHIN, THIGH

from analysis import Settings, check_clip
from analysis.meta import Event

ONCE = Settings(checks=("knee_pop",), cycle="no")
HIP, KNEE, ANKLE = (NAMES.index(f"{part}.L") for part in ("thigh", "shin", "foot"))


def standing(fps=24.0, seconds=2.0, near=0.993, reach_m=0.0, at=None, width=1, scale=1.0, **meta):
    """It stands and sways on legs that are nearly straight; on some samples the left foot's goal
    lies further away by `reach_m` metres."""
    root, goals = wanted(seconds, fps, least=near, bob=0.003)
    if at is not None:
        goals["L"][at : at + width, 2] -= reach_m
    return clamped(root, goals, fps, scale=scale, **meta)


def out_of_line(clip):
    hip, knee, ankle = (clip.positions[:, joint] for joint in (HIP, KNEE, ANKLE))
    line = (ankle - hip) / np.linalg.norm(ankle - hip, axis=1, keepdims=True)
    away = knee - hip
    return away - np.sum(away * line, axis=1, keepdims=True) * line


def swivelled(clip, at, width, metres):
    """The left knee turned about the line from hip to ankle, by so far."""
    places = np.array(clip.positions)
    out = out_of_line(clip)
    for n in range(at, at + width):
        line = places[n, ANKLE] - places[n, HIP]
        angle = 2.0 * np.arcsin(metres / (2.0 * np.linalg.norm(out[n])))
        turn = Rotation.from_rotvec(angle * line / np.linalg.norm(line))
        places[n, KNEE] += turn.apply(out[n]) - out[n]
    return replace(clip, positions=places)


def only(shot):
    assert names(shot) == [("knee_pop", "shin.L")]
    return shot.findings[0]


@pytest.mark.parametrize("fps", [24.0, 30.0])
@pytest.mark.parametrize("width", [1, 2])
@pytest.mark.parametrize("reach_m", [0.004, -0.006])
def test_millimetres_of_reach_that_move_the_knee_by_centimetres(reach_m, width, fps):
    at = round(fps)
    clip, clean = standing(fps, reach_m=reach_m, at=at, width=width), standing(fps)
    moved = np.linalg.norm(out_of_line(clip) - out_of_line(clean), axis=1)
    assert moved.max() > 3.0 * abs(reach_m)
    found = only(check_clip(clip, ONCE))
    assert found.frames == (clip.frames[at], clip.frames[at + width - 1])
    assert found.amount == pytest.approx(100.0 * moved.max(), abs=0.6)
    assert found.severity == "major"
    assert names(check_clip(clean, ONCE)) == []


@pytest.mark.parametrize("fps", [24.0, 30.0])
def test_a_knee_that_turns_about_its_leg(fps):
    clip = swivelled(standing(fps), round(fps), 1, 0.02)
    found = only(check_clip(clip, ONCE))
    assert found.amount == pytest.approx(2.0, abs=0.1)
    assert "pole" in found.suggestion.text


def test_a_bump_of_a_frame_at_24_is_found_at_60():
    found = only(check_clip(standing(60.0, reach_m=0.004, at=60, width=2), ONCE))
    assert found.frames[0] <= 62.0 <= found.frames[1] + 1.0


def test_the_sentence_says_who_how_far_and_when():
    found = only(check_clip(standing(reach_m=-0.006, at=24), ONCE))
    assert found.says.startswith(f"The left knee snaps {found.amount:.1f} cm forward at frame 25 ")
    assert "nearly straight" in found.says
    assert found.suggestion.text.startswith("Lower the hips a little around frame 25")
    assert found.suggestion.offset[1] > 0.0  # it faces -Y: the knee goes back


@pytest.mark.parametrize(
    ("reach_m", "says"),
    [(-0.006, "forward at frame 25 and back, "), (0.004, "back at frame 25 and returns, ")],
)
def test_what_snaps_back_returns(reach_m, says):
    assert says in only(check_clip(standing(reach_m=reach_m, at=24), ONCE)).says


def test_size_does_not_matter():
    asked = replace(ONCE, height_m=1.7)
    small, large = (
        only(check_clip(standing(reach_m=0.004, at=24, scale=scale), asked))
        for scale in (1.0, 10.0)
    )
    assert small.frames == large.frames
    assert small.amount == pytest.approx(large.amount)


def moved(off_line, fps=24.0):
    """The left leg hangs down, its knee off the line from hip to ankle by `off_line` (T,2): metres
    to the side and back."""
    clip = standing(fps, seconds=(len(off_line) - 1) / fps)
    places = np.array(clip.positions)
    square = np.sum(np.square(off_line), axis=1)
    places[:, HIP] = places[0, HIP]
    places[:, KNEE] = places[:, HIP]
    places[:, KNEE, :2] += off_line
    places[:, KNEE, 2] -= np.sqrt(THIGH**2 - square)
    places[:, ANKLE] = places[:, HIP]
    places[:, ANKLE, 2] = places[:, KNEE, 2] - np.sqrt(SHIN**2 - square)
    return replace(clip, positions=places)


@pytest.mark.parametrize(("bottom", "found"), [(0.05, []), (0.064, ["shin.L"])])
def test_a_knee_that_sticks_out_of_its_own_dip(bottom, found):
    """It straightens and bends again by 2 cm a frame; on one frame it is not as straight as that
    leads to, though by 4 mm alone off the line from the frame before to the one after."""
    ahead = np.minimum(0.04 + 0.02 * np.abs(np.arange(48) - 24.0), 0.2)
    ahead[24] = bottom
    shot = check_clip(moved(np.stack((0.0 * ahead, -ahead), axis=1)), ONCE)
    assert [each.part for each in shot.findings] == found


@pytest.mark.parametrize(("step_m", "found"), [(0.02, ["shin.L"]), (0.07, [])])
def test_a_knee_that_is_flung_through_the_line_hides_a_flick_of_a_quarter_of_its_step(
    step_m, found
):
    ahead = np.clip(0.002 + step_m * (np.arange(48) - 24.0), -0.3, 0.3)
    aside = np.zeros(48)
    aside[24] = 0.0165
    shot = check_clip(moved(np.stack((aside, -ahead), axis=1)), ONCE)
    assert [each.part for each in shot.findings] == found


def test_a_bent_knee_is_left_to_pop():
    clip = swivelled(standing(near=0.9), 24, 1, 0.03)
    assert names(check_clip(clip, ONCE)) == []
    assert names(check_clip(clip, replace(ONCE, checks=("pop",)))) == []  # 5.3 cm: thighs, shins


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("period_s", [0.5, 1.0])
def test_a_reach_that_comes_smoothly_near_its_limit_is_none(period_s, fps):
    """The knee goes in and out quickly there: that is the law of cosines, not a stray key."""
    time = np.arange(round(3.0 * fps)) / fps
    zero = 0.0 * time
    near = LENGTH * (0.985 + 0.0149 * np.sin(2.0 * np.pi * time / period_s))
    root = np.stack((zero, zero, near + 0.08), axis=-1)
    goals = {s: np.stack((zero + x, zero, zero + 0.08), -1) for s, x in (("L", 0.1), ("R", -0.1))}
    assert names(check_clip(clamped(root, goals, fps), ONCE)) == []


@pytest.mark.parametrize("metres", [0.0, 0.03])
def test_feet_that_tremble_all_the_time_hide_no_snap_and_make_none(metres):
    """As captured motion trembles: 2 mm at every joint, on its own from frame to frame."""
    clip = standing(60.0, seconds=3.0)
    clip = clip if metres == 0.0 else swivelled(clip, 90, 1, metres)
    places = clip.positions + 0.002 * np.random.default_rng(8).normal(size=clip.positions.shape)
    found = check_clip(replace(clip, positions=places), ONCE).findings
    assert [each.part for each in found] == ([] if metres == 0.0 else ["shin.L"])


def test_a_foot_that_pops_itself_is_left_to_pop():
    clip = standing()
    places = np.array(clip.positions)
    places[24, [KNEE, ANKLE]] += [0.0, -0.05, 0.02]
    assert names(check_clip(replace(clip, positions=places), ONCE)) == []


@pytest.mark.parametrize("fps", [24.0, 30.0])
def test_a_leg_that_comes_to_its_limit_is_left_to_locked_knee(fps):
    """Pulled beyond its reach for some frames the knee jolts straight, and out again."""
    root, goals = wanted(2.0, fps, pulled=0.01, lasts_s=0.6)
    clip = clamped(root, goals, fps)
    assert names(check_clip(clip, ONCE)) == []
    assert names(check_clip(clip, replace(ONCE, checks=("locked_knee",)))) != []


@pytest.mark.parametrize("fps", [24.0, 30.0])
def test_a_foot_that_stops_dead_under_a_nearly_straight_leg_is_none(fps):
    """The knee turns a corner, as a foot lands: off the curve, and on the straight lines."""
    time = np.arange(round(2.0 * fps)) / fps
    zero = 0.0 * time
    near = LENGTH * (0.993 - 0.3 * np.maximum(1.0 - time, 0.0) ** 2)
    near = np.where(time < 1.0, near - 0.25 * LENGTH * (1.0 - time), near)
    root = np.stack((zero, zero, near + 0.08), axis=-1)
    goals = {s: np.stack((zero + x, zero, zero + 0.08), -1) for s, x in (("L", 0.1), ("R", -0.1))}
    assert names(check_clip(clamped(root, goals, fps), ONCE)) == []


def test_a_leg_that_swings_fast_keeps_its_plane():
    """A kick turns what points ahead of the leg: the knee does not flick because of it."""
    time = np.arange(48) / 24.0
    root = np.tile([0.0, 0.0, 0.9], (48, 1))
    angle = 1.2 * np.sin(2.0 * np.pi * time / 0.8)
    away = 0.985 * LENGTH * np.stack((0.0 * time, -np.sin(angle), -np.cos(angle)), axis=-1)
    goals = {side: root + away + [x, 0.0, 0.0] for side, x in (("L", 0.1), ("R", -0.1))}
    assert names(check_clip(clamped(root, goals, 24.0), ONCE)) == []


def test_a_stride_is_clean():
    shot = check_clip(figure(), ONCE)
    assert names(shot) == []
    assert shot.good == ("No knee snaps.",)


def test_what_is_declared_is_none():
    event = Event(frames=(25.0, 25.0), part="shin.L", kind="hit")
    clip = standing(reach_m=0.004, at=24, events=(event,))
    assert names(check_clip(clip, ONCE)) == []


def test_gaps_hide_what_lies_in_them():
    clip = standing(reach_m=0.004, at=24)
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[23:26, KNEE] = False
    assert names(check_clip(replace(clip, valid=valid), ONCE)) == []


def test_a_short_range_is_skipped():
    shot = check_clip(figure(frames=8), ONCE)
    assert "needs 9 frames or more" in dict(shot.skipped)["knee_pop"]


def test_a_figure_without_legs_is_skipped():
    clip = figure(roles={"root": ("root",), "head": ("head",)})
    assert "no leg is known" in dict(check_clip(clip, ONCE).skipped)["knee_pop"]


def test_all_checks_together_tell_one_snap_once():
    clip = standing(reach_m=-0.012, at=24)
    found = check_clip(clip, Settings(cycle="no")).findings
    assert [(each.check, each.part) for each in found] == [("knee_pop", "shin.L")]
