# SPDX-License-Identifier: GPL-3.0-or-later
"""Pushes that are declared are no findings, and nothing pushes bodies that fall by themselves."""

import os

import pytest

if os.environ.get("PLUMBLINE_SIMULATED") is None:
    pytest.skip("PLUMBLINE_SIMULATED is not set: run the test runner", allow_module_level=True)

from analysis import Settings, check_clip
from tests.quality.score import NEAR_FRAMES
from tests.quality.work import cases_of

ASKED = Settings(checks=("push",))
# Every fourth clip of each; all of them are counted by the bench.
SOME = 4


@pytest.mark.parametrize("which", ["simulated_24", "simulated_30"])
def test_a_declared_push_is_no_finding_but_a_measure(which):
    cases = cases_of(f"{which}/declared")[::SOME]
    assert len(cases) >= 30
    for case in cases:
        shot = check_clip(case.clip, ASKED)
        for found in shot.findings:
            for event in case.clip.meta.events:
                begins, ends = event.frames[0] - NEAR_FRAMES, event.frames[1] + NEAR_FRAMES
                assert found.frames[1] < begins or found.frames[0] > ends, (case.name, found.says)
        assert "push_peak_bw" in shot.measures


@pytest.mark.parametrize("which", ["simulated_24", "simulated_30"])
def test_nothing_pushes_a_body_that_falls(which):
    cases = cases_of(f"{which}/falls")[::SOME]
    assert len(cases) >= 50
    for case in cases:
        assert not check_clip(case.clip, ASKED).findings, case.name
