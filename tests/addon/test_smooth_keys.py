# SPDX-License-Identifier: GPL-3.0-or-later
"""Keyed paths are smooth between the frames too, as motion blur and other frame rates show them."""

import importlib
from itertools import pairwise

import bpy
import numpy as np
import pytest
from stepped import Bones, built

from demo_scenes.porter import hop_crate
from demo_scenes.porter.channels import channel
from demo_scenes.porter.hop_crate.timing import FLIGHTS, FPS
from demo_scenes.porter.key_edits import find_curve, slope_at
from demo_scenes.porter.smooth import AT_REST, FREE, smooth_run, spline_slopes
from demo_scenes.registry import TWO_PASSES

GRAVITY = 9.80665  # 3rd CGPM 1901
PARTS = 4  # of a frame
PORTER = [scene.module for scene in TWO_PASSES.values() if scene.module.startswith("porter.")]


def quarters(first, last):
    return first + np.arange(PARTS * (last - first) + 1) / PARTS


def bend(span, one, two, leaves, arrives):
    """The second derivatives at both ends of a cubic given by its ends' values and slopes."""
    even = (two - one) / span
    return (6 * even - 4 * leaves - 2 * arrives) / span, (
        2 * leaves + 4 * arrives - 6 * even
    ) / span


@pytest.mark.parametrize("ends", [AT_REST, FREE, (2.0, None)])
def test_the_spline_s_acceleration_goes_on_through_every_key(ends):
    frames, values = [1, 2, 4, 9, 10, 16], [0.3, 1.0, -0.5, 0.2, 0.9, 0.0]
    slopes = spline_slopes(frames, values, ends)
    runs = [
        bend(frames[i + 1] - frames[i], *values[i : i + 2], *slopes[i : i + 2]) for i in range(5)
    ]
    for (_, before), (after, _) in pairwise(runs):
        assert before == pytest.approx(after, abs=1e-9)
    for end, slope, curved in (
        (ends[0], slopes[0], runs[0][0]),
        (ends[1], slopes[-1], runs[-1][1]),
    ):
        assert (curved if end is None else slope - end) == pytest.approx(0.0, abs=1e-9)


def test_keys_on_a_parabola_give_that_parabola():
    frames = np.array([0.0, 1.0, 3.0, 7.0])
    slopes = spline_slopes(frames, 5.0 * frames - 0.4 * frames**2, (5.0, 5.0 - 0.8 * 7.0))
    assert slopes == pytest.approx(5.0 - 0.8 * frames)


def test_a_smooth_run_leaves_the_curve_outside_as_it_is():
    rig = built(hop_crate, polished=True)
    curve = find_curve(rig, channel("head", "lean"))
    keys = [round(point.co.x) for point in curve.keyframe_points]
    first, last = keys[2], keys[6]
    at = quarters(keys[0], keys[-1])
    before = np.array([curve.evaluate(each) for each in at])
    smooth_run(curve, first, last)
    apart = np.abs([curve.evaluate(each) for each in at] - before)
    outside = (at <= first) | (at >= last) | np.isin(at, keys)
    assert apart[outside].max() < 1e-5 < apart.max()
    for frame in keys[3:6]:
        into, out = slope_at(curve, frame - 0.02), slope_at(curve, frame + 0.02)
        assert into == pytest.approx(out, abs=2e-3)


@pytest.fixture(scope="module")
def flights():
    """The centre of mass in both flights, (T,3) metres, four times a frame."""
    rig = built(hop_crate, polished=True)
    graph, scene, paths = bpy.context.evaluated_depsgraph_get(), bpy.context.scene, []
    for leave, land in FLIGHTS:
        bones = {}
        for at in quarters(leave, land):
            scene.frame_set(int(at), subframe=at - int(at))
            for bone in rig.evaluated_get(graph).pose.bones:
                heads, tails = bones.setdefault(bone.name, ([], []))
                heads.append(bone.head[:])
                tails.append(bone.tail[:])
        heads, tails = ({name: np.array(each[i]) for name, each in bones.items()} for i in (0, 1))
        paths.append(Bones(heads=heads, tails=tails).centre())
    return paths


def test_the_hop_falls_freely_between_the_frames_too(flights):
    for path in flights:
        time = np.arange(len(path)) / PARTS / FPS
        falls = path[:, 2] + 0.5 * GRAVITY * time**2
        off = falls - np.polyval(np.polyfit(time, falls, 1), time)
        assert np.abs(off).max() < 1e-3


def test_the_hop_travels_on_evenly_between_the_frames_too(flights):
    for path in flights:
        speeds = -np.diff(path[:, 1]) * PARTS * FPS
        assert np.abs(speeds / speeds.mean() - 1.0).max() < 0.1


@pytest.mark.parametrize("module", PORTER)
def test_the_body_control_does_not_jerk_between_the_frames(module):
    """Between frames it is as fast as the smooth curve through the frames, within .35 m/s."""
    rig = built(importlib.import_module(f"demo_scenes.{module}"), polished=True)
    scene = bpy.context.scene
    first, last = scene.frame_start, scene.frame_end
    for word in ("right", "ahead", "up"):
        curve = find_curve(rig, channel("body", word))
        keyed = np.array([curve.evaluate(at) for at in quarters(first, last)])
        whole = keyed[::PARTS]
        slopes = spline_slopes(np.arange(len(whole)), whole, FREE)
        smooth = hermite(whole, np.array(slopes))
        jerk = np.diff(keyed - smooth)[PARTS:-PARTS] * PARTS * scene.render.fps
        assert np.abs(jerk).max() < 0.35


def hermite(values, slopes):
    """Values at every quarter frame of the cubics through one value a frame."""
    share = (np.arange(PARTS * (len(values) - 1) + 1) % PARTS) / PARTS
    at = np.arange(len(share)) // PARTS
    beyond = np.minimum(at + 1, len(values) - 1)
    return (
        values[at] * (1 + 2 * share) * (1 - share) ** 2
        + slopes[at] * share * (1 - share) ** 2
        + values[beyond] * share**2 * (3 - 2 * share)
        + slopes[beyond] * share**2 * (share - 1)
    )
