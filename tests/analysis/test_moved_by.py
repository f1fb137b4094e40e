# SPDX-License-Identifier: GPL-3.0-or-later
"""What of an arm moves a hand that sticks, or stops at once: told by the turns of its joints."""

from dataclasses import replace

import numpy as np
import pytest
from figures import figure, spike

from analysis import Settings
from analysis.moved_by import mover_of
from analysis.pipeline import examine

ONCE = Settings(cycle="no", checks=("pop",))
SHOWN = examine(figure(frames=60, turns={"head": spike(60, 31, 0.6)}), ONCE).shot.findings[0]


def swung(joint, size):
    """A walk of which one joint of the left arm waves, and sticks from sample 30 to 33."""
    time = np.arange(60, dtype=float)
    time[31:34] = 30.0
    return examine(figure(frames=60, turns={joint: size * np.sin(time / 4.0)}), ONCE).basis


def mover(basis, body="hand.L", check="hitch"):
    """The title of what moves a body that a finding names there."""
    found = mover_of(basis, replace(SHOWN, body=body, check=check, frames=(31.0, 34.0)))
    return None if found is None else basis.bodies[found].title


@pytest.mark.parametrize(
    ("joint", "size"), [("upper_arm.L", 0.8), ("forearm.L", 0.8), ("hand.L", 1.2)]
)
@pytest.mark.parametrize("check", ["hitch", "hard_stop", "hard_start"])
def test_a_hand_sticks_by_what_of_its_arm_sticks(joint, size, check):
    assert mover(swung(joint, size), check=check) == joint


def test_where_a_finding_names_what_is_to_be_mended_nothing_is_guessed():
    basis = swung("upper_arm.L", 0.8)
    assert mover(basis, check="pop") is None
    assert mover(basis, body="head") is None
