# SPDX-License-Identifier: GPL-3.0-or-later
"""Faults in known keys of a keyed rig that answers trials: which control, group and key come first.

No key but the planted one is odd, so that the right answer is known.
"""

import os
from dataclasses import replace

import numpy as np
import pytest

if os.environ.get("PLUMBLINE_CAPTURED") is None:
    pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner", allow_module_level=True)

import keyed_rig
from analysis import keys
from analysis.pipeline import examine
from analysis.trials import Trial

LOCATION, TURN, ANGLES = "location", "rotation_quaternion", "rotation_euler"


def spike(size):
    ways = {"x": 1.0, "y": -0.5, "z": 1.0, "w": 0.0}

    def edit(curve, n):
        return keys.with_value(curve, n, curve.values[n] + size * ways[curve.channel[-1]])

    return edit


def held(curve, n):
    return keys.with_value(curve, n, curve.values[n - 1])


def linear(curve, n):
    return keys.with_interpolation(curve, n, "LINEAR")


def late(curve, n):
    return keys.with_frame(curve, n, curve.frames[n] + 1.0)


def negated(curve, n):
    return keys.with_value(curve, n, -curve.values[n])


def a_turn_on(curve, n):
    return keys.with_value(curve, n, curve.values[n] + 2.0 * np.pi * (curve.channel[-1] == "z"))


def faulted(name, control, prop, frame, edit):
    puppet, clip = keyed_rig.rig(name)
    curves = keyed_rig.edited(clip, control, prop, frame, edit)
    return puppet, keyed_rig.with_curves(puppet, clip, curves)


def test_the_keyed_motion_is_clean_and_an_empty_trial_is_that_motion():
    puppet, clip = keyed_rig.rig("punch")
    assert not examine(clip).shot.findings
    samples = np.arange(3, 9)
    posed = keyed_rig.answer(puppet, clip, Trial(samples, (), np.zeros((len(samples), 0))))
    np.testing.assert_allclose(posed.positions, clip.positions[samples], atol=1e-12)
    np.testing.assert_allclose(posed.controls, clip.control_matrices[samples], atol=1e-12)


CASES = {
    "a chest key off by 10 degrees": ("punch", "chest", TURN, 21, spike(0.08), 21, "move"),
    "an arm key off its arc": ("jump", "upper_arm.L", TURN, 31, spike(0.12), 31, "move"),
    "a hand key off its arc": ("punch", "hand.R", TURN, 18, spike(0.2), 18, "move"),
    "a head key off its arc": ("jump", "neck", TURN, 26, spike(0.12), 26, "move"),
    "a linear key of the hips": ("jump", "hips", LOCATION, 15, linear, 15, "smooth"),
    "a linear key of an arm": ("punch", "upper_arm.L", TURN, 34, linear, 34, "smooth"),
    "an arm held": ("jump", "upper_arm.L", TURN, 17, held, 17, "move"),
    "a foot held": ("punch", "foot.R", LOCATION, 20, held, 20, "move"),
    "a quaternion turned to its negative": (
        "punch",
        "upper_arm.R",
        TURN,
        28,
        negated,
        28,
        "unwind",
    ),
}


@pytest.mark.parametrize(
    ("name", "control", "prop", "frame", "edit", "key", "mend"), CASES.values(), ids=CASES.keys()
)
def test_the_planted_control_group_and_key_come_first(name, control, prop, frame, edit, key, mend):
    _examination, shot = keyed_rig.explained(*faulted(name, control, prop, frame, edit))
    assert shot.findings
    for finding in shot.findings:
        first = finding.causes[0]
        told = (first.control, first.channel, first.frame, first.mend)
        assert told == (control, prop, key, mend)
        assert first.share >= 0.5
        assert sum(cause.share for cause in finding.causes) == pytest.approx(1.0)
        assert control in finding.suggestion.text
