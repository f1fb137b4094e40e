# SPDX-License-Identifier: GPL-3.0-or-later
"""Pushes of the ground against Newton's law and published peaks, and shoves that findings tell."""

import os
from pathlib import Path

import numpy as np
import pytest
from drawn_flights import STANDS, Thrown
from figures import arrays, figure, spike
from walker import hop, walk

from analysis import Clip, Settings
from analysis.basis import build_basis
from analysis.drawn import pushes
from analysis.drawn.pushes import felt_weights
from analysis.loop import find_cycle
from analysis.looped import lay_out
from analysis.pipeline import examine

ASK = Settings(cycle="no", checks=("pop",))
FOLDER = os.environ.get("PLUMBLINE_CAPTURED")


def of(clip, settings=ASK):
    return pushes(examine(clip, settings))


def test_a_jump_has_the_push_that_throws_it_and_the_one_that_catches_it():
    """Impulse and momentum: what is more than the weight, over its time, is the speed upwards."""
    thrown = Thrown()
    off, catch = of(thrown.clip())
    # A stiff body is thrown within a frame. Over five samples a cubic's second derivative in the
    # middle weighs them by 2, -1, -2, -1, 2 over 7 (Savitzky & Golay 1964): of a path that stands
    # and then goes by v t - g t2 / 2 it is 3/7 v a frame, less g / 2.
    peak = 0.5 + 3.0 / 7.0 * thrown.up * 24.0 / 9.80665
    assert [each.frame for each in (off, catch)] == [STANDS + 1, STANDS + 16]
    for each in (off, catch):
        assert each.weights == pytest.approx(peak, rel=1e-3)
        assert each.says == f"{each.weights:.1f} x weight"
        assert each.force == pytest.approx([0.0, 0.0, peak], abs=0.01)
        assert each.place[2] == pytest.approx(0.0, abs=1e-6)
        assert each.explained


def test_a_push_is_as_many_body_weights_in_a_scene_ten_times_as_large():
    asked = Settings(cycle="no", checks=("pop",), height_m=1.78)
    one, ten = (of(hop(scale=s), asked) for s in (1.0, 10.0))
    assert [each.says for each in one] == [each.says for each in ten]
    np.testing.assert_allclose(ten[0].place, 10.0 * one[0].place, atol=1e-6)


def test_where_the_size_or_the_mass_is_unknown_there_are_none():
    assert of(hop(scale=10.0)) == ()
    assert of(Clip(**arrays())) == ()
    clip = hop()
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[:, clip.joint("thigh.L")] = False
    assert of(Clip(**{**vars(clip), "valid": valid})) == ()


def test_a_walk_and_a_jump_of_one_frame_push_nobody():
    assert of(walk()) == ()
    assert of(figure(shift=np.outer(spike(48, 20, 0.05), [0.0, 0.0, 1.0]))) == ()


def test_held_poses_tell_no_force():
    clip = hop(before=24, after=24)
    at = np.arange(len(clip.frames))
    for each in (at - at % 2, at - at % 6):
        held = {name: getattr(clip, name)[each] for name in ("positions", "rotations")}
        assert of(Clip(**{**vars(clip), **held})) == ()
    assert len(of(clip)) > 1


def test_a_flight_that_goes_too_far_is_pushed_by_nobody():
    """8/10 m/s that no foot gave: as if over a tenth of a second."""
    found = examine(Thrown(air=1.8).clip(), Settings(cycle="no", checks=("carry",)))
    (shove,) = [each for each in pushes(found) if not each.explained]
    assert shove.weights == pytest.approx(0.8 / (0.1 * 9.80665), rel=0.1)
    assert shove.force / shove.weights == pytest.approx([0.0, -1.0, 0.0], abs=0.01)
    assert shove.place == pytest.approx(found.basis.com[int(shove.frame) - 1])


def test_a_push_that_is_found_is_drawn_from_the_centre_of_mass():
    found = examine(Thrown(flies=18, kick=3.0).clip(), Settings(cycle="no", checks=("push",)))
    (told,) = found.shot.findings
    (shove,) = [each for each in pushes(found) if not each.explained]
    assert (shove.frame, shove.weights) == (told.peak_frame, told.amount)
    assert shove.force / shove.weights == pytest.approx([1.0, 0.0, 0.0], abs=0.05)
    assert shove.place == pytest.approx(found.basis.com[int(shove.frame) - 1])


@pytest.mark.skipif(FOLDER is None, reason="PLUMBLINE_CAPTURED is not set: run the test runner")
def test_captured_people_press_the_ground_as_is_published():
    """Peaks of 1.2 body weights in walks, growing evenly to 2.5 in runs at 6 m/s, and half as much
    again in slow runs (Keller et al. 1996, Clin Biomech 11:253-259). Over a loop they add up to
    the weight: its speed upwards is the same again.
    """
    from demo_scenes.captured.clip import to_clip
    from demo_scenes.captured.motions import load_motion

    ask = Settings(cycle="yes", checks=("stomp",))
    walks, runs = (to_clip(load_motion(Path(FOLDER), name)) for name in ("walk", "run"))
    for clip, least, most in ((walks, 1.1, 1.4), (runs, 1.8, 2.9)):
        basis = build_basis(clip, ask)
        looped = lay_out(basis, find_cycle(basis))
        up = felt_weights(looped.basis)[looped.length : 2 * looped.length, 2]
        assert up.mean() == pytest.approx(1.0, abs=1e-6)
        assert least < up.max() < most
    assert of(walks, ask) == ()
    found = of(runs, ask)
    assert len(found) == 2  # one a stance
    assert all(1.8 < each.weights < 2.9 for each in found)


@pytest.mark.skipif(FOLDER is None, reason="PLUMBLINE_CAPTURED is not set: run the test runner")
def test_the_captured_jump_has_two():
    from demo_scenes.captured.clip import to_clip
    from demo_scenes.captured.motions import load_motion

    found = examine(to_clip(load_motion(Path(FOLDER), "jump")), ASK)
    (flight,) = found.basis.flights
    off, catch = pushes(found)
    assert off.frame < found.basis.frames[flight.first] < catch.frame
    assert off.force[1] < -0.1 < 0.1 < catch.force[1]  # it goes along -Y: pushed on, and braked
