# SPDX-License-Identifier: GPL-3.0-or-later
"""Stray keys as they are planted: of their size, of one control, near one key."""

import os

import numpy as np
import pytest

if os.environ.get("PLUMBLINE_CAPTURED") is None:
    pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner", allow_module_level=True)

from tests.quality.cells import Cell, planted_cases
from tests.quality.faults.stray_keys import puppet_in
from tests.quality.key_data import curves_of, splines_of, tracks_in
from tests.quality.moves import height_of
from tests.quality.posing import clip_of
from tests.quality.work import cases_of


@pytest.mark.parametrize("which", ["holds", "arrivals"])
def test_a_clip_s_keys_pose_it_again(which):
    clips = [case.clip for case in cases_of(which) if case.clip.meta.curves]
    assert clips
    for clip in clips[:4]:
        puppet, at = puppet_in(clip), np.arange(len(clip.frames))
        splines = splines_of(clip)
        tracks = {name: splines[name].at(at) for name in tracks_in(clip)}
        again = clip_of(puppet, tracks, clip.fps, name="again", curves=curves_of(puppet, splines))
        assert again.positions == pytest.approx(clip.positions, abs=1e-9)
        for new, old in zip(again.meta.curves, clip.meta.curves, strict=True):
            assert (new.control, new.channel, new.frames) == (old.control, old.channel, old.frames)
            assert np.array(new.handle_left) == pytest.approx(np.array(old.handle_left), abs=1e-9)
        assert again.control_matrices == pytest.approx(clip.control_matrices, abs=1e-9)


@pytest.mark.parametrize("part", ["root", "head", "hand"])
def test_a_stray_key_is_as_large_as_it_says_and_one_control_s(part):
    cell = Cell("off_arc", part, 4.0, "holds", "A")
    found = list(planted_cases(cell, cases_of("holds"), range(6)))
    assert found
    for case, fault in found:
        changed = [
            (new.control, key)
            for old, new in zip(case.clip.meta.curves, fault.clip.meta.curves, strict=True)
            for key in range(len(old.values))
            if abs(old.values[key] - new.values[key]) > 1e-9
        ]
        assert len(set(changed)) == 1
        ends = np.abs(fault.clip.positions[[0, -1]] - case.clip.positions[[0, -1]])
        assert ends.max() < 1e-9
        at = int(np.flatnonzero(case.clip.frames == fault.frames[0])[0])
        off = np.linalg.norm(fault.clip.positions[at] - case.clip.positions[at], axis=-1)
        most = 0.04 * height_of(case.clip) / 1.7
        assert fault.size == pytest.approx(4.0, rel=0.1)
        if part == "root":
            assert off[0] == pytest.approx(most, rel=0.1)
