# SPDX-License-Identifier: GPL-3.0-or-later
"""Corners that a knee near full reach turns by right: where a foot lands, between far samples."""

import numpy as np
import pytest
from clamped import LENGTH, clamped
from figures import names
from scipy.optimize import brentq
from test_knee_pop import ONCE, moved, out_of_line
from walker import SHIN, THIGH

from analysis import check_clip
from analysis.knee_corners import out_of_line as by_the_reach

FPS, LANDS = 60.0, 60


def landing(*, flicks_m=0.0, lands=LANDS):
    """The hips sink by 4 mm a frame, the left leg stretches by 4 to the floor, and gives way.

    flicks_m   metres by which the foot is nearer to the hip on the frame before it lands
    """
    time = np.arange(121) - float(lands)
    sinks = 0.004 * np.clip(time, -40.0, 5.0)
    left = 0.08 + 0.008 * np.clip(-time, 0.0, 18.0)
    left[lands - 1] += flicks_m
    zero = 0.0 * time
    root = np.stack((zero, zero, 0.08 + LENGTH - 0.0015 - sinks), axis=-1)
    root[:, 2] -= root[lands, 2] - (0.08 + LENGTH - 0.0015)
    right = np.stack((zero - 0.1, zero + 0.3, zero + 0.08), axis=-1)
    goals = {"L": np.stack((zero + 0.1, zero, left), axis=-1), "R": right}
    return clamped(root, goals, FPS)


def test_a_heel_that_lands_makes_a_knee_turn_a_corner():
    """At 60 a second it straightens evenly, and gives way evenly: by itself off curve and chord."""
    clip = landing()
    out = np.linalg.norm(out_of_line(clip), axis=1)
    chord = 0.5 * (out[LANDS - 1] + out[LANDS + 1]) - out[LANDS]
    assert chord > 0.015
    assert names(check_clip(clip, ONCE)) == []


def test_a_knee_that_snaps_next_to_the_landing_is_told():
    shot = check_clip(landing(flicks_m=0.006), ONCE)
    assert names(shot) == [("knee_pop", "shin.L")]
    (found,) = shot.findings
    assert abs(found.frames[0] - LANDS) <= 3.0


def test_a_corner_in_the_air_is_a_snap():
    """The same bend of the same knee where no foot lands."""
    clip = landing()
    places = np.array(clip.positions)
    places[:, :, 2] += 0.4 * np.sin(np.linspace(0.0, np.pi, len(places)))[:, None]
    clip = type(clip)(**{**vars(clip), "positions": places})
    assert names(check_clip(clip, ONCE)) == [("knee_pop", "shin.L")]


@pytest.mark.parametrize("fps", [12.0, 24.0])
def test_a_leg_on_its_way_is_not_near_its_reach(fps):
    """A push at 12 a second: on the frame after the least bend the knee is bent by 31 degrees, as
    the next frame, at 22, leads to."""
    way = [0.32, 0.29, 0.19, 0.067, 0.113, 0.078, 0.044, 0.031, 0.11, 0.258]
    out = np.concatenate((np.full(12, 0.32), way, np.full(12, 0.28)))
    clip = moved(np.stack((0.0 * out, -out), axis=1), fps)
    assert names(check_clip(clip, ONCE)) == []


def test_the_law_of_cosines():
    bones = np.array([THIGH, SHIN])
    for lacks in (0.0005, 0.01, 0.1):
        reach = THIGH + SHIN - lacks

        def too_far(out, reach=reach):
            return np.sqrt(THIGH**2 - out**2) + np.sqrt(SHIN**2 - out**2) - reach

        out = brentq(too_far, 0.0, SHIN)
        assert by_the_reach(bones, np.array(lacks)) == pytest.approx(out, abs=1e-9)
