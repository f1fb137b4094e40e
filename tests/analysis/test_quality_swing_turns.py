# SPDX-License-Identifier: GPL-3.0-or-later
"""Planted swings go as far as they say, evenly, and leave the feet where they were."""

import os
import re

import numpy as np
import pytest

if os.environ.get("PLUMBLINE_CAPTURED") is None:
    pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner", allow_module_level=True)

from tests.quality.cells import Cell, planted_cases
from tests.quality.faults.swing_turns import Rock, even
from tests.quality.figure import channels_of
from tests.quality.moves import ends_of, height_of, target
from tests.quality.plant import KINDS
from tests.quality.timing import smooth_step
from tests.quality.work import cases_of

CELLS = [
    (kind, part, KINDS[kind].sets[-1])
    for kind in ("even_swing", "even_rock", "even_sway")
    for part in KINDS[kind].sizes
]


def planted(kind, part, which, size, count=6):
    return list(planted_cases(Cell(kind, part, size, which, "A"), cases_of(which), range(count)))


@pytest.mark.parametrize(("kind", "part", "which"), CELLS)
def test_a_swing_goes_as_far_as_it_says(kind, part, which):
    for case, fault in planted(kind, part, which, 12.0):
        clip, whole = fault.clip, height_of(fault.clip) / 1.7
        shown = target(clip, fault.part)
        first, last = (int(np.flatnonzero(clip.frames == at)[0]) for at in fault.frames)
        ways = int(fault.where.partition(" ")[0])
        if part == "root":
            gone = np.abs(np.diff(clip.positions[first : last + 1, shown.joint, 0]))
            assert gone.sum() == pytest.approx(0.12 * whole * ways, rel=0.35)
            for side in "LR":
                foot = target(clip, f"foot.{side}").joint
                off = np.linalg.norm(clip.positions[:, foot] - case.clip.positions[:, foot], axis=1)
                assert off.max() < 0.003 * height_of(clip)
            continue
        # About the shoulder, or about the hand that turns the prop, seen from what carries it.
        end = ends_of(clip, shown.joint)[first : last + 1, 0 if shown.side else 1]
        side = shown.side or clip.meta.props[0].held_by[-1]
        about = target(clip, f"upper_arm.{side}" if shown.side else f"hand.{side}").joint
        turns = channels_of(clip).turns[first : last + 1, about]
        cosine = np.abs(np.sum(turns[1:] * turns[:-1], axis=-1))
        steps = 2.0 * np.arccos(np.clip(cosine, -1.0, 1.0))
        arm = np.linalg.norm(end - clip.positions[first : last + 1, about], axis=-1)
        gone = float(steps @ arm[1:])
        assert gone == pytest.approx(0.12 * whole * ways, rel=0.25)
        assert np.percentile(steps, 10) > 0.7 * np.median(steps)  # and none of them is slow


def test_the_path_of_a_swing_is_even_between_its_extremes_and_nowhere_jumps():
    rock = Rock((20, 30, 40, 50), 6)
    path = rock.path(80, even)
    assert path[[20, 30, 40, 50]] == pytest.approx([-0.5, 0.5, -0.5, 0.5])
    assert np.abs(np.diff(path[20:51])) == pytest.approx(np.full(30, 0.1))
    assert np.abs(np.diff(path)).max() < 0.2
    assert (path[:14] == 0.0).all()
    assert (path[57:] == 0.0).all()
    eased = rock.path(80, smooth_step)
    assert np.abs(np.diff(eased[20:51])).min() < 0.01


def test_a_linear_rock_leaves_its_stand_and_is_back_in_it_and_the_feet_stay():
    for case, fault in planted("linear_rock", "root", "holds", 12.0):
        clip, whole = fault.clip, height_of(fault.clip) / 1.7
        root = target(clip, "root").joint
        first, last = (int(np.flatnonzero(clip.frames == at)[0]) for at in fault.frames)
        between = int(re.search(r"(\d+) frames apart", fault.where)[1])
        off = np.linalg.norm(clip.positions[:, root] - case.clip.positions[:, root], axis=1)
        for at in range(first, last + 1, between):
            assert off[at] == pytest.approx(0.06 * whole, abs=0.016 * whole)
        for at in range(first + between // 2, last, between):  # halfway between two extremes
            assert off[at] < 0.016 * whole
        # Half a way from its outer extremes it stands again, and then goes on as it did.
        outside = np.r_[: first - between // 2, last + between // 2 + 1 : len(off)]
        assert off[outside].max() < 0.016 * whole
        assert off[: first - between].max(initial=0.0) < 1e-9
        for side in "LR":
            foot = target(clip, f"foot.{side}").joint
            away = np.linalg.norm(clip.positions[:, foot] - case.clip.positions[:, foot], axis=1)
            assert away.max() < 0.003 * height_of(clip)
