# SPDX-License-Identifier: GPL-3.0-or-later
"""`camera_jump`: what jumps is the camera's, and what is meant stays quiet."""

from dataclasses import replace

import numpy as np
import pytest
from figures import figure, spike
from pictures import eased, metres, panned, right_of, shot

from analysis import Settings, check_clip
from analysis import quaternions as quat

FRAMES, AT = 60, 33
ASKED = Settings(cycle="no", checks=("camera_jump",))


def standing(**more):
    return figure(frames=FRAMES, speed=0.0, **more)


def found(camera, clip=None, **more):
    return check_clip(camera.seen(standing() if clip is None else clip, **more), ASKED)


def shifted(camera, amounts, way=None):
    """The camera shifted by amounts (T,) in metres to the right of its picture."""
    offset = amounts[:, None] * (right_of(camera) if way is None else way)
    return replace(camera, place=camera.place + offset, target=camera.target + offset)


def one(shot_found):
    (finding,) = shot_found.findings
    assert (finding.check, finding.part, finding.space) == ("camera_jump", "camera", "world")
    return finding


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
    assert finding.title == "Camera: camera jump"


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


def move(camera, name):
    """Honest camera moves over the whole shot."""
    time = np.arange(FRAMES) / 24.0
    if name == "pan":
        return panned(camera, 0.5 * eased(FRAMES, 10, 40))
    if name == "whip":
        return panned(camera, 1.4 * eased(FRAMES, 30, 6))
    if name == "even pan":
        return panned(camera, 0.3 * np.clip(time - 0.5, 0.0, 1.0))
    if name == "zoom":
        return replace(camera, lens=camera.lens * (1.0 + eased(FRAMES, 15, 20)))
    if name == "orbit":
        way = camera.place - camera.target
        around = panned(replace(camera, place=camera.target, target=camera.place), 0.8 * time)
        assert np.allclose(
            np.linalg.norm(around.target - camera.target, axis=-1), np.linalg.norm(way[0])
        )
        return replace(camera, place=around.target)
    if name == "dolly":
        return shifted(camera, 0.8 * eased(FRAMES, 5, 45))
    if name == "shake":
        rng = np.random.default_rng(4)
        amounts = sum(
            a * np.sin(2 * np.pi * f * time + rng.uniform(0, 6))
            for f, a in ((0.7, 0.03), (2.1, 0.015), (4.3, 0.01), (6.1, 0.008))
        )
        return shifted(camera, amounts)
    if name == "jitter":
        return shifted(camera, np.random.default_rng(4).normal(size=FRAMES) * 0.02)
    return camera


@pytest.mark.parametrize(
    "name", ["still", "pan", "whip", "even pan", "zoom", "orbit", "dolly", "shake", "jitter"]
)
def test_what_a_camera_is_meant_to_do_is_quiet(name):
    clip = standing()
    shot_found = found(move(shot(clip), name), clip)
    assert shot_found.findings == ()
    stands = "stands still" if name == "still" else "does not jump"
    assert shot_found.good == (f"The camera {stands} from frame 1 to 60.",)


def test_a_jump_must_stand_out_from_the_shot_s_own_shake():
    clip = standing()
    camera = move(shot(clip), "jitter")
    hidden = shifted(camera, spike(FRAMES, AT, metres(camera, clip, 1.0)))
    assert found(hidden, clip).findings == ()
    plain = shifted(camera, spike(FRAMES, AT, metres(camera, clip, 15.0)))
    assert one(found(plain, clip)).peak_frame == AT + 1


def test_a_cut_is_quiet_where_a_marker_makes_it_and_asked_for_where_none_does():
    clip = standing()
    camera = panned(shot(clip), np.where(np.arange(FRAMES) < AT, 0.0, 0.5))
    cuts = np.arange(FRAMES) == AT
    marked = found(camera, clip, camera_cut=cuts)
    assert marked.findings == ()
    assert marked.good == ("The camera does not jump between its cuts from frame 1 to 60.",)
    finding = one(found(camera, clip))
    assert finding.frames == (AT, AT + 1)
    assert "bind a camera to a marker on frame 34" in finding.suggestion.text


def test_jumps_are_found_on_either_side_of_a_cut():
    clip = standing()
    camera = panned(shot(clip), np.where(np.arange(FRAMES) < 30, 0.0, 0.5))
    size = metres(camera, clip, 1.5)
    camera = shifted(camera, spike(FRAMES, 12, size) + spike(FRAMES, 45, size))
    shot_found = found(camera, clip, camera_cut=np.arange(FRAMES) == 30)
    assert [finding.frames for finding in shot_found.findings] == [(13, 13), (46, 46)]


def test_a_stepped_camera_is_told_once():
    clip = standing()
    camera = panned(shot(clip), 0.3 * (np.arange(FRAMES) // 12 % 2))
    shot_found = found(camera, clip)
    assert shot_found.findings == ()
    assert shot_found.style == (
        "The camera is stepped: it stands and jumps 4 times (frames 13, 25, 37, 49). "
        "If these are cuts, bind a camera to a marker for each.",
    )


def test_two_steps_as_large_as_cuts_are_findings():
    clip = standing()
    camera = panned(shot(clip), 0.3 * (np.arange(FRAMES) // 20 % 2))
    assert [finding.frames for finding in found(camera, clip).findings] == [(20, 21), (40, 41)]


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


def test_a_pop_of_the_figure_is_not_the_camera_s():
    clip = standing(shift=np.outer(spike(FRAMES, AT, 0.3), [0, 0, 1]))
    assert found(move(shot(clip), "pan"), clip).findings == ()


def test_the_camera_s_share_of_the_travel_is_measured():
    measures = found(move(shot(standing()), "pan")).measures
    assert measures["camera_share_of_screen_travel"] > 0.8
    walking = figure(frames=FRAMES)
    still = found(shot(walking), walking).measures
    assert still["camera_share_of_screen_travel"] == pytest.approx(0.0, abs=1e-9)
    assert still["screen_travel_percent"] > 20.0
