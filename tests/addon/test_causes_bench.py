# SPDX-License-Identifier: GPL-3.0-or-later
"""A dozen cases of the bench of causes: what is told blames the right key, at its price.

Which of the faults a check tells, and how well each kind does, is for the whole bench to say.
"""

import bpy
import pytest

from analysis.pipeline import examine
from tests.causes.bases import BASES, GRID, OFFSET
from tests.causes.plan import Task
from tests.causes.run_case import findings_json, run_case
from tests.causes.takes import takes

SHOTS = (("sidestep", OFFSET), ("hop_crate", GRID))
KINDS = ("spike", "flip", "reach")
EACH = 2
pytestmark = pytest.mark.skipif(
    bpy.app.version < (5, 0), reason="the bench is run in the highest Blender"
)
# Of the told ones; half A measures .9 of these kinds together, fewer cases may have fewer.
NAMED = 0.7
# A target out of reach is told a place within it, which need not be where it was.
MENDED = ("spike", "flip")


@pytest.fixture(scope="module")
def cases(tmp_path_factory):
    bases = [base for base in BASES if (base.source, base.keying) in SHOTS]
    found = []
    for take in takes(bases, tmp_path_factory.mktemp("bases")):
        clean = findings_json(examine(take.clip))
        tasks = [Task(take.base, kind, n) for kind in KINDS for n in range(EACH)]
        found += [run_case(take, task, clean) for task in tasks]
    return found


def test_the_right_control_and_key_are_blamed_for_what_is_told(cases):
    assert all(case["planted"] for case in cases)
    told = [case["answers"][0] for case in cases if case["answers"][0]["told"]]
    assert len(told) >= 6
    assert sum(answer["rank"] == 1 for answer in told) >= NAMED * len(told)
    assert sum(answer["on_key"] for answer in told) >= NAMED * len(told)


def test_shares_add_up_to_one(cases):
    for case in cases:
        for finding in case["findings"]:
            assert sum(cause["share"] for cause in finding["causes"]) == pytest.approx(
                1.0, abs=0.02
            )


def test_few_frames_are_evaluated(cases):
    for case in cases:
        assert case["evaluated"] <= 2 * case["frames"]


def test_mends_of_the_right_key_bring_the_clean_motion_back(cases):
    right = [case for case in cases if case["answers"][0]["on_key"]]
    made = [case["mended"] for case in right if case["kind"] in MENDED]
    assert len(made) >= 4
    assert all(each and "error" not in each for each in made)
    near = [each["after_m"] <= 0.2 * each["before_m"] for each in made]
    assert sum(near) >= NAMED * len(near)
