# SPDX-License-Identifier: GPL-3.0-or-later
"""Walks that skate and figures that glide, as they are planted."""

import os

import numpy as np
import pytest

if os.environ.get("PLUMBLINE_CAPTURED") is None:
    pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner", allow_module_level=True)

from tests.quality.cells import Cell, planted_cases
from tests.quality.moves import height_of
from tests.quality.plant import KINDS
from tests.quality.score import score
from tests.quality.work import cases_of

COUNT = 8
WALKS, STANDING = (KINDS[kind].sets for kind in ("skate", "glide"))


def planted(kind, size, which):
    found = list(planted_cases(Cell(kind, "root", size, which, "A"), cases_of(which), range(COUNT)))
    assert len(found) == COUNT
    return found


def shift_of(case, fault):
    """(T,J,3) by how much each joint is moved, on the frames of the faulty clip."""
    at = np.searchsorted(case.clip.frames, fault.clip.frames)
    return fault.clip.positions - case.clip.positions[at]


@pytest.mark.parametrize("which", WALKS)
@pytest.mark.parametrize("size", [5.0, 20.0])
def test_a_skating_walk_goes_evenly_faster_or_slower(which, size):
    ways = set()
    for case, fault in planted("skate", size, which):
        shift, clip = shift_of(case, fault), case.clip
        assert np.abs(shift - shift[:, :1]).max() < 1e-9  # as a whole
        assert np.abs(np.diff(shift[:, 0], n=2, axis=0)).max() < 1e-9  # evenly
        joint = clip.joint(clip.meta.roles["root"][0])
        piece = clip.positions[np.searchsorted(clip.frames, fault.clip.frames), joint, :2]
        # From end to end; strides that are cut make the travel uneven by some per cent.
        went = np.linalg.norm(piece[-1] - piece[0])
        assert np.linalg.norm(shift[-1, 0]) / went == pytest.approx(size / 100.0, rel=0.15)
        assert fault.size == pytest.approx(size, rel=0.01)
        along = float(shift[-1, 0, :2] @ (piece[-1] - piece[0]))
        assert (along > 0.0) == fault.where.startswith("faster")
        ways.add(along > 0.0)
    assert ways == {True, False}


@pytest.mark.parametrize("which", STANDING)
def test_a_gliding_figure_is_moved_as_a_whole_and_in_time(which):
    for case, fault in planted("glide", 5.0, which):
        shift, frames = shift_of(case, fault), fault.clip.frames
        assert np.abs(shift - shift[:, :1]).max() < 1e-9
        assert np.abs(shift[frames <= fault.frames[0]]).max() < 1e-9
        later = shift[frames >= fault.frames[1], 0]
        wanted = 0.05 * height_of(case.clip) / 1.7
        assert np.linalg.norm(later, axis=1) == pytest.approx(wanted)
        assert fault.size == pytest.approx(5.0)


@pytest.mark.parametrize(("kind", "which"), [("skate", WALKS[0]), ("glide", STANDING[0])])
def test_clear_ones_are_found_on_what_is_carried(kind, which):
    size = KINDS[kind].sizes["root"][-1]
    outcomes = [score(*each, cycle=False) for each in planted(kind, size, which)]
    assert all(each.found and each.right_part for each in outcomes)
    assert not any(each.already for each in outcomes)
