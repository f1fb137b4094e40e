# SPDX-License-Identifier: GPL-3.0-or-later
"""Second passes of a walk and of a loop in place: a small fixed part of `tests.passes.bench`."""

from collections import Counter, defaultdict
from dataclasses import replace

import numpy as np
import pytest
from figures import figure

from tests.passes.bench import count
from tests.passes.edits import bare
from tests.passes.shots import Fault, Made

CHECKS = ("pop",)
KINDS = (
    "3 frames put in, stretched",
    "3 frames taken out",
    "10 frames cut off",
    "one halved",
    "another one",
    "another limb edited",
    "several of these at once",
    "loop starts elsewhere",
)


def made(name, frames, faults, *, loop=False, **options):
    clip = bare(figure(frames=frames, **options))
    roles = {joint: (joint,) for joint in clip.joints}
    planted = tuple(
        Fault(part, clip.joints.index(part), at, np.array(way), turn)
        for part, at, way, turn in faults
    )
    clip = replace(clip, meta=replace(clip.meta, roles=roles))
    return Made(name, "A", clip, planted, loop)


SHOTS = [
    made(
        "walk",
        96,
        [
            ("root", 15, (0.0, 0.02, 0.06), 0.0),
            ("hand.L", 34, (0.07, 0.0, 0.0), 0.0),
            ("head", 52, (0.0, 0.0, 0.0), 0.5),
            ("root", 76, (0.04, 0.0, -0.05), 0.0),
        ],
    ),
    made("in place", 24, [("hand.R", 9, (0.0, 0.06, 0.03), 0.0)], loop=True, speed=0.0),
]


@pytest.mark.parametrize("shot", SHOTS, ids=lambda each: each.name)
def test_findings_are_followed_whatever_is_done_to_the_shot(shot):
    counts = defaultdict(Counter)
    misses = count(shot, counts, checks=CHECKS, kinds=KINDS)
    assert misses == []
    total = sum(counts.values(), Counter())
    assert total["kept"] == total["ought"] >= (16 if len(shot.faults) > 1 else 2)
    assert total["states_right"] == total["states"] > 0
    assert total["quiet_right"] == total["quiet"] > 0
    assert total["wakes_right"] == total["wakes"] > 0
    assert total["notes_right"] == total["notes"] > 0


def test_a_walk_known_by_its_report_alone_is_followed_by_its_marks():
    counts = defaultdict(Counter)
    kinds = ("3 frames put in, held", "several of these at once")
    count(SHOTS[0], counts, reports=True, checks=CHECKS, kinds=kinds)
    total = sum(counts.values(), Counter())
    assert total["kept"] == total["ought"] >= 4
    assert total["wrong"] == 0
