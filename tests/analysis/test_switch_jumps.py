# SPDX-License-Identifier: GPL-3.0-or-later
"""Properties and influences that go at once: told where something jumps by that."""

from dataclasses import replace

import numpy as np
import pytest

from analysis import Event, Settings, check_clip
from analysis.curves import Curve
from tests.analysis.figures import NAMES, figure

AT = 24  # the first sample on which it is switched
ONCE = Settings(cycle="no", checks=("pop",))
INFLUENCE = 'constraints["Copy Rotation"].influence'


def switch(frames=(AT, AT + 1.0), values=(0.0, 1.0), kind="BEZIER", drives=NAMES, **fields):
    count = len(frames)
    told = {
        "control": "torso",
        "channel": INFLUENCE,
        "data_path": f'pose.bones["torso"].{INFLUENCE}',
        "index": 0,
        "action": "walk",
        "strip": None,
        "frames": tuple(float(each) for each in frames),
        "action_frames": tuple(float(each) for each in frames),
        "values": values,
        "interpolation": (kind,) * count,
        "handle_left": tuple(zip(frames, values, strict=True)),
        "handle_right": tuple(zip(frames, values, strict=True)),
        "handle_types": (("AUTO_CLAMPED", "AUTO_CLAMPED"),) * count,
        "key_types": ("KEYFRAME",) * count,
        "drives": drives,
    }
    return Curve(**(told | fields))


def clip_with(curve, metres=0.0, over=1, **meta):
    """A striding figure that shifts to the side by `metres` within `over` frames; `curve` comes
    with it. Frame 1 is sample 0."""
    shift = np.zeros((48, 3))
    shift[:, 0] = metres * np.clip((np.arange(48.0) - AT + 1) / over, 0.0, 1.0)
    clip = figure(shift=shift, height_m=1.7, curves=() if curve is None else (curve,), **meta)
    if curve is None:
        return clip
    values = np.zeros((48, 1))
    return replace(clip, channels=(f"{curve.control}|{curve.channel}",), channel_values=values)


def test_what_jumps_as_a_switch_goes_is_told_with_control_and_channel():
    clip = clip_with(switch(), 0.015)
    (finding,) = check_clip(clip, ONCE).findings
    assert finding.frames == (AT, AT + 1)
    assert finding.amount == pytest.approx(1.5, rel=0.15)
    assert "the influence of Copy Rotation on torso goes from 0 to 1" in finding.says
    assert finding.suggestion.offset == pytest.approx([-0.015, 0.0, 0.0], abs=0.003)
    assert not check_clip(clip_with(None, 0.015), ONCE).findings


@pytest.mark.parametrize(
    ("curve", "metres", "over"),
    [
        (switch(), 0.0, 1),  # matched
        (switch(), 0.006, 1),  # not seen
        (switch(frames=(AT, AT + 8.0)), 0.015, 8),  # blended
        (switch(frames=(8.0, 9.0)), 0.015, 1),  # elsewhere
        (switch(drives=("hand.L",)), 0.015, 1),  # drives what does not jump by itself
        (switch(frames=(8.0, AT, AT + 1.0), values=(0.0, 0.8, 1.0)), 0.015, 1),  # the least of it
    ],
)
def test_other_switches_and_other_jumps_are_let_alone(curve, metres, over):
    told = check_clip(clip_with(curve, metres, over), ONCE).findings
    assert not [each for each in told if "goes from" in each.says]


@pytest.mark.parametrize(
    "curve",
    [
        switch(frames=(4.0, AT + 1.0), interpolation=("CONSTANT", "BEZIER")),
        switch(frames=(4.0, AT + 1.0), steps="HELD"),
        switch(values=(1.0, 0.4)),
    ],
)
def test_held_switches_go_at_once_too(curve):
    (finding,) = check_clip(clip_with(curve, 0.02), ONCE).findings
    assert finding.frames == (AT, AT + 1)
    assert "on torso goes from" in finding.says


def test_one_that_takes_two_frames_is_told_and_one_that_is_declared_is_not():
    clip = clip_with(switch(frames=(AT, AT + 2.0)), 0.03, over=2)
    (finding,) = check_clip(clip, ONCE).findings
    assert finding.frames == (AT, AT + 2)
    hit = Event(frames=(AT, AT + 2), kind="hit")
    assert not check_clip(replace(clip, meta=replace(clip.meta, events=(hit,))), ONCE).findings


def test_tolerance_widens_it():
    clip = clip_with(switch(), 0.0125)
    found = [
        len(check_clip(clip, replace(ONCE, tolerance=each)).findings)
        for each in ("strict", "normal", "loose")
    ]
    assert found == [1, 1, 0]
