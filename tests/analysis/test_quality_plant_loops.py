# SPDX-License-Identifier: GPL-3.0-or-later
"""Faults of loops: they are as large as asked for, at the seam, and nowhere else."""

import os

import numpy as np
import pytest

from analysis import quaternions as quat
from tests.quality.cycle_round import screw
from tests.quality.cycles import cycles
from tests.quality.plant_loops import (
    REPEATS,
    plant_double_frame,
    plant_gap,
    plant_speed_break,
)

if os.environ.get("PLUMBLINE_CAPTURED") is None:
    pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner", allow_module_level=True)

STORY = 1.7 / 1.619


def over_the_seam(case, clip):
    """(4,J,3) what was added to the last two and the first two samples, as headed there."""
    added = clip.positions - case.clip.positions
    _at, about = screw(-case.round.turn, (0.0, 0.0), np.ones(1))
    return np.concatenate((quat.rotate(about, added[-2:]), added[:2]))


@pytest.mark.parametrize("part", REPEATS)
def test_repeats_are_the_first_frames_as_one_round_later(part):
    for n, case in enumerate(cycles()[::40]):
        planted = plant_double_frame(case, 0.0, part, np.random.default_rng(n))
        count, more = len(case.clip.frames), REPEATS[part]
        assert len(planted.clip.frames) == count + more
        assert planted.frames == (count + 1, count + more)
        at, about = screw(case.round.turn, case.round.travel, np.ones(1))
        carried = quat.rotate(about, case.clip.positions[:more]) + at
        np.testing.assert_allclose(planted.clip.positions[count:], carried, atol=1e-9)


def test_a_whole_body_meets_itself_at_another_speed():
    for n, case in enumerate(cycles()[::20]):
        planted = plant_speed_break(case, 0.3, "root", np.random.default_rng(n))
        added = over_the_seam(case, planted.clip)
        np.testing.assert_allclose(added - added[:, :1], 0.0, atol=1e-9)
        steps = np.diff(added[:, 0], axis=0) * case.clip.fps
        change = np.linalg.norm(steps[2] - steps[1]) * STORY
        assert change == pytest.approx(0.3, rel=0.25)
        np.testing.assert_allclose(added[2], 0.0, atol=1e-9)


def test_a_gap_is_as_wide_as_asked_for_and_fades_away():
    for n, case in enumerate(cycles()[::20]):
        for part in ("root", "pose"):
            planted = plant_gap(case, 0.5, part, np.random.default_rng(n))
            added = over_the_seam(case, planted.clip)
            gap = np.linalg.norm(added[2] - added[1], axis=-1).mean() * STORY * 100.0
            assert gap == pytest.approx(0.5, rel=0.3)
            middle = len(case.clip.frames) // 2
            same = planted.clip.positions[middle] - case.clip.positions[middle]
            assert np.abs(same).max() < 1e-3


def test_only_the_arm_moves_when_a_hand_breaks():
    kept = 0
    for n, case in enumerate(cycles()[::20]):
        planted = plant_speed_break(case, 0.5, "hand", np.random.default_rng(n))
        if planted is None:
            continue
        kept += 1
        arm = {f"{name}.{planted.part[-1]}" for name in ("upper_arm", "forearm", "hand")}
        added = np.abs(planted.clip.positions - case.clip.positions).max(axis=(0, 2))
        moved = {name for name, most in zip(case.clip.joints, added, strict=True) if most > 1e-9}
        assert moved <= arm
        assert planted.part in moved
    assert kept > 10
