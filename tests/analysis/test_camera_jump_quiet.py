# SPDX-License-Identifier: GPL-3.0-or-later
"""`camera_jump`: moves, shakes, cuts and stepped cameras are meant; a body's jump is the body's."""

from dataclasses import replace

import numpy as np
import pytest
from figures import spike
from pictures import (
    AT,
    FRAMES,
    found,
    metres,
    move,
    one,
    panned,
    shifted,
    shot,
    standing,
)

from analysis import Event, Settings, check_clip


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


def test_a_pop_of_the_figure_is_not_the_camera_s():
    clip = standing(shift=np.outer(spike(FRAMES, AT, 0.3), [0, 0, 1]))
    assert found(move(shot(clip), "pan"), clip).findings == ()


@pytest.mark.parametrize("step", [False, True])
def test_a_camera_that_goes_along_with_a_body_jumps_as_that_does(step):
    on = (np.arange(FRAMES) >= AT) if step else (np.arange(FRAMES) == AT)
    clip = standing(shift=np.outer(0.08 * on, [0.3, 0, 1]))
    root = clip.positions[:, clip.joint("root")]
    camera = shot(clip)
    along = replace(
        camera, place=camera.place + root - root[0], target=camera.target + root - root[0]
    )
    assert found(along, clip).findings == ()
    both = check_clip(along.seen(clip), Settings(cycle="no", checks=("pop", "camera_jump")))
    assert {(finding.check, finding.part) for finding in both.findings} == {("pop", "root")}
    assert one(found(along, standing())).frames[-1] == AT + 1


def test_a_camera_that_is_declared_to_be_shaken_is_not_judged():
    clip = standing()
    camera = shot(clip)
    camera = shifted(camera, spike(FRAMES, AT, metres(camera, clip, 4.0)))
    for part, count in (("camera", 0), ("hand.L", 1), (None, 1)):
        meta = replace(clip.meta, events=(Event(frames=(33.0, 36.0), part=part),))
        assert len(found(camera, replace(clip, meta=meta)).findings) == count
