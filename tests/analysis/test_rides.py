# SPDX-License-Identifier: GPL-3.0-or-later
"""`slide` of a figure that rides: on what was not declared, late on what was, and of feet and hands
that slip at once."""

from dataclasses import replace

import numpy as np
import pytest
from figures import with_mover
from test_glides import SLIDE, eased, standing
from test_hands_on_supports import on_wall, slip
from walker import box, moved, with_supports

from analysis import check_clip

SECONDS = 6.0


def in_stretches(fps, metres):
    """(T,3) a way ahead (-Y) in so many stretches of .8 s each, a second and a half apart."""
    count = round(SECONDS * fps)
    way = np.zeros((count, 3))
    for n, each in enumerate(metres):
        begins = 0.4 + 1.7 * n
        way[:, 1] -= each * eased(count, begins * fps, (begins + 0.8) * fps)
    return way


def found(clip):
    return check_clip(clip, SLIDE).findings


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_a_figure_that_rides_on_what_was_not_declared_is_one_finding(fps):
    way = in_stretches(fps, [0.05, 0.3, 0.1])
    (finding,) = found(with_mover(moved(standing(fps, SECONDS), way), way))
    assert (finding.part, finding.severity) == ("mover", "major")
    assert "slip together 3 times" in finding.says
    assert finding.amount == pytest.approx(30.0, rel=0.05)
    assert "declared as a support" in finding.suggestion.text
    assert finding.frames[0] <= 1 + 0.6 * fps
    assert finding.frames[1] >= 1 + 4.4 * fps


def test_slips_that_are_no_steps_are_told_one_by_one():
    way = in_stretches(24.0, [0.05, 0.1, 0.08])
    findings = found(with_mover(moved(standing(24.0, SECONDS), way), way))
    assert [round(each.amount) for each in findings] == [5, 10, 8]


def on_cart(fps, goes, rides):
    """A figure that rides so (T,3) on a declared cart that goes so (T,3)."""
    clip = moved(standing(fps, SECONDS), rides)
    cart = box((-0.6, -0.6, -0.2), (0.6, 0.6, 0.0), len(goes))
    cart[:, :3, 3] += goes
    clip = with_supports(clip, cart)
    return replace(clip, meta=replace(clip.meta, supports=("the cart",), floor_z=-1.0))


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
@pytest.mark.parametrize("late_s", [0.12, -0.1, np.inf])
def test_a_figure_that_goes_along_late_or_early_or_not_at_all_is_told_so_once(fps, late_s):
    way = in_stretches(fps, [0.3, 0.3, 0.3])
    at = np.arange(len(way))
    delay = len(way) if np.isinf(late_s) else late_s * fps
    rides = np.stack([np.interp(at - delay, at, each) for each in way.T], axis=1)
    (finding,) = found(on_cart(fps, way, rides))
    assert finding.part == "root"
    assert "does not go along with it in time" in finding.says
    assert finding.suggestion.text.startswith("Let body and feet go along with the cart")
    assert not found(on_cart(fps, way, way))


def test_feet_that_slip_by_themselves_on_a_cart_are_not_behind():
    way = in_stretches(24.0, [0.3, 0.3, 0.3])
    clip = on_cart(24.0, way, way)
    count = len(way)
    feet = np.outer(eased(count, 60, 66), [0.0, 0.04, 0.0])
    slid = moved(standing(24.0, SECONDS, feet=feet), way)
    (finding,) = found(replace(clip, positions=slid.positions, rotations=slid.rotations))
    assert finding.part == "foot.L"
    assert finding.says.endswith("the body does not go along.")


def test_feet_and_a_hand_that_slip_at_once_are_one_finding():
    """The wall that the hand rests on, and the floor, stay where they are."""
    still = on_wall(slip([0.0, 0.0, 0.0]))
    count = len(still.frames)
    (finding,) = found(moved(still, np.outer(eased(count, 30, 35), [0.03, 0.0, 0.0])))
    assert finding.part == "root"
    assert finding.amount == pytest.approx(3.0, abs=0.3)
    assert finding.says.startswith("Both feet and the left hand slip 3.0 cm to the left together")
    assert "Keep both feet and the left hand in place" in finding.suggestion.text
