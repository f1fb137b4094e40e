# SPDX-License-Identifier: GPL-3.0-or-later
"""Broken trunks and stops of everything as they are planted, and the clean motion beside them."""

import os

import numpy as np
import pytest

if os.environ.get("PLUMBLINE_CAPTURED") is None:
    pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner", allow_module_level=True)

from tests.quality.arrivals import shot
from tests.quality.cells import Cell, planted_cases
from tests.quality.figure import channels_of
from tests.quality.moves import height_of
from tests.quality.work import cases_of

PARTS = ("root", "chest", "head", "hand.L", "hand.R")


def planted(kind, part, size, which="spines_30", half="A"):
    return list(planted_cases(Cell(kind, part, size, which, half), cases_of(which), range(6)))


@pytest.mark.corpus
@pytest.mark.parametrize("kind", ["spine_held", "spine_few", "spine_static"])
def test_a_spine_bends_by_its_size_at_one_joint(kind):
    """The joint's turn against what carries it, beside the clean clip's; nothing else turns."""
    for case, fault in planted(kind, "spine", 25.0):
        own, clean = (channels_of(clip).turns for clip in (fault.clip, case.clip))
        apart = np.degrees(2.0 * np.arccos(np.clip(np.abs((own * clean).sum(axis=-1)), 0.0, 1.0)))
        at = fault.clip.joint(fault.part)
        assert apart[:, at].max() == pytest.approx(25.0, abs=0.1)
        assert np.delete(apart, at, axis=1).max() < 0.01
        inside = (fault.clip.frames >= fault.frames[0]) & (fault.clip.frames <= fault.frames[1])
        assert apart[inside, at].min() > 12.0


def test_a_spine_stretches_by_its_size():
    for case, fault in planted("spine_stretch", "spine", 20.0):
        at = fault.clip.joint(fault.part)
        above, clean = (
            np.linalg.norm(clip.positions[:, at] - clip.positions[:, clip.parents[at]], axis=-1)
            for clip in (fault.clip, case.clip)
        )
        assert np.abs(above / clean - 1.0).max() == pytest.approx(0.2, abs=1e-6)


def test_a_spine_shares_what_the_captured_figure_does_at_one_joint():
    """With two joints more the chest turns as before, but for what its joints lag and wander."""
    for made in [case for case in cases_of("spines_30") if case.name.endswith(".captured")]:
        name = made.name.removesuffix(".captured").removeprefix("spines_30/")
        whole = next(case for case in cases_of("captured_30") if case.name == f"captured_30/{name}")
        chest = whole.clip.joint("chest")
        turns = made.clip.rotations[:, chest], whole.clip.rotations[:, chest]
        apart = 2.0 * np.arccos(np.clip(np.abs((turns[0] * turns[1]).sum(axis=-1)), 0.0, 1.0))
        assert np.degrees(apart).max() < 15.0
        assert made.clip.positions[:, made.clip.joint("foot.L")] == pytest.approx(
            whole.clip.positions[:, whole.clip.joint("foot.L")]
        )


def paces(clip):
    """(T-1,P) heights a second of the parts that arrive."""
    joints = [clip.joint(clip.meta.roles[part][0]) for part in PARTS]
    steps = np.linalg.norm(np.diff(clip.positions[:, joints], axis=0), axis=-1)
    return steps / clip.dt_s / height_of(clip)


@pytest.mark.parametrize("half", ["A", "B"])
def test_moves_that_are_keyed_to_arrive_at_once_do(half):
    """Up to the planted frames all parts still go; a frame beyond all but breathe."""
    for _, fault in planted("stop_together", "body", 2.0, "arrivals", half):
        first, last = (int(frame - fault.clip.frames[0]) for frame in fault.frames)
        assert last - first == 1
        pace = paces(fault.clip)
        assert (pace[first - 7 : first - 3].max(axis=0) > 0.04).sum() >= 3
        assert pace[last + 1 : last + 6].max() < 0.05


def test_in_clean_moves_the_hands_go_on_after_the_hips():
    for number in (0, 7, 10):
        clip, ends = shot(number)
        pace = paces(clip)
        hands = [pace[end : end + 8, -2:].max() for end in ends]
        hips = [pace[end + 1 : end + 3, 0].max() for end in ends]
        assert np.median(hands) > 3.0 * np.median(hips)


@pytest.mark.parametrize("which", ["captured_24", "keyed_30", "travelling"])
def test_what_slows_down_to_a_hold_stands_dead_there(which):
    for _, fault in planted("stop_slowed", "body", 0.3, which):
        at = int(fault.frames[1] - fault.clip.frames[0])
        pace = paces(fault.clip)
        assert pace[at : at + 10].max() < 1e-6
        lead = round(0.35 / fault.clip.dt_s)
        assert (pace[at - 2 * lead : at - 1].max(axis=0) > 0.05).sum() >= 4
