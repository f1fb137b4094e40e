# SPDX-License-Identifier: GPL-3.0-or-later
"""`camera_jump`: what jumps is the camera's, and what is meant stays quiet."""

from dataclasses import replace

import numpy as np
import pytest
from figures import figure, spike
from pictures import (
    ASKED,
    AT,
    FRAMES,
    eased,
    found,
    metres,
    move,
    one,
    panned,
    right_of,
    shifted,
    shot,
    standing,
)

from analysis import Settings, check_clip
from analysis import quaternions as quat


def test_a_camera_a_frame_off_is_told_with_what_does_it():
    clip = standing()
    camera = shot(clip)
    camera = shifted(camera, spike(FRAMES, AT, metres(camera, clip, 1.4)))
    finding = one(found(camera, clip))
    assert finding.says == (
        "The picture jumps 1.4 % of its height to the left at frame 34 and comes back at 35: "
        "the camera's position does it."
    )
    assert finding.suggestion.text == (
        "Delete or move the stray key of the camera's position at frame 34."
    )
    assert (finding.frames, finding.unit, finding.severity) == ((34, 34), "%", "major")
    assert finding.amount == pytest.approx(1.4, rel=0.02)
    assert finding.id == "camera_jump:camera:34"
    assert finding.title == "Camera jump"


@pytest.mark.parametrize("width", [1, 2, 3])
def test_one_to_three_frames_off_are_told_as_many(width):
    clip = standing()
    camera = shot(clip)
    camera = shifted(camera, spike(FRAMES, AT, metres(camera, clip, 2.0), width))
    assert one(found(camera, clip)).frames == (AT + 1, AT + width)


@pytest.mark.parametrize("step", [False, True])
@pytest.mark.parametrize(
    ("cause", "words"),
    [
        ("position", "to the left"),
        ("turn", "to the right"),
        ("roll", "tilts by 1.0 degrees to the right"),
        ("lens", "grows by"),
        ("dolly", "grows by"),
    ],
)
def test_position_turn_and_lens_are_told_apart(cause, words, step):
    clip = standing()
    camera = shot(clip)
    on = (np.arange(FRAMES) >= AT) if step else (np.arange(FRAMES) == AT)
    if cause == "position":
        camera = shifted(camera, on * metres(camera, clip, 1.0))
    elif cause == "turn":
        camera = panned(camera, on * 0.008)
    elif cause == "roll":
        camera = replace(camera, roll=on * np.radians(1.0))
    elif cause == "lens":
        camera = replace(camera, lens=camera.lens * np.where(on, 1.02, 1.0))
    else:
        camera = shifted(camera, on * 0.15, (camera.target - camera.place) / 6.0)
    finding = one(found(camera, clip))
    named = {"roll": "turn", "dolly": "position"}.get(cause, cause)
    assert f"the camera's {named} does it" in finding.says
    assert words in finding.says
    assert finding.frames == ((AT, AT + 1) if step else (AT + 1, AT + 1))
    assert ("stays so" in finding.says) is step


def test_what_a_turn_takes_back_of_a_shift_names_both():
    """The camera is a frame off, and turned so that the figure stays in the middle."""
    clip = standing()
    camera = shot(clip)
    aside = spike(FRAMES, AT, 2.0)[:, None] * right_of(camera)
    camera = replace(camera, place=camera.place + aside)
    says = one(found(camera, clip)).says
    assert "the camera's position and turn do it" in says


@pytest.mark.parametrize("moving", ["still", "pan", "zoom", "orbit", "dolly"])
@pytest.mark.parametrize("step", [False, True])
def test_a_jump_of_one_per_cent_is_found_in_any_even_move(moving, step):
    clip = standing()
    camera = move(shot(clip), moving)
    on = (np.arange(FRAMES) >= AT) if step else (np.arange(FRAMES) == AT)
    camera = shifted(camera, on * metres(camera, clip, 1.0, AT))
    finding = one(found(camera, clip))
    assert finding.amount == pytest.approx(1.0, rel=0.25)
    assert abs(finding.peak_frame - (AT + 1)) <= 1


def test_without_a_camera_it_is_skipped():
    shot_found = check_clip(standing(), ASKED)
    assert dict(shot_found.skipped)["camera_jump"] == "the shot has no camera"
    assert "camera_share_of_screen_travel" not in shot_found.measures


def test_stretches_too_short_to_judge_are_said():
    clip = standing()
    cuts = np.arange(FRAMES) % 6 == 0
    shot_found = found(panned(shot(clip), 0.3 * (np.arange(FRAMES) // 6)), clip, camera_cut=cuts)
    assert dict(shot_found.skipped)["camera_jump"] == "needs 9 frames or more between cuts"


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("scale", [1.0, 10.0])
def test_rate_and_scale_do_not_matter(fps, scale):
    frames = round(2.5 * fps)
    clip = figure(frames=frames, fps=fps, scale=scale, speed=0.0)
    camera = shot(clip, distance=6.0 * scale, height=1.2 * scale)
    camera = panned(camera, 0.4 * eased(frames, 0, frames - 1))
    at = frames // 2
    camera = shifted(camera, spike(frames, at, metres(camera, clip, 1.0)))
    finding = one(found(camera, clip))
    assert finding.frames == (at + 1, at + 1)
    assert finding.amount == pytest.approx(1.0, rel=0.1)
    assert (
        found(panned(shot(clip, 6.0 * scale, scale), 0.0 * np.arange(frames)), clip).findings == ()
    )


def test_turned_about_the_vertical_it_is_the_same():
    clip = standing()
    camera = shot(clip)
    camera = shifted(camera, spike(FRAMES, AT, metres(camera, clip, 1.4)))
    seen = camera.seen(clip)
    turn = np.array([np.cos(0.6), 0.0, 0.0, np.sin(0.6)])
    matrix = np.eye(4)
    matrix[:3, :3] = np.stack([quat.rotate(turn, axis) for axis in np.eye(3)], axis=1)
    turned = replace(
        seen,
        positions=quat.rotate(turn, np.array(seen.positions)),
        rotations=quat.multiply(turn, np.array(seen.rotations)),
        camera_pose=matrix @ seen.camera_pose,
        rest_positions=None,
        rest_rotations=None,
    )
    one_way, other = one(check_clip(seen, ASKED)), one(check_clip(turned, ASKED))
    assert one_way.says == other.says
    assert one_way.amount == pytest.approx(other.amount)


def test_a_step_of_the_whole_figure_at_that_moment_is_another_finding():
    after = np.arange(FRAMES) >= AT
    joints = ("chest", "head", "upper_arm.L", "forearm.R", "thigh.L", "thigh.R", "shin.L", "shin.R")
    clip = standing(turns={joint: 0.3 * after * (-1) ** n for n, joint in enumerate(joints)})
    camera = shot(clip)
    camera = shifted(camera, after * metres(camera, clip, 2.0))
    asked = Settings(cycle="no", checks=("pop", "camera_jump"))
    told = [(f.check, f.part, f.frames) for f in check_clip(camera.seen(clip), asked).findings]
    whole_figure, camera_s = ("pop", None, (AT, AT + 1)), ("camera_jump", "camera", (AT, AT + 1))
    assert told == [whole_figure, camera_s]


def test_the_camera_s_share_of_the_travel_is_measured():
    measures = found(move(shot(standing()), "pan")).measures
    assert measures["camera_share_of_screen_travel"] > 0.8
    walking = figure(frames=FRAMES)
    still = found(shot(walking), walking).measures
    assert still["camera_share_of_screen_travel"] == pytest.approx(0.0, abs=1e-9)
    assert still["screen_travel_percent"] > 20.0


def test_an_object_alone_is_filmed_as_well():
    """A rig without a trunk: a hand that is followed by itself."""
    clip = standing(roles={"hand.L": ("hand.L",)})
    camera = shot(clip)
    camera = shifted(camera, spike(FRAMES, AT, metres(camera, clip, 2.0)))
    assert one(found(camera, clip)).frames == (34, 34)
