# SPDX-License-Identifier: GPL-3.0-or-later
"""A planted fault is told alike at any size of the rig and in any heading, by all checks."""

import os
from dataclasses import replace

import numpy as np
import pytest

if os.environ.get("PLUMBLINE_CAPTURED") is None:
    pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner", allow_module_level=True)

from analysis import Settings
from analysis import quaternions as quat
from analysis.pipeline import findings_of
from tests.quality.cells import Cell, planted_cases
from tests.quality.plant import KINDS
from tests.quality.score import around
from tests.quality.work import cases_of, registered

ASKED = Settings(height_m=1.7)
HEADING_DEG = 37.0


def set_of(kind):
    """Keyed motion at 24 frames a second, or the first set that such faults are planted into."""
    if kind.cycle:
        return "cycles"
    return "keyed_24" if "keyed_24" in kind.sets else kind.sets[0]


# What is told of a clip beside another one alone: see test_between.py.
BETWEEN = ("sway_between",)
CELLS = [
    Cell(kind.name, part, sizes[-1], set_of(kind), "A")
    for kind in KINDS.values()
    for part, sizes in kind.sizes.items()
    if part in kind.promised and kind.check != "camera_jump" and kind.name not in BETWEEN
    if kind.check in registered()
]


def turned(clip, degrees):
    half = np.radians(degrees) / 2.0
    turn = np.array([np.cos(half), 0.0, 0.0, np.sin(half)])

    def each(values):
        return np.broadcast_to(turn, (*values.shape[:-1], 4))

    return replace(
        clip,
        positions=quat.rotate(each(clip.positions), clip.positions),
        rotations=quat.multiply(each(clip.rotations), clip.rotations),
        camera_pose=None if clip.camera_pose is None else about(degrees) @ clip.camera_pose,
        control_matrices=(
            None if clip.control_matrices is None else about(degrees) @ clip.control_matrices
        ),
        supports=None if clip.supports is None else about(degrees) @ clip.supports,
    )


def about(degrees):
    """(4,4) a turn about the vertical."""
    turn = np.eye(4)
    turn[:2, :2] = [
        [np.cos(np.radians(degrees)), -np.sin(np.radians(degrees))],
        [np.sin(np.radians(degrees)), np.cos(np.radians(degrees))],
    ]
    return turn


def scaled(clip, times):
    lengths = {
        name: getattr(clip, name) * times
        for name in ("positions", "rest_positions", "lengths", "point_offset")
        if getattr(clip, name) is not None
    }
    if clip.camera_pose is not None:
        lengths["camera_pose"] = clip.camera_pose.copy()
        lengths["camera_pose"][:, :3, 3] *= times
    if clip.control_matrices is not None:
        lengths["control_matrices"] = clip.control_matrices.copy()
        lengths["control_matrices"][..., :3, 3] *= times
    if clip.supports is not None:  # a box grows as well
        lengths["supports"] = clip.supports.copy()
        lengths["supports"][..., :3, :] *= times
    return replace(clip, **lengths)


def told(clip):
    """What is said, without directions and places: they turn with the clip."""
    return [
        (f.check, f.part, f.frames, f.severity, f.unit, round(f.amount, 2))
        for f in findings_of(clip, ASKED)
    ]


def a_told_fault(cell):
    """The cell's first fault that any check tells, as it is asked, and what is said of it."""
    for _case, fault in planted_cases(cell, cases_of(cell.set), range(12)):
        clip = fault.clip if KINDS[cell.kind].cycle else around(fault.clip, fault.frames)
        if found := told(clip):
            return clip, found
    raise AssertionError(f"none of 12 faults is told: {cell}")


@pytest.mark.parametrize("cell", CELLS, ids=lambda cell: f"{cell.kind}-{cell.part}")
def test_size_and_heading_do_not_matter(cell):
    clip, expected = a_told_fault(cell)
    assert told(turned(clip, HEADING_DEG)) == expected
    assert told(scaled(clip, 10.0)) == expected
