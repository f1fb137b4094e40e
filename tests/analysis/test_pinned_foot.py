# SPDX-License-Identifier: GPL-3.0-or-later
"""A rod that falls about feet that stay: what a pin would give is nobody's push."""

import numpy as np
import pytest
from test_push import topple
from toppling import GRAVITY, HEIGHT_M, leans, toppled

from analysis import Settings, check_clip
from analysis.basis import build_basis
from analysis.outside_force import FRICTION
from analysis.pinned_foot import pin_force, without_pin

ASK = Settings(cycle="no", checks=("push",))
ROD = 1.5 * GRAVITY / HEIGHT_M


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("end_deg", [80.0, 84.0, 87.0, 90.0])
@pytest.mark.parametrize("backward", [False, True])
def test_a_rod_that_falls_flat_is_not_pushed(fps, end_deg, backward):
    lean = leans(3.0, ROD, fps, end_deg=end_deg, before=20, after=30)
    assert not check_clip(toppled(lean, fps=fps, backward=backward), ASK).findings


def test_the_pin_s_force_is_what_the_path_of_the_weight_needs():
    """Newton's second law on the path itself, its second differences taken."""
    fps = 240.0
    clip = toppled(leans(3.0, ROD, fps, end_deg=88.0, before=60), fps=fps)
    basis = build_basis(clip, ASK)
    pin = pin_force(basis, 0, FRICTION)
    felt = np.gradient(np.gradient(basis.com, 1 / fps, axis=0), 1 / fps, axis=0) / GRAVITY
    felt[:, 2] += 1.0
    lean = np.degrees(np.arctan2(-(basis.com[:, 1] + 0.16), basis.com[:, 2]))
    for degrees in (40.0, 56.0, 60.0, 66.0, 72.0):
        at = int(np.argmax(lean > degrees))
        _, level, up = felt[at]
        slips = max(abs(level) - FRICTION * max(up, 0.0), 0.0)
        # Backwards, towards the feet; none at all while the floor can hold it.
        assert pin[at, 1] == pytest.approx(slips, abs=0.03)
        assert pin[at, 2] == pytest.approx(min(up, 0.0), abs=0.03)
        assert (slips > 0.1) == (degrees > 55.0)
    assert not pin[:, 0].any()


def test_no_body_that_stands_has_a_pin():
    basis = build_basis(toppled(np.zeros(40)), ASK)
    assert not pin_force(basis, 2, FRICTION).any()


def test_only_what_goes_along_with_it_is_taken_from_a_force():
    pin = np.tile([0.0, 0.5, -0.1], (4, 1))
    left = np.array([[0.3, 0.2, 0.0], [0.0, 0.8, 0.0], [0.0, -0.4, 0.0], [0.0, 0.5, -0.4]])
    kept = without_pin(left, pin)
    expected = [[0.3, 0.0, 0.0], [0.0, 0.3, 0.0], [0.0, -0.4, 0.0], [0.0, 0.0, -0.3]]
    assert kept == pytest.approx(np.array(expected))


@pytest.mark.parametrize("body_weights", [1.2, -1.2])
def test_a_push_late_in_a_topple_is_still_found(body_weights):
    """At some 40 degrees, where the floor still holds all that a rod needs."""
    (finding,) = check_clip(topple(body_weights, start_deg=6.0, at_s=0.72), ASK).findings
    assert ("pushed back" in finding.says) == (body_weights < 0.0)


def test_where_a_foot_would_slip_is_not_praised():
    """The floor holds a rod up to some 55 degrees of lean, and no further."""
    for end_deg, slips in ((86.0, True), (45.0, False)):
        clip = toppled(leans(2.0, ROD, 24.0, end_deg=end_deg, after=0))
        shot = check_clip(clip, ASK)
        assert not shot.findings
        assert ("where a foot would slip, what touches" in " ".join(shot.good)) == slips
