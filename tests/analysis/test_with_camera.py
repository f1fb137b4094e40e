# SPDX-License-Identifier: GPL-3.0-or-later
"""On the picture a camera's jump is told once, and what the figure does besides as well."""

import numpy as np
import pytest
from figures import figure, names, spike
from pictures import metres, shifted, shot

from analysis import Settings, check_clip

SEEN = Settings(cycle="no", space="camera")
FRAMES, AT = 60, 33


def film(clip, percent):
    camera = shot(clip)
    return shifted(camera, spike(FRAMES, AT, metres(camera, clip, percent))).seen(clip)


@pytest.mark.parametrize("percent", [3.0, 8.0])
def test_a_jump_of_the_camera_is_one_finding(percent):
    found = check_clip(film(figure(frames=FRAMES, speed=0.0), percent), SEEN)
    assert names(found) == [("camera_jump", "camera")]
    assert {check for check, _part in found.findings[0].also} == {"pop"}


def test_what_the_head_does_on_another_frame_is_its_own():
    clip = figure(frames=FRAMES, speed=0.0, turns={"head": spike(FRAMES, 20, 0.5)})
    found = check_clip(film(clip, 3.0), SEEN)
    assert sorted(names(found)) == [("camera_jump", "camera"), ("pop", "head")]


def test_a_pop_of_the_body_is_no_jump_of_a_still_camera():
    shift = np.outer(spike(FRAMES, AT, 0.08), [0, 0, 1])
    found = check_clip(film(figure(frames=FRAMES, speed=0.0, shift=shift), 0.0), SEEN)
    assert names(found) == [("pop", "root")]
