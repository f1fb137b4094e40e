# SPDX-License-Identifier: GPL-3.0-or-later
"""Faults at feet as they are planted: of their size, in their frames, on feet that stood."""

import os

import numpy as np
import pytest

if os.environ.get("PLUMBLINE_CAPTURED") is None:
    pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner", allow_module_level=True)

from tests.quality.cells import Cell, planted_cases
from tests.quality.moves import height_of, target
from tests.quality.resting import sole_of, stands
from tests.quality.work import cases_of


def planted(kind, size, which, half, count=10):
    cell = Cell(kind, "foot", size, which, half)
    return list(planted_cases(cell, cases_of(which), range(count)))


@pytest.mark.parametrize(("which", "size"), [("keyed_24", 1.0), ("captured", 4.0)])
@pytest.mark.parametrize("half", ["A", "B"])
def test_a_slide_moves_a_foot_that_stands_by_its_size(which, size, half):
    for case, fault in planted("slide", size, which, half):
        clip, foot = fault.clip, target(fault.clip, fault.part)
        scale = 100.0 * 1.7 / height_of(clip)
        moved = scale * (sole_of(clip, foot) - sole_of(case.clip, foot))
        inside = (clip.frames >= fault.frames[0]) & (clip.frames <= fault.frames[1])
        # Every point of the sole goes the same way by the same amount, level.
        way = moved[inside][-1] - moved[inside][0]
        assert np.linalg.norm(way, axis=-1) == pytest.approx(size, rel=0.1)
        assert np.abs(moved[inside][..., 2]).max() < 0.02 * size
        # Outside of its frames it only is off, and no more than by its size.
        assert np.linalg.norm(moved, axis=-1).max() < 1.15 * size
        at = np.flatnonzero(inside)
        assert stands(case.clip, foot)[at[0] : at[-1]].mean() > 0.8


def test_a_slide_leaves_the_other_foot_and_the_body_alone():
    for case, fault in planted("slide", 1.0, "keyed_30", "A"):
        leg = {f"{kind}.{fault.part[-1]}" for kind in ("thigh", "shin", "foot")}
        others = [n for n, name in enumerate(fault.clip.joints) if name not in leg]
        assert fault.clip.positions[:, others] == pytest.approx(case.clip.positions[:, others])
        first, last = fault.clip.positions[[0, -1]], case.clip.positions[[0, -1]]
        assert np.abs(first - last).max() < 0.02


@pytest.mark.parametrize("which", ["walks_24", "walks_30"])
def test_a_stomp_comes_down_so_many_times_faster(which):
    """Told by the sole's lowest point over the last twelfth of a second in the air."""
    for case, fault in planted("stomp", 2.0, which, "A", count=6):
        clip, foot = fault.clip, target(fault.clip, fault.part)
        at = int(np.flatnonzero(clip.frames == fault.frames[1])[0])
        over = round(0.08 / clip.dt_s)
        fell = [
            low[at - over] - low[at]
            for low in (sole_of(each, foot)[..., 2].min(axis=1) for each in (clip, case.clip))
        ]
        assert fell[0] > 1.4 * fell[1]
        assert fault.size == pytest.approx(2.0, rel=0.15)
        # It is lifted, not moved along, and stands where it stood.
        moved = clip.positions[:, foot.joint] - case.clip.positions[:, foot.joint]
        assert np.abs(moved[:, :2]).max() < 1e-3
        assert np.abs(moved[at:]).max() < 1e-6


def test_a_sink_puts_a_sole_under_the_floor_by_its_size():
    for case, fault in planted("sink", 3.0, "keyed_24", "A"):
        clip, foot = fault.clip, target(fault.clip, fault.part)
        inside = (clip.frames >= fault.frames[0]) & (clip.frames <= fault.frames[1])
        story = 100.0 * 1.7 / height_of(clip)
        under = -sole_of(clip, foot)[..., 2].min(axis=1) * story
        assert np.median(under[inside]) == pytest.approx(3.0, abs=0.5)
        down = (case.clip.positions - clip.positions)[:, foot.joint, 2] * story
        assert down.min() > -0.01
        assert down.max() < 5.1  # 3 cm, and the 2 by which it may have been over the floor
        assert np.ptp(down[inside]) < 0.5
