# SPDX-License-Identifier: GPL-3.0-or-later
"""`gravity`, `hang_time` and `carry` of loops: a flight that lies over the seam is one flight."""

from dataclasses import replace

import numpy as np
import pytest
from walker import hop

from analysis import Settings, check_clip
from analysis.free_fall import GRAVITY

LOOP = Settings(cycle="yes", checks=("gravity", "carry"))


def looped(first, **changes):
    """A hop on the spot that repeats, begun at a sample of its round."""
    clip = hop(distance=0.0, tuck=0.0, before=20, after=20, **changes)
    order = np.roll(np.arange(len(clip.frames)), -first)
    meta = replace(clip.meta, cycle=True)
    return replace(
        clip, positions=clip.positions[order], rotations=clip.rotations[order], meta=meta
    )


@pytest.mark.parametrize("fps", [24.0, 30.0])
@pytest.mark.parametrize("first", [0, 10, 24, 28])
def test_a_loop_s_flight_is_one_wherever_the_seam_lies(fps, first):
    """24 and 28 lie in the air: the range begins and ends there."""
    good = check_clip(looped(first, fps=fps), LOOP)
    assert not good.findings
    assert good.measures["fall_m_s2"] == pytest.approx(GRAVITY, rel=0.02)
    shot = check_clip(looped(first, fps=fps, gravity=2.4 * GRAVITY), LOOP)
    (finding,) = shot.findings
    count = round(0.5 * fps)
    height = 2.4 * GRAVITY * (count / fps) ** 2 / 8.0
    needs = round(np.sqrt(8.0 * height / GRAVITY) * fps)
    said = f"needs {needs} frames in the air at {fps:g} fps, it has {count}: add {needs - count}"
    assert said in finding.suggestion.text
    frames = shot.frames
    assert frames[0] <= finding.frames[0] <= finding.frames[1] <= frames[1]
    assert ("over the loop's seam" in finding.says) == (first in (24, 28))


@pytest.mark.parametrize("first", [0, 24])
def test_a_hang_over_the_seam_is_found(first):
    def floats(u):
        return 0.4 * (1.0 - np.abs(2.0 * u - 1.0) ** 6)

    asked = replace(LOOP, checks=("hang_time",))
    (finding,) = check_clip(looped(first, fps=30.0, shape=floats), asked).findings
    assert "hangs: 8" in finding.says or "hangs: 7" in finding.says
    assert ("over the loop's seam" in finding.says) == (first == 24)


def test_short_flights_of_a_loop_are_counted_once():
    """.3 s in the air, .2 of them above 6 cm, on either side of the seam."""
    shot = check_clip(looped(24, fps=30.0, air_s=0.3), LOOP)
    assert not shot.findings
    assert shot.measures["flights_too_short"] == 1.0
    assert "under .25 s" in dict(shot.skipped)["gravity"]
