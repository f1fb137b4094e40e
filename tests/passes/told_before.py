# SPDX-License-Identifier: GPL-3.0-or-later
"""Whether a finding was measured in the pass before, as a part of another line."""

from analysis.finding import Finding
from analysis.parts import limb_of

from .edits import Edited

# Frames within so many are one moment.
SAME = 3.0


def was_part(olds, news, new: Finding, edited: Edited) -> bool:
    """Whether it was measured before, no smaller, as a part of a line that tells it no more."""
    before = [each for old in olds for each in old.besides if _is_measured(each, new)]
    now = [each for line in news for each in line.besides if _is_measured(each, new)]
    there = [
        each.amount
        for each in before
        if each.unit == new.unit
        and any(
            where is not None and abs(where - new.peak_frame) <= SAME
            for where in map(edited.where, each.frames)
        )
    ]
    still = [each for each in now if each.frames[0] <= new.peak_frame <= each.frames[1]]
    return not still and new.amount <= 1.02 * max(there, default=0.0)


def _is_measured(each, new: Finding) -> bool:
    limb = limb_of(new.part or "") or (new.owner,)
    return each.check == new.check and each.body in limb
