# SPDX-License-Identifier: GPL-3.0-or-later
"""Faults of legs and arms as they are planted: as large as they say, there, and nowhere else."""

import os

import numpy as np
import pytest

if os.environ.get("PLUMBLINE_CAPTURED") is None:
    pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner", allow_module_level=True)

from tests.quality.cells import Cell, planted_cases
from tests.quality.faults.limbs import leg_of
from tests.quality.moves import height_of, target
from tests.quality.work import cases_of


def planted(kind, size, which, numbers=range(6), part="foot"):
    found = list(planted_cases(Cell(kind, part, size, which, "A"), cases_of(which), numbers))
    assert len(found) == len(numbers)
    return found


def legs(clip, part):
    side = part[-1]
    other = "R" if side == "L" else "L"
    return [leg_of(clip, target(clip, f"foot.{each}")) for each in (side, other)]


def inside(fault):
    frames = fault.clip.frames
    return (frames >= fault.frames[0]) & (frames <= fault.frames[1])


@pytest.mark.parametrize("which", ["captured", "keyed_24"])
@pytest.mark.parametrize("size", [0.5, 5.0])
def test_a_locked_leg_is_straight_on_its_frames_and_the_other_is_not(which, size):
    for case, fault in planted("locked_knee", size, which):
        own, other = legs(fault.clip, fault.part)
        locked = own.slack < 1e-5 * own.length
        assert locked[inside(fault)].all()
        assert np.count_nonzero(inside(fault)) >= 3
        assert not locked[~inside(fault)].any()
        assert not (other.slack < 1e-5 * other.length).any()
        assert fault.size == pytest.approx(size, rel=0.03)
        upper = [each.rotations[:, each.joint("head")] for each in (case.clip, fault.clip)]
        assert upper[0] == pytest.approx(upper[1])


@pytest.mark.parametrize("which", ["captured", "keyed_24"])
def test_a_knee_pops_by_its_size_between_hip_and_ankle_that_hardly_move(which):
    for case, fault in planted("knee_pop", 2.0, which):
        clean, own = (legs(clip, fault.part)[0] for clip in (case.clip, fault.clip))
        off = np.linalg.norm(own.off_line - clean.off_line, axis=-1)
        size = off * 170.0 / height_of(case.clip)
        assert size[inside(fault)].max() == pytest.approx(fault.size, abs=1e-6)
        assert fault.size == pytest.approx(2.0, rel=0.1)
        assert size[~inside(fault)].max() < 1e-6
        ankle = np.linalg.norm(own.paths[:, 2] - clean.paths[:, 2], axis=-1)
        assert ankle.max() * 170.0 / height_of(case.clip) < 1.5
        # A knee that goes more evenly than it did is mended, not popped.
        turns = [np.diff(leg.off_line, n=2, axis=0) for leg in (clean, own)]
        assert np.sum(turns[1] ** 2) > np.sum(turns[0] ** 2)


@pytest.mark.parametrize("part", ["foot", "hand"])
def test_a_limb_stretches_by_its_size_only_there(part):
    for case, fault in planted("limb_stretch", 3.0, "keyed_24", part=part):
        end = fault.part
        clean, own = (leg_of(clip, target(clip, end)) for clip in (case.clip, fault.clip))
        share = own.length / clean.length - 1.0
        assert 100.0 * share.max() == pytest.approx(3.0, rel=0.03)
        assert share[inside(fault)].min() > 0.0
        assert np.abs(share[~inside(fault)]).max() < 1e-9


@pytest.mark.parametrize("part", ["foot", "hand"])
def test_a_target_leaves_its_limb_by_its_size_only_there(part):
    for case, fault in planted("target_leaves", 2.0, "captured_30", part=part):
        clip = fault.clip
        joint = target(clip, fault.part).joint
        axes, place = clip.control_matrices[:, 0, :3, :3], clip.control_matrices[:, 0, :3, 3]
        away = np.einsum("tji,tj->ti", axes, clip.positions[:, joint] - place)
        apart = np.linalg.norm(away - away[~inside(fault)][0], axis=1)
        size = apart * 170.0 / height_of(case.clip)
        assert size.max() == pytest.approx(fault.size, abs=1e-4)
        assert size[~inside(fault)].max() < 1e-3
        assert dict(clip.meta.targets) == {fault.part: clip.meta.controls[0]}
