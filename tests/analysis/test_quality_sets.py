# SPDX-License-Identifier: GPL-3.0-or-later
"""The clean sets: they are what they say, and the same each time."""

import os

import numpy as np
import pytest

from tests.quality.case import HALVES
from tests.quality.sets import SETS, clean_cases, main

if os.environ.get("PLUMBLINE_CAPTURED") is None:
    pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner", allow_module_level=True)


def test_captured_sets_hold_every_source_at_their_rate():
    for name, rates in (("captured", {30.0, 60.0}), ("captured_24", {24.0}), ("captured_30", {30})):
        cases = clean_cases([name])
        assert {case.source for case in cases} == set(HALVES)
        assert {case.clip.fps for case in cases} == rates
        assert all(case.half == HALVES[case.source] for case in cases)


def test_names_are_unique_and_sets_can_be_told_apart():
    cases = clean_cases(["captured", "captured_24"])
    assert len({case.name for case in cases}) == len(cases) == 22
    assert {case.set for case in cases} == {"captured", "captured_24"}


def test_an_unknown_set_is_refused():
    with pytest.raises(ValueError, match="there is no set skated"):
        clean_cases(["skated"])


def test_walk_is_cut_where_its_halves_meet():
    halves = [case.clip for case in clean_cases(["captured"]) if case.source == "walk"]
    assert [len(clip.frames) for clip in halves] == [19, 19]
    for clip in halves:
        turn = np.linalg.norm(np.diff(clip.positions, 2, axis=0), axis=-1).mean(axis=1)
        assert turn.max() < 0.01  # metres a frame a frame; 0.034 and more over the seam


def test_clips_are_written(tmp_path, capsys):
    assert main(["--out", str(tmp_path), "--set", "captured_24"]) == 0
    assert len(list((tmp_path / "captured_24").glob("*.npz"))) == 11
    assert "captured_24" in SETS
    assert "11.5 s" in capsys.readouterr().out


def test_a_hundred_clean_cycles_say_that_they_loop():
    cases = clean_cases(["cycles"])
    assert len(cases) >= 100
    assert all(case.clip.meta.cycle for case in cases)
    assert {case.half for case in cases} == {"A", "B"}
    assert sum("keyed" in case.name.split("/") for case in cases) >= 25
