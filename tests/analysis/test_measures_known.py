# SPDX-License-Identifier: GPL-3.0-or-later
"""Measures against numbers from outside: mechanics, geometry, and what is published of people.

What is published is from memory: Alexander 1989, Physiol Rev 69:1199-1227 (Froude numbers); Perry &
Burnfield 2010, Gait Analysis, 2nd ed. and Novacheck 1998, Gait & Posture 7:77-95 (knees); Grood &
Suntay 1983, J Biomech Eng 105:136-144 (a straight knee is 0, bending is positive).
"""

import itertools
import os
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from figures import figure
from spined import SPINE, spined
from swaying import swaying
from test_stop_together import NONE, OVERLAP, moves
from walker import Walk, hop, walk

from analysis import Settings, check_clip
from analysis.measure_list import POINT_MEASURES, SHOT_MEASURES

ONCE = Settings(cycle="no")
GRAVITY = 9.80665
# What a report is promised to measure always, by shot or by point: name and unit.
PROMISED = {
    "speed": ("gait_speed_m_s", "m/s"),
    "cadence": ("cadence_per_min", "steps/min"),
    "stride": ("stride_m", "m"),
    "step width": ("step_width_m", "m"),
    "vertical amplitude": ("com_vertical_m", "m"),
    "lateral amplitude": ("com_lateral_m", "m"),
    "hang share": ("hang_share", ""),
    "flight times": ("flight_median_s", "s"),
    "foot contacts": ("foot_contacts_left", ""),
    "knee ranges": ("knee_right_max_deg", "degrees"),
    "chest-to-hip turn": ("chest_hip_turn_deg", "degrees"),
    "chest-to-hip phase": ("chest_hip_phase_deg", "degrees"),
    "smoothness": ("smoothness", ""),
    "restlessness": ("reversals_per_s", "1/s"),
    "Froude number": ("froude", ""),
    "lag": ("lag_s", "s"),
}


def measured(clip, settings=ONCE):
    return check_clip(clip, settings).measures


def twisting():
    """Hips that turn to and fro once a second, and a chest that turns against them."""
    turn = np.outer(8.0 * np.sin(2.0 * np.pi * np.arange(96) / 24.0), [0.0, 0.0, 1.0])
    return spined(dict.fromkeys(SPINE, -turn / 2.0), turn=turn)


@pytest.mark.parametrize("name", PROMISED)
def test_what_is_promised_is_listed_and_reported(name):
    """Of a walk, a hop whose flight is seen whole, a figure that strides or one that twists."""
    measure, unit = PROMISED[name]
    assert (SHOT_MEASURES | POINT_MEASURES)[measure].unit == unit
    clips = (walk(Walk(frames=120)), hop(), figure(), twisting())
    found = [measured(clip) for clip in clips]
    every = [each for one in found for each in (one, *one["points"].values())]
    assert any(measure in each for each in every)


def test_people_change_to_running_at_a_froude_number_of_a_half():
    """Adults do at about 2 m/s (Alexander 1989), with legs of .87 m from hip to ankle."""
    assert measured(walk(Walk(frames=120, speed=2.0, stride_s=0.55)))["froude"] == pytest.approx(
        0.5, abs=0.05
    )


def test_a_froude_number_compares_speed_with_gravity():
    """Half the size in the same time: half the speed, half the legs, half the number."""
    plan = Walk(frames=140)
    large, small = (
        measured(swaying(plan, scale=scale), replace(ONCE, height_m=1.78 * scale))["froude"]
        for scale in (1.0, 0.5)
    )
    assert small == pytest.approx(0.5 * large, rel=0.01)
    assert large == pytest.approx(1.2**2 / (GRAVITY * 0.87), rel=0.02)


@pytest.mark.parametrize(("metres", "hertz"), [(0.03, 1.5), (0.02, 2.0)])
def test_a_body_that_bobs_presses_as_mechanics_say(metres, hertz):
    """Its weight and m A w2 sin(w t) more; its peak-to-peak height is 2 A."""
    time = np.arange(240) / 60.0
    # The figure's own bob is taken out.
    own = 0.02 * np.cos(2.0 * np.pi * 2.0 * time / 1e6)
    lift = metres * np.sin(2.0 * np.pi * hertz * time)
    shift = np.stack((0.0 * time, 0.0 * time, lift - own), axis=-1)
    clip = figure(frames=240, fps=60.0, period_s=1e6, speed=0.0, shift=shift, height_m=1.78)
    found = measured(clip)
    assert found["com_rise_m"] == pytest.approx(2.0 * metres, rel=0.01)
    peak = 1.0 + metres * (2.0 * np.pi * hertz) ** 2 / GRAVITY
    assert found["force_peak_bw"] == pytest.approx(peak, rel=0.06)


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize(
    ("joint", "chain"), [("knee", ("thigh", "shin", "foot")), ("elbow", ("upper_arm", "forearm"))]
)
def test_knees_and_elbows_bend_by_the_angle_between_their_bones(joint, chain, side):
    """The arc cosine of where hip, knee and ankle lie; a straight limb is 0."""
    clip = figure()
    names = [f"{part}.{side[0].upper()}" for part in (*chain, "hand")][:3]
    places = [clip.positions[:, clip.joint(name)] for name in names]
    bones = [b - a for a, b in itertools.pairwise(places)]
    bones = [bone / np.linalg.norm(bone, axis=1, keepdims=True) for bone in bones]
    bent = np.degrees(np.arccos(np.sum(bones[0] * bones[1], axis=1)))
    found = measured(clip)
    assert found[f"{joint}_{side}_min_deg"] == pytest.approx(bent.min(), abs=0.01)
    assert found[f"{joint}_{side}_max_deg"] == pytest.approx(bent.max(), abs=0.01)


@pytest.mark.parametrize("side", ["L", "R"])
@pytest.mark.parametrize("share", [0.02, 0.06])
def test_an_arm_is_stretched_by_what_it_is_longer(side, share):
    """The hand is moved out along the forearm, by a share of the whole arm."""
    clip = figure()
    upper, lower, hand = (clip.joint(f"{n}.{side}") for n in ("upper_arm", "forearm", "hand"))
    places = np.array(clip.positions)
    bones = [places[:, lower] - places[:, upper], places[:, hand] - places[:, lower]]
    lengths = [np.linalg.norm(bone, axis=1, keepdims=True) for bone in bones]
    more = share * (lengths[0] + lengths[1]) * bones[1] / lengths[1]
    places[20:30, hand] += more[20:30]
    found = measured(replace(clip, positions=places))
    name = {"L": "left", "R": "right"}
    assert found[f"arm_{name[side]}_stretch_pct"] == pytest.approx(100.0 * share, abs=0.1)


@pytest.mark.parametrize("fps", [24.0, 30.0, 60.0])
def test_an_impact_passes_at_the_moment_at_which_each_part_is_lowest(fps):
    """The hop's crouch is a squared sine: lowest half-way, of hips, chest and head alike."""
    after = round(0.6 * fps)
    found = measured(hop(fps=fps, before=after, after=after))
    for part in ("hips", "chest", "head"):
        assert found[f"impact_{part}_s"] == pytest.approx(0.5 * (after - 1) / fps, abs=1.0 / fps)


def test_arrivals_are_as_far_apart_as_they_were_made():
    """Six frames at 24 a second, of which the end of an ease hides some; or none."""
    assert 0.125 <= measured(moves(OVERLAP))["arrival_spread_s"] <= 0.25
    assert measured(moves(NONE))["arrival_spread_s"] <= 1.0 / 24.0


@pytest.mark.parametrize(
    ("axis", "name"), [((1.0, 0.0, 0.0), "bend"), ((0.0, 1.0, 0.0), "side"), ((0, 0, 1.0), "turn")]
)
def test_a_chest_bends_about_the_axis_that_it_was_bent_about(axis, name):
    """By 9 degrees to and fro, about an axis of the world that the figure faces along -Y."""
    time = np.arange(96) / 24.0
    bends = {joint: np.outer(3.0 * np.sin(2.0 * np.pi * time), axis) for joint in SPINE}
    found = measured(spined(bends))
    for each in ("bend", "side", "turn"):
        range_deg = 18.0 if each == name else 0.0
        assert found[f"chest_hip_{each}_deg"] == pytest.approx(range_deg, abs=0.3)


@pytest.mark.parametrize(("name", "least", "most"), [("walk", 55.0, 80.0), ("run", 85.0, 115.0)])
def test_captured_knees_bend_as_people_s_do(name, least, most):
    """As the leg swings through 60 to 70 degrees in walks, 90 to 110 in runs; almost straight at
    the least. This capture bends its knees a little more."""
    folder = os.environ.get("PLUMBLINE_CAPTURED")
    if folder is None:
        pytest.skip("PLUMBLINE_CAPTURED is not set: run the test runner")
    from demo_scenes.captured.clip import to_clip
    from demo_scenes.captured.motions import load_motion

    found = measured(to_clip(load_motion(Path(folder), name)), Settings(cycle="yes"))
    for side in ("left", "right"):
        assert 0.0 <= found[f"knee_{side}_min_deg"] <= 10.0
        assert least <= found[f"knee_{side}_max_deg"] <= most
