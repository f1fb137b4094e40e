# SPDX-License-Identifier: GPL-3.0-or-later
"""Roles that people correct: theirs win, and what looks wrong in them is told."""

import numpy as np
import pytest

from analysis.roles import TELLABLE, corrected_roles, doubts_of, is_tellable

FOUND = {"root": "hips", "pelvis": "hips", "foot.L": "ankle_l", "foot.R": "ankle_r", "toe.L": "x"}
NAMES = ("hips", "ankle_l", "ankle_r", "ball_l", "x", "top")


@pytest.mark.parametrize(
    ("told", "changed"),
    [
        ({}, {}),
        ({"foot.L": "ball_l"}, {"foot.L": "ball_l"}),
        ({"foot.L": "gone"}, {}),  # stays as found
        ({"toe.L": ""}, {"toe.L": None}),
        ({"foot.L": "x"}, {"foot.L": "x", "toe.L": None}),  # plays no second part
        ({"foot.L": "ankle_r", "foot.R": "ankle_l"}, {"foot.L": "ankle_r", "foot.R": "ankle_l"}),
        ({"pelvis": "top"}, {"pelvis": "top"}),
        ({"pelvis": "hips"}, {}),  # hips may be both
        ({"root": ""}, {"root": None}),
    ],
)
def test_what_is_told_wins(told, changed):
    wanted = {p: j for p, j in (FOUND | changed).items() if j is not None}
    assert corrected_roles(FOUND, told, NAMES) == wanted


def test_a_figure_from_nothing_and_none_from_a_mover():
    assert corrected_roles({}, {"pelvis": "hips"}, NAMES) == {"pelvis": "hips", "root": "hips"}
    assert corrected_roles({}, {"mover": "top"}, NAMES) == {}
    assert corrected_roles({"mover": "top"}, {"mover": "top", "root": ""}, NAMES) == {}


def standing(**moved):
    """Four pairs, left at +X, and where their joints are; `moved` renames."""
    parts, places = {}, {}
    for kind, out, high in (("foot", 0.1, 0.1), ("shin", 0.1, 0.5), ("hand", 0.7, 1.4)):
        for side, sign in (("L", 1.0), ("R", -1.0)):
            joint = f"{kind}_{side}"
            parts[f"{kind}.{side}"] = joint
            places[joint] = np.array([sign * out, 0.0, high])
    return parts | {name.replace("_", "."): joint for name, joint in moved.items()}, places


def test_swapped_sides_and_doubled_bones_are_told():
    assert doubts_of(*standing()) == []
    for kind in ("foot", "hand"):
        swapped = standing(**{f"{kind}_L": f"{kind}_R", f"{kind}_R": f"{kind}_L"})
        (told,) = doubts_of(*swapped)
        assert told.startswith(f"Left {kind} and right {kind} seem to be swapped")
    (told,) = doubts_of(*standing(foot_L="shin_L"))
    assert told == (
        "The left foot and the left shin are both 'shin_L', expected a bone each: correct one of "
        "them, or take it away."
    )
    assert doubts_of({"root": "hips", "pelvis": "hips"}, {}) == []


def test_what_may_be_told():
    assert all(is_tellable(part) for part in TELLABLE)
    assert is_tellable("spine.7")
    assert not any(is_tellable(part) for part in ("prop.1", "camera", "foot", "nose", "spine.0"))
