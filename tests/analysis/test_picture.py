# SPDX-License-Identifier: GPL-3.0-or-later
"""Points on the picture: the pinhole by hand, and checks that are asked of what it shows."""

import numpy as np
import pytest
from figures import figure, names, spike
from filmed import ASPECT, SPREAD, filmed, lens, look_at

from analysis import Settings, check_clip
from analysis.picture import Picture

FRAMES = 48
SEEN = Settings(checks=("pop",), space="camera")


def _picture(eye, target):
    return Picture(look_at(eye, target)[None], lens()[None])


def test_a_pinhole_by_hand():
    # 5 m away a picture of half height .24 shows 1.2 m to either side of its middle.
    picture = _picture((0, -5, 1), (0, 0, 1))
    points = np.array([[[0.0, 0, 1], [0.6, 0, 1], [0, 0, 2.2], [0.6, 5, 1.0]]])
    places, scale, shows = picture.seen(points)
    assert places[0] == pytest.approx(np.array([[0, 0], [25, 0], [0, 50], [12.5, 0]]), abs=1e-9)
    assert scale[0] == pytest.approx([50 / 1.2, 50 / 1.2, 50 / 1.2, 25 / 1.2])
    assert shows.all()
    assert picture.aspect == pytest.approx([ASPECT])


def test_behind_the_camera_and_far_outside_nothing_shows():
    picture = _picture((0, -5, 1), (0, 0, 1))
    wide = 5.0 * SPREAD * ASPECT
    points = np.array([[[0.0, -6, 1], [1.2 * wide, 0, 1], [1.3 * wide, 0, 1], [0, 0, 1 + 1.6]]])
    assert picture.seen(points)[2].tolist() == [[False, True, False, False]]


def test_a_scaled_camera_sees_the_same():
    pose = look_at((3, -5, 2), (0, 0, 1))
    larger = pose.copy()
    larger[:3, :3] *= 2.5
    points = np.array([[[0.2, 0.1, 1.3]]])
    one, other = (Picture(each[None], lens()[None]).seen(points)[0] for each in (pose, larger))
    assert one == pytest.approx(other)


def _popping(way, size=0.05):
    shift = spike(FRAMES, 24, 1.0)[:, None] * size * np.asarray(way, dtype=float)
    return figure(frames=FRAMES, shift=shift)


def test_what_moves_along_the_line_of_sight_is_quiet_on_the_picture():
    clip = filmed(_popping((1, 0, 0)))
    assert names(check_clip(clip, Settings(checks=("pop",)))) == [("pop", "root")]
    assert names(check_clip(clip, SEEN)) == []


def test_what_moves_across_is_found_and_told_in_per_cent_of_the_picture():
    shot = check_clip(filmed(_popping((0, 0, 1))), SEEN)
    assert names(shot) == [("pop", "root")]
    (finding,) = shot.findings
    assert (finding.space, finding.unit, finding.peak_frame) == ("camera", "%", 25)
    # 5 cm, 6 m away, where the picture is 2 * .24 * 6 = 2.88 m high.
    assert finding.amount == pytest.approx(5 / 2.88, rel=0.15)
    assert "% of the picture's height" in finding.says
    assert "up" in finding.says
    # The way back is told in the world: 5 cm down.
    assert finding.suggestion.offset == pytest.approx([0, 0, -0.05], abs=0.008)


def test_left_and_right_are_the_pictures():
    # Seen from +X the figure's travel along -Y goes to the left.
    shot = check_clip(filmed(_popping((0, -1, 0))), SEEN)
    assert "to the left" in shot.findings[0].says


def test_a_camera_that_jumps_makes_the_whole_body_jump_on_the_picture_only():
    shift = spike(FRAMES, 24, 0.06)[:, None] * np.array([0.0, 0, 1])
    clip = filmed(figure(frames=FRAMES), shift=shift)
    assert names(check_clip(clip, Settings(checks=("pop",)))) == []
    assert names(check_clip(clip, SEEN)) == [("pop", "root")]


def test_paths_are_broken_at_cuts():
    shift = np.where(np.arange(FRAMES) < 24, 0.0, 1.0)[:, None] * np.array([0.0, 0.5, 0.3])
    clip = figure(frames=FRAMES)
    assert names(check_clip(filmed(clip, shift=shift), SEEN)) != []
    assert names(check_clip(filmed(clip, shift=shift, cuts=[24]), SEEN)) == []


def test_off_the_picture_nothing_is_judged():
    clip = filmed(_popping((0, 0, 1)), target=(0.0, 30.0, 1.0))
    shot = check_clip(clip, SEEN)
    assert names(shot) == []
    assert shot.good == ()
    assert dict(shot.skipped)["pop"] == "no part is known long enough without a gap"


def test_without_a_camera_it_says_so():
    shot = check_clip(_popping((0, 0, 1)), SEEN)
    assert shot.is_unjudged
    assert "no camera" in dict(shot.skipped)["pop"]


def test_what_cannot_be_asked_of_a_picture_says_so():
    shot = check_clip(filmed(figure()), Settings(space="camera"))
    assert dict(shot.skipped)["gravity"] == "asked in the world only"
