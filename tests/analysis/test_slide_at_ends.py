# SPDX-License-Identifier: GPL-3.0-or-later
"""`slide` on feet that are dragged as they push off, or land, while the shot's others are held."""

from dataclasses import replace

import numpy as np
import pytest
from walker import Walk, walk

from analysis import Settings, check_clip

SLIDE = Settings(checks=("slide",), cycle="no")


def dragged(far, *, fps=24.0, seconds=0.13):
    """A quick walk whose left foot gathers speed along a bend, so many metres in all, in the last
    frames of a plant; and those frames."""
    plan = Walk(frames=round(4.0 * fps), fps=fps, stride_s=0.6, speed=1.8)
    _, last = plan.plants("L")[2]
    count = max(round(fps * seconds), 2)
    bend = np.linspace(-0.7, 0.7, count)
    way = np.stack((np.sin(bend), np.cos(bend)), axis=1) * np.linspace(0.25, 1.0, count)[:, None]
    way *= far / np.linalg.norm(way.sum(axis=0))
    first = last - count
    slips = [("L", first + n, first + n + 1, tuple(each)) for n, each in enumerate(way)]
    return walk(plan, slips=slips), (first + 1, last + 1)


def found(clip):
    return check_clip(clip, SLIDE).findings


@pytest.mark.parametrize(("fps", "far"), [(24.0, 0.035), (24.0, 0.04), (24.0, 0.06), (30.0, 0.04)])
def test_a_long_drag_at_push_off_is_told_where_the_others_are_held(fps, far):
    clip, frames = dragged(far, fps=fps)
    (finding,) = found(clip)
    assert finding.part == "foot.L"
    assert finding.amount == pytest.approx(100.0 * far, rel=0.05)
    assert np.abs(np.subtract(finding.frames, frames)).max() <= 3
    assert "pushes off" in finding.says


def test_one_that_is_no_longer_than_a_foot_takes_to_leave_is_on_its_way():
    assert not found(dragged(0.035, seconds=0.08)[0])


def test_where_feet_tremble_nothing_says_that_they_are_held():
    """Every joint is off by up to a millimetre, as captured ones are."""
    clip, _ = dragged(0.04)
    noise = 0.001 * np.random.default_rng(4).uniform(-1.0, 1.0, clip.positions.shape)
    assert not found(replace(clip, positions=clip.positions + noise))
