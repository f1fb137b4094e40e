# SPDX-License-Identifier: GPL-3.0-or-later
"""How bad a finding is: by what an audience can see, not by how surprising it is."""

from .basis import Basis
from .merged import Merged

# Major from 1.5 cm at a height of 1.7 m; a fault hidden in fast motion must be larger.
VISIBLE_SHARE = 0.015 / 1.7
STEP_SHARE = 0.35
CLEAR_RATIO = 1.25


def severity(basis: Basis, merged: Merged) -> str:
    """`major` or `minor`.

    Major when a point of the figure is off by .88 % of the height or more (1.5 cm at 1.7 m),
    by at least .35 of what it travels in a frame there, and clearly over the check's limit
    (1.25 times); or when the fault is plain whatever its size (a loop that repeats a frame).
    The tolerance widens the first two. What is only a matter of amount (`never_major`) makes
    nothing major, however large it is.
    """
    if merged.lead.always_major:
        return "major"
    factor = basis.settings.limit_factor
    for event in [each for each in merged.members if not each.never_major]:
        large = event.visible_m >= factor * VISIBLE_SHARE * basis.height.scene_m
        plain = event.visible_m >= factor * STEP_SHARE * event.step_m
        if large and plain and event.amount >= CLEAR_RATIO * event.limit:
            return "major"
    return "minor"
