# SPDX-License-Identifier: GPL-3.0-or-later
"""`straight_run` on a figure: what is found, on which part, and what is left alone."""

from dataclasses import replace

import numpy as np
import pytest
from figures import figure, names, with_mover
from filmed import filmed

from analysis import Event, Settings, check_clip
from analysis.curves import Curve

ONCE = Settings(cycle="no", checks=("straight_run",))
PHASE = 2.0 * np.pi * np.arange(48) / 24.0


def evened(series, first, last):
    """A series with equal steps from one sample to another."""
    out = np.array(series, dtype=float)
    out[first : last + 1] = np.linspace(out[first], out[last], last - first + 1)
    return out


def arm(first=20, last=26, **meta):
    """The striding figure whose left arm swings on linear keys for a while."""
    swing = -0.35 * np.sin(PHASE - 0.2)
    return figure(turns={"upper_arm.L": evened(swing, first, last) - swing}, **meta)


def rooted(first=20, last=26, fps=24.0, scale=1.0, **meta):
    """A figure that circles, and cuts its path short."""
    count = round(2.0 * fps)
    turn = 2.0 * np.pi * np.arange(count) / fps
    path = 0.3 * np.stack((np.cos(turn), 0.0 * turn, np.sin(turn)), axis=-1)
    cut = np.stack([evened(path[:, k], first, last) for k in range(3)], axis=-1)
    return figure(frames=count, fps=fps, shift=cut, speed=0.0, scale=scale, **meta)


def test_a_clean_stride_has_no_runs_and_says_so():
    shot = check_clip(figure(), ONCE)
    assert names(shot) == []
    assert "No path runs in a straight, even line from corner to corner." in shot.good
    assert shot.measures["straight_share"] == 0.0


@pytest.mark.parametrize("joint", ["upper_arm.L", "chest"])
@pytest.mark.parametrize(
    ("first", "last", "found"),
    [(10, 16, True), (17, 18, False), (23, 23, False), (28, 29, False), (31, 34, True)],
)
def test_a_turn_is_told_where_its_corners_are_known(joint, first, last, found):
    """The arm turns evenly on samples 20 to 26; it or what carries it has a gap."""
    clip = arm()
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[first : last + 1, clip.joint(joint)] = False
    shot = check_clip(replace(clip, valid=valid), ONCE)
    assert names(shot) == ([("straight_run", "upper_arm.L")] if found else [])


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_a_root_that_cuts_its_path_short_is_one_finding_on_the_root(fps):
    first, last = round(20 * fps / 24.0), round(26 * fps / 24.0)
    shot = check_clip(rooted(first, last, fps), ONCE)
    assert names(shot) == [("straight_run", "root")]
    (finding,) = shot.findings
    assert finding.frames == (first + 1, last + 1)
    assert finding.severity == "major"
    assert finding.says == (
        f"The root runs in a straight, even line from frame {first + 1} to {last + 1} and turns at "
        "once at both ends."
    )
    # How far the chord of that arc lies off the circle, r (1 - cos of half its angle).
    half = np.pi * (last - first) / fps
    assert finding.amount == pytest.approx(30.0 * (1.0 - np.cos(half)), rel=0.15)


def test_the_advice_leads_back_to_the_arc():
    shot = check_clip(rooted(), ONCE)
    advice = shot.findings[0].suggestion
    back = advice.position - np.array([0.02 * np.sin(PHASE[23]), 0.0, 0.95])
    assert np.linalg.norm(back) == pytest.approx(0.3, abs=0.05)
    assert "smooth handles" in advice.text


@pytest.mark.parametrize("scale", [0.1, 10.0])
def test_size_does_not_matter(scale):
    plain = check_clip(rooted(height_m=1.7), ONCE).findings[0]
    scaled = check_clip(rooted(scale=scale, height_m=1.7), ONCE).findings[0]
    # `figure` adds its shift before it scales the whole.
    assert scaled.frames == plain.frames
    assert scaled.amount == pytest.approx(plain.amount, rel=1e-6)


def test_an_arm_on_linear_keys_turns_evenly_though_its_path_is_an_arc():
    shot = check_clip(arm(), ONCE)
    assert names(shot) == [("straight_run", "upper_arm.L")]
    (finding,) = shot.findings
    assert finding.frames == (21, 27)
    assert "turns evenly from frame 21 to 27" in finding.says
    assert "linear keys" not in finding.says


def test_the_camera_sees_a_run_across_the_picture_in_per_cent_of_its_height():
    clip = filmed(rooted(), eye=(0.0, -8.0, 1.0), target=(0.0, 0.0, 1.0))
    shot = check_clip(clip, replace(ONCE, space="camera"))
    assert names(shot) == [("straight_run", "root")]
    (finding,) = shot.findings
    assert finding.unit == "%"
    assert finding.frames == (21, 27)


OF_KEYS = (
    "values",
    "interpolation",
    "handle_left",
    "handle_right",
    "handle_types",
    "key_types",
)


def linear_keys(kind="LINEAR", drives=("upper_arm.L", "forearm.L", "hand.L")):
    return Curve(
        control="arm_fk.L",
        channel="rotation_euler.x",
        data_path='pose.bones["arm_fk.L"].rotation_euler',
        index=0,
        action="walk",
        strip=None,
        frames=(1.0, 21.0, 27.0, 48.0),
        action_frames=(1.0, 21.0, 27.0, 48.0),
        values=(0.0, 0.3, -0.2, 0.0),
        interpolation=("BEZIER", kind, "BEZIER", "BEZIER"),
        handle_left=((0.0, 0.0),) * 4,
        handle_right=((0.0, 0.0),) * 4,
        handle_types=(("AUTO", "AUTO"),) * 4,
        key_types=("KEYFRAME",) * 4,
        drives=drives,
    )


@pytest.mark.parametrize(
    ("curve", "named"),
    [
        (linear_keys(), True),
        (linear_keys(kind="BEZIER"), False),
        (linear_keys(drives=("upper_arm.R",)), False),
    ],
)
def test_keys_are_called_linear_only_where_the_curve_says_so(curve, named):
    (finding,) = check_clip(arm(curves=(curve,)), ONCE).findings
    assert ("on linear keys of arm_fk.L" in finding.says) is named
    assert ("keys of arm_fk.L at frames 21 and 27" in finding.suggestion.text) is named


def test_keys_on_every_frame_are_to_be_spaced_anew():
    frames = tuple(float(n) for n in range(1, 49))
    many = {
        name: value * 12 for name, value in vars(linear_keys("BEZIER")).items() if name in OF_KEYS
    }
    dense = replace(linear_keys("BEZIER"), **many, frames=frames, action_frames=frames)
    (finding,) = check_clip(arm(curves=(dense,)), ONCE).findings
    a, b = (round(frame) for frame in finding.frames)
    told = f"pace its keys over frames {a} to {b} anew, closer at both ends."
    assert told in finding.suggestion.text
    (finding,) = check_clip(arm(curves=(linear_keys("BEZIER"),)), ONCE).findings
    assert f"keys of its control at frames {a} and {b} smooth handles" in finding.suggestion.text


def test_linear_keys_that_nothing_shows_of_are_no_fault():
    """The same keys, but the motion is smooth: the channel does not show, or is eased over."""
    assert names(check_clip(figure(curves=(linear_keys(),)), ONCE)) == []


def test_a_mover_that_goes_evenly_from_corner_to_corner_is_not_judged():
    path = np.outer(np.clip((np.arange(48) - 12) / 24.0, 0.0, 1.0), [0.0, -1.4, 0.0])
    assert names(check_clip(with_mover(figure(), path), ONCE)) == []


@pytest.mark.parametrize(("frames", "finds"), [((20, 22), 0), ((26, 28), 0), ((35, 36), 1)])
def test_a_declared_event_at_either_end_excuses_the_corner(frames, finds):
    event = Event(frames=frames, part="hand.L", kind="catch")
    assert len(check_clip(arm(events=(event,)), ONCE).findings) == finds


def pushed(rise):
    """A standing figure whose left hand, a body of its own, is pushed along with ease, `rise`
    metres off the straight line half way."""
    clip = figure(speed=0.0, period_s=1e6)
    u = np.clip((np.arange(48) - 10) / 24.0, 0.0, 1.0)
    way = 0.8 * u**2 * (3.0 - 2.0 * u)
    moved = np.array(clip.positions)
    bow = rise * np.sin(np.pi * way / 0.8)
    moved[:, clip.joint("hand.L")] += np.stack((way, 0.0 * way, bow), axis=-1)
    return replace(clip, positions=moved)


@pytest.mark.parametrize(("rise", "looks"), [(0.0, 1), (0.02, 1), (0.03, 0)])
def test_a_straight_swing_that_is_eased_is_a_look(rise, looks):
    """3 % of its chord: 2.4 cm of 80."""
    shot = check_clip(pushed(rise), ONCE)
    assert names(shot) == []
    swings = [look for look in shot.looks if look.check == "straight_run"]
    assert [look.part for look in swings] == ["hand.L"] * looks
    for look in swings:
        assert "hand swings in a straight line from frame " in look.says
        assert "80.0 cm long" in look.says


def test_a_head_that_goes_along_with_the_body_does_not_swing():
    """It travels 2.7 m in a straight line, but for the bob."""
    assert not any(look.check == "straight_run" for look in check_clip(figure(), ONCE).looks)


def test_a_shot_of_straight_runs_has_a_style_and_no_findings():
    swing = np.zeros((96, 3))
    swing[:, 0] = np.interp(np.arange(96), np.arange(0, 97, 8), [0.0, 0.4] * 6 + [0.0])
    shot = check_clip(figure(frames=96, period_s=1e6, speed=0.0, shift=swing), ONCE)
    assert names(shot) == []
    assert any("runs straight and even: taken for the shot's style" in each for each in shot.style)
    assert shot.measures["straight_share"] > 0.7


@pytest.mark.parametrize(("tolerance", "finds"), [("strict", 1), ("normal", 1), ("loose", 0)])
def test_tolerance_widens_limits(tolerance, finds):
    """A run 3.3 mm off its circle; the limit is 2.7 mm, .15 % of the height for an exact run, and
    half as much again where it is loose."""
    radius = 0.0033 / (1.0 - np.cos(np.radians(15.0)))
    turn = np.pi * np.arange(48) / 24.0
    path = radius * np.stack((np.cos(turn), 0.0 * turn, np.sin(turn)), axis=-1)
    cut = np.stack([evened(path[:, k], 20, 24) for k in range(3)], axis=-1)
    clip = figure(shift=cut, speed=0.0, period_s=1e6)
    assert len(check_clip(clip, replace(ONCE, tolerance=tolerance)).findings) == finds


def test_gaps_are_not_judged_and_short_clips_say_why():
    clip = rooted()
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[23] = False
    gap = replace(clip, positions=np.where(valid[..., None], clip.positions, np.nan), valid=valid)
    assert names(check_clip(gap, ONCE)) == []
    short = check_clip(figure(frames=6), ONCE)
    assert dict(short.skipped)["straight_run"] == "needs 7 frames or more, the range has 6"
