# SPDX-License-Identifier: GPL-3.0-or-later
"""The truth of a scene: what differs is measured, and what nobody planted there is refused."""

import numpy as np
import pytest
from figures import figure, steered
from filmed import SPREAD, filmed

from demo_scenes import truth

FRAMES = 48


def bump(frame, size, axis=None):
    """One sample off: (T,), or (T,3) along an axis; frame numbers count from 1."""
    series = np.zeros(FRAMES if axis is None else (FRAMES, 3))
    series[(frame - 1, *(() if axis is None else (axis,)))] = size
    return series


def fault(part, first, last=None, check="pop"):
    return {"check": check, "part": part, "frames": [first, last or first], "note": "A key is off."}


def truths(first, polished, *planted, playing=(FRAMES, FRAMES)):
    return truth.true_faults(first, polished, playing, planted)


def test_frames_and_size_are_measured_and_not_believed():
    first = figure(frames=FRAMES, turns={"hand.L": bump(20, 0.4)})
    (found,) = truths(first, figure(frames=FRAMES), fault("hand.L", 19, 21))
    assert found["frames"] == [20, 20]
    assert found["size_cm"] == pytest.approx(2 * 15.0 * np.sin(0.2), abs=0.05)  # a 15 cm chord
    assert (found["check"], found["part"], found["note"]) == ("pop", "hand.L", "A key is off.")


def test_a_fault_that_changed_nothing_is_refused():
    clip = figure(frames=FRAMES)
    with pytest.raises(ValueError, match=r"head does not differ at frames \[12, 12\]"):
        truths(clip, clip, fault("head", 12))


def test_a_difference_on_other_frames_is_refused():
    first = figure(frames=FRAMES, turns={"head": bump(12, 0.3) + bump(30, 0.01)})
    with pytest.raises(ValueError, match="head differs at frame 30, where nothing was planted"):
        truths(first, figure(frames=FRAMES), fault("head", 12))


@pytest.mark.parametrize("part", ["chest", "forearm.R", "foot.L"])
def test_a_difference_of_another_part_on_the_same_frame_is_refused(part):
    first = figure(frames=FRAMES, turns={"head": bump(12, 0.3), part: bump(13, 0.05)})
    with pytest.raises(ValueError, match=f"{part} differs at frame 13"):
        truths(first, figure(frames=FRAMES), fault("head", 12))


def test_what_was_moved_to_plant_a_fault_elsewhere_is_said():
    """A prop that shows what its hand was keyed to do."""
    first = figure(frames=FRAMES, turns={"hand.L": bump(12, 0.3), "head": bump(13, 0.3)})
    shown, moved = fault("head", 12, 13), {**fault("head", 12, 13), "by": "hand.L"}
    with pytest.raises(ValueError, match=r"hand\.L differs at frame 12"):
        truths(first, figure(frames=FRAMES), shown)
    (found,) = truths(first, figure(frames=FRAMES), moved)
    assert found["frames"] == [13, 13]


def test_a_leg_bends_for_its_foot_and_both_legs_for_the_body():
    still = steered(frames=FRAMES)
    foot = steered(frames=FRAMES, foot_shift=bump(20, 0.03, axis=2))
    assert truths(foot, still, fault("foot.L", 20, check="slide"))[0]["size_cm"] > 2.0
    body = steered(frames=FRAMES, root_shift=bump(20, -0.03, axis=2))
    assert truths(body, still, fault("root", 20))[0]["frames"] == [20, 20]
    with pytest.raises(ValueError, match="root differs at frame 20, where nothing was planted"):
        truths(body, still, fault("thigh.L", 20))


def test_frames_too_many_are_those_that_only_the_first_pass_plays():
    clip = figure(frames=FRAMES)
    planted = fault(None, 47, 48, check="double_frame")
    (found,) = truths(clip, clip, planted, playing=(48, 46))
    assert (found["part"], found["frames"]) == (None, [47, 48])
    with pytest.raises(ValueError, match="first pass plays to 48, the polished one to 48"):
        truths(clip, clip, planted)


def test_the_camera_s_faults_are_measured_on_the_picture():
    """5 cm up at 6 m, by the lens' spread; nobody else is held to have moved."""
    clip = figure(frames=FRAMES)
    still, off = filmed(clip), filmed(clip, shift=bump(20, 0.05, axis=2))
    (found,) = truths(off, still, fault("camera", 19, 21, check="camera_jump"))
    assert found["frames"] == [20, 20]
    assert found["size_percent"] == pytest.approx(100.0 * 0.05 / (2.0 * SPREAD * 6.0), rel=0.1)
    assert "size_cm" not in found
    with pytest.raises(ValueError, match="camera differs at frame 20, where nothing was planted"):
        truths(off, still)
    twice = filmed(clip, shift=bump(20, 0.05, axis=2) + bump(40, 0.01, axis=2))
    with pytest.raises(ValueError, match="camera differs at frame 40, where nothing was planted"):
        truths(twice, still, fault("camera", 20, check="camera_jump"))


def test_a_camera_that_only_one_pass_has_is_refused():
    clip = figure(frames=FRAMES)
    with pytest.raises(ValueError, match="first pass has no camera"):
        truths(clip, filmed(clip))
    with pytest.raises(ValueError, match="camera does not differ at frames"):
        truths(filmed(clip), filmed(clip), fault("camera", 12, check="camera_jump"))
