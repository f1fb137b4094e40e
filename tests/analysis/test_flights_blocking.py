# SPDX-License-Identifier: GPL-3.0-or-later
"""`gravity` on held poses: how long a height takes, against how long the figure is in the air.

A body that rises by h and lands where it left is in the air for sqrt(8 h / g), one that comes down
by d for sqrt(2 h / g) + sqrt(2 d / g) (Bosco, Luhtanen & Komi 1983, Eur J Appl Physiol 50:273-282).
"""

import re
from dataclasses import replace

import numpy as np
import pytest
from walker import box, hop, joined, with_supports

from analysis import Settings, check_clip
from analysis.free_fall import GRAVITY

FALL = Settings(cycle="no", checks=("gravity",), stage="blocking")
BEFORE = 14


def arc(height):
    return lambda u: height * 4.0 * u * (1.0 - u)


def blocked(clip, keys):
    """The clip held from key to key, by samples."""
    at = np.arange(len(clip.frames))
    source = np.array(keys)[np.searchsorted(keys, at, side="right") - 1]
    return replace(clip, positions=clip.positions[source], rotations=clip.rotations[source])


def blocked_hop(height, frames, *, fps=24.0, air=(0.5,), leaves=BEFORE - 1, **changes):
    """Standing, down, leaving (or `leaves`), poses in the air, landing, down, standing."""
    clip = hop(fps=fps, air_s=frames / fps, shape=arc(height), tuck=0.0, **changes)
    lands = BEFORE - 1 + frames
    flying = [BEFORE - 1 + round(share * frames) for share in air]
    keys = [0, 7, leaves, *flying, lands, lands + 7, len(clip.frames) - 1]
    return blocked(clip, sorted(set(keys)))


@pytest.mark.parametrize("fps", [24.0, 30.0])
def test_what_a_height_needs_is_told_on_held_poses(fps):
    """55 cm take .67 s: 16 frames at 24 fps, 20 at 30."""
    frames = 10
    shot = check_clip(blocked_hop(0.55, frames, fps=fps), FALL)
    (finding,) = shot.findings
    needs = round(np.sqrt(8.0 * 0.55 / GRAVITY) * fps)
    rise = 100.0 * GRAVITY * (frames / fps) ** 2 / 8.0
    assert finding.suggestion.text == (
        f"A rise of 55.0 cm needs {needs} frames in the air at {fps:g} fps, it has 10: "
        f"add {needs - 10}, or let it rise {rise:.1f} cm."
    )
    assert "by its highest pose" in finding.says
    assert (finding.part, finding.severity) == ("root", "major")


def test_at_24_fps_55_cm_need_16_frames_and_10_give_21_cm():
    (finding,) = check_clip(blocked_hop(0.55, 10), FALL).findings
    assert "needs 16 frames in the air at 24 fps, it has 10: add 6" in finding.suggestion.text
    assert "rise 21.3 cm" in finding.suggestion.text


@pytest.mark.parametrize("scale", [0.1, 10.0])
def test_the_story_s_height_is_what_counts(scale):
    small = blocked_hop(0.55, 10, scale=scale)
    (finding,) = check_clip(small, replace(FALL, height_m=1.78)).findings
    assert "A rise of 55.0 cm needs 16 frames" in finding.suggestion.text


def test_too_many_frames_are_told_as_well():
    (finding,) = check_clip(blocked_hop(0.2, 16), FALL).findings
    # .2 m take .404 s, 10 frames.
    assert "it has 16: take out 6, or let it rise 54.5 cm" in finding.suggestion.text


@pytest.mark.parametrize("air", [(0.5,), (0.3, 0.5, 0.8), (0.2, 0.6)])
@pytest.mark.parametrize("height", [0.3, 0.55])
def test_poses_at_the_right_time_are_good(height, air):
    frames = round(np.sqrt(8.0 * height / GRAVITY) * 24.0)
    shot = check_clip(blocked_hop(height, frames, air=air), FALL)
    assert not shot.findings
    assert shot.measures["fall_m_s2"] == pytest.approx(GRAVITY, rel=0.15)


def test_a_jump_down_takes_its_own_time():
    """.2 m up and .7 m down: sqrt(.4/g) + sqrt(1.4/g) = .58 s, 14 frames; it has 7."""

    def falls(u):
        top = np.sqrt(0.2) / (np.sqrt(0.2) + np.sqrt(0.7))
        return np.where(
            u < top, 0.2 - 0.2 * (1 - u / top) ** 2, 0.2 - 0.7 * ((u - top) / (1 - top)) ** 2
        )

    clip = hop(air_s=7 / 24, rise=-0.5, shape=falls, tuck=0.0)
    keys = [0, 7, BEFORE - 1, BEFORE + 1, BEFORE + 6, BEFORE + 13, len(clip.frames) - 1]
    ledge = box((-1.0, -0.3, -1.0), (1.0, 1.0, 0.0), len(clip.frames))
    floor = replace(clip.meta, floor_z=-0.5)
    shot = check_clip(with_supports(replace(blocked(clip, keys), meta=floor), ledge), FALL)
    (finding,) = shot.findings
    assert "needs 14 frames in the air at 24 fps, it has 7: add 7" in finding.suggestion.text


def test_a_crouch_that_is_keyed_and_no_push_leaves_the_moment_open():
    """It leaves some time between the crouch and the first pose in the air: any that suits."""
    frames = 14
    clip = hop(air_s=frames / 24.0, shape=arc(0.41), tuck=0.0)
    lands = BEFORE - 1 + frames
    keys = [0, 7, BEFORE + 4, lands, lands + 7, len(clip.frames) - 1]
    assert not check_clip(blocked(clip, keys), FALL).findings


def from_a_crouch(frames):
    """A hop whose crouch is the last pose on the ground: so many frames from its key, on 8, to
    the key that lands, the highest pose in the middle."""
    clip = hop(air_s=14 / 24.0, shape=arc(0.41), tuck=0.0)
    lands = 7 + frames
    starts = np.array([0, 7, 7 + frames // 2, lands, lands + 7, lands + 20])
    source = np.array([0, 7, BEFORE - 1 + 7, BEFORE - 1 + 14, BEFORE + 20, len(clip.frames) - 1])
    at = source[np.searchsorted(starts, np.arange(lands + 30), side="right") - 1]
    return replace(
        clip,
        frames=np.arange(1.0, lands + 31.0),
        positions=clip.positions[at],
        rotations=clip.rotations[at],
    )


def test_a_crouch_is_good_where_the_frames_from_key_to_key_are_right():
    """49.5 cm up and 41 cm down: sqrt(.99 / g) + sqrt(.82 / g) = .61 s, 15 frames."""
    shot = check_clip(from_a_crouch(15), FALL)
    assert not shot.findings
    assert shot.good[0].startswith("1 flight at 9.")
    assert "gravity" not in dict(shot.skipped)


@pytest.mark.parametrize("frames", [18, 20, 24])
def test_what_a_crouch_leaves_open_is_told_with_its_range_and_is_not_good(frames):
    """Up to as many frames as half of these may go by before it leaves: it may fall right."""
    shot = check_clip(from_a_crouch(frames), FALL)
    assert not shot.findings
    assert shot.good == ()
    assert shot.measures["fall_m_s2"] == pytest.approx(GRAVITY * (14.69 / frames) ** 2, rel=0.02)
    why = dict(shot.skipped)["gravity"]
    least, most = (float(each) for each in re.search(r"at ([\d.]+) to ([\d.]+) m/s2", why).groups())
    assert least < GRAVITY < most
    assert f"as late as frame {8 + frames // 2}" in why
    assert f"has {frames} frames, and its height needs 15" in why


@pytest.mark.parametrize("frames", [36, 40])
def test_what_is_too_slow_however_late_it_leaves_is_blamed_in_the_frames_from_key_to_key(frames):
    (finding,) = check_clip(from_a_crouch(frames), FALL).findings
    assert f"from frame 8, where it leaves, to {8 + frames}, where it lands" in finding.says
    assert f"it has {frames}: take out {frames - 15}" in finding.suggestion.text
    assert finding.severity == "major"
    assert not check_clip(from_a_crouch(15), FALL).findings


def test_a_quick_hop_from_a_crouch_is_told_by_the_least_that_it_may_be():
    shot = check_clip(from_a_crouch(10), FALL)
    assert not shot.findings
    why = dict(shot.skipped)["gravity"]
    assert "falls at 18.6 m/s2 or more, and gravity gives 9.8" in why
    assert "one flight alone may be meant so" in why
    (finding,) = check_clip(from_a_crouch(10), replace(FALL, height_m=1.78)).findings
    assert "add 4" in finding.suggestion.text


def test_one_of_several_hops_is_told_from_the_others():
    good = blocked_hop(0.35, 13)
    odd = blocked_hop(0.35, 8)
    shot = check_clip(joined(good, odd, good), FALL)
    (finding,) = shot.findings
    assert finding.frames[0] > len(good.frames)
    assert "it has 8: add 5" in finding.suggestion.text


def test_stepped_poses_that_never_leave_the_floor_are_no_flight():
    clip = blocked_hop(0.55, 10).cut(1, BEFORE)
    assert (
        dict(check_clip(clip, FALL).skipped)["gravity"] == "nothing leaves the ground in this range"
    )


def test_a_rough_spline_in_blocking_is_told_by_its_highest_pose():
    """No arc: it floats at the top. In polish that is `hang_time`'s alone."""

    def floats(u):
        return 0.6 * (1.0 - np.abs(2.0 * u - 1.0) ** 6)

    clip = hop(air_s=10 / 24, shape=floats, tuck=0.0)
    (finding,) = check_clip(clip, FALL).findings
    assert "by its highest pose" in finding.says
    assert "needs 17 frames" in finding.suggestion.text
    assert not check_clip(clip, replace(FALL, stage="polish")).findings
