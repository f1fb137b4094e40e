# SPDX-License-Identifier: GPL-3.0-or-later
"""Stretches that are alike again and again are one finding; one that is far more stays apart."""

import numpy as np
import pytest
from clamped import stretched
from figures import figure

from analysis import Settings, check_clip

ONCE = Settings(checks=("overreach",), cycle="no")


def steps(fps, sizes, sides="LR"):
    """A figure whose legs stretch by `sizes`, in turn, each for a quarter of a second."""
    each, half = round(0.5 * fps), 2 * round(0.125 * fps)  # the most lies on a sample
    count = each * (len(sizes) + 2)
    share = {side: np.zeros(count) for side in "LR"}
    for n, size in enumerate(sizes):
        hump = size * np.sin(np.pi * np.arange(1, half) / half) ** 2
        first = each * (n + 1)
        share[sides[n % len(sides)]][first : first + len(hump)] = hump
    clip = figure(frames=count, fps=fps)
    for side in "LR":
        clip = stretched(clip, side, share[side])
    return clip


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_steps_that_stretch_alike_are_one_finding(fps):
    sizes = [0.035, 0.035, 0.036, 0.035, 0.035, 0.035]
    (found,) = check_clip(steps(fps, sizes), ONCE).findings
    assert (found.check, found.part, found.severity) == ("overreach", "shin.L", "major")
    assert found.says.startswith("Both legs stretch 6 times alike, by up to 3.6 % (")
    assert found.says.endswith(" and 2 more).")
    assert found.amount == pytest.approx(3.6, rel=0.03)
    third = 3 * round(0.5 * fps)
    assert third < found.peak_frame < third + 0.3 * fps
    assert ("overreach", "shin.R") in found.also


def test_one_leg_alone_is_named():
    (found,) = check_clip(steps(24.0, [0.04] * 4, sides="R"), ONCE).findings
    assert found.part == "shin.R"
    assert found.says.startswith("The right leg stretches 4 times alike, by up to 4.0 % (")
    assert " more)" not in found.says


def test_a_stretch_that_is_far_more_is_told_apart():
    found = check_clip(steps(24.0, [0.03, 0.03, 0.06, 0.03, 0.03]), ONCE).findings
    assert len(found) == 2
    (more,) = [each for each in found if "alike" not in each.says]
    assert more.amount == pytest.approx(6.0, rel=0.03)


@pytest.mark.parametrize("sizes", [[0.04] * 3, [0.03, 0.06, 0.03, 0.06]])
def test_few_or_unlike_stretches_stay_what_they_are(sizes):
    assert len(check_clip(steps(24.0, sizes), ONCE).findings) == len(sizes)
