# SPDX-License-Identifier: GPL-3.0-or-later
"""Arcs and spacing against movements whose numbers are known."""

import numpy as np
import pytest
from figures import figure

from analysis import Settings, check_clip
from analysis.arcs import arc_height, curvature, motion_of, power_exponent, reversals
from analysis.basis import build_basis
from analysis.point_measures import point_measures, restless_look
from analysis.smoothness import sparc
from analysis.strokes import Stroke, find_strokes


def _circle(radius, rate, seconds=2.0):
    time = np.arange(0, seconds, 1 / rate)
    turn = 2 * np.pi * time / seconds
    return np.stack((radius * np.cos(turn), radius * np.sin(turn), 0 * turn), axis=-1)


@pytest.mark.parametrize("rate", [24, 30, 60, 200])
def test_the_curvature_of_a_circle_is_one_over_its_radius(rate):
    motion = motion_of(_circle(0.4, rate), 1 / rate)
    assert np.median(curvature(motion)) == pytest.approx(2.5, rel=0.01)


def test_a_straight_path_has_no_curvature_and_no_height():
    path = np.linspace(0, 1, 30)[:, None] * np.array([1.0, 2.0, 0.5])
    assert curvature(motion_of(path, 1 / 24)).max() < 1e-6
    assert arc_height(path) == pytest.approx(0.0, abs=1e-12)


def test_the_height_of_arcs_by_geometry():
    # A half circle rises by half its chord, a quarter circle by (1 - cos 45) / (2 sin 45).
    half = _circle(1.0, 500)[:501]
    quarter = half[:251]
    assert arc_height(half) == pytest.approx(0.5, abs=1e-3)
    assert arc_height(quarter) == pytest.approx((1 - np.sqrt(0.5)) / np.sqrt(2), abs=1e-3)
    assert arc_height(np.zeros((3, 3))) == float("inf")


# Lacquaniti, Terzuolo & Viviani 1983: on a harmonic ellipse speed = K * radius^(1/3), exactly.
@pytest.mark.parametrize(("rate", "within"), [(100, 0.003), (60, 0.005), (24, 0.015)])
def test_the_power_law_of_a_harmonic_ellipse(rate, within):
    time = np.arange(0, 4, 1 / rate)
    path = np.stack((0.3 * np.cos(np.pi * time), 0.1 * np.sin(np.pi * time), 0 * time), axis=-1)
    motion = motion_of(path, 1 / rate)
    exponent = power_exponent(motion, curvature(motion), np.ones(len(time), dtype=bool))
    assert exponent == pytest.approx(1 / 3, abs=within)


def test_even_speed_on_a_bending_path_has_exponent_zero():
    bend = np.cumsum(np.linspace(0.0, 0.2, 200))
    path = np.cumsum(0.01 * np.stack((np.cos(bend), np.sin(bend), 0 * bend), axis=-1), axis=0)
    motion = motion_of(path, 1 / 100)
    middle = np.zeros(200, dtype=bool)
    middle[20:100] = True
    assert power_exponent(motion, curvature(motion), middle) == pytest.approx(0.0, abs=0.02)
    assert power_exponent(motion, curvature(motion), np.zeros(200, dtype=bool)) is None


def _speeds(kind, rate, seconds=1.0):
    u = np.linspace(0, 1, round(rate * seconds) + 1)
    if kind == "minimum jerk":  # Flash & Hogan 1985, J Neurosci 5:1688-1703
        return 30 * u**2 - 60 * u**3 + 30 * u**4
    if kind == "half cosine":
        return np.sin(np.pi * u) * np.pi / 2
    if kind == "smoothstep":
        return 6 * u * (1 - u)
    return np.ones_like(u)


# Values recomputed with the method's definition (fc 10 Hz, threshold .05, padding 4); the
# minimum jerk reach is -1.41 in Balasubramanian et al. 2015, JNER 12:112.
@pytest.mark.parametrize(
    ("kind", "value"),
    [("minimum jerk", -1.40), ("half cosine", -1.557), ("smoothstep", -1.577)],
)
@pytest.mark.parametrize("rate", [60, 200, 1000])
def test_spectral_arc_lengths(kind, value, rate):
    assert sparc(_speeds(kind, rate), rate) == pytest.approx(value, abs=0.02)


def test_even_speed_is_less_smooth_than_a_reach():
    assert sparc(_speeds("linear", 200), 200) == pytest.approx(-2.39, abs=0.05)


def test_two_strokes_apart_are_less_smooth_the_further_apart():
    one = _speeds("minimum jerk", 200)
    values = []
    for gap in (0.5, 1.0):
        shift = round(gap * 200)
        both = np.zeros(len(one) + shift)
        both[: len(one)] += one
        both[shift:] += one
        values.append(sparc(both, 200))
    assert values == [pytest.approx(-1.63, abs=0.03), pytest.approx(-2.27, abs=0.05)]


def test_smoothness_does_not_depend_on_size_and_is_0_where_nothing_moves():
    speed = _speeds("minimum jerk", 60)
    assert sparc(speed * 7.0, 60) == pytest.approx(sparc(speed, 60))
    assert sparc(np.zeros(20), 60) == 0.0


def test_strokes_end_where_the_point_is_slow():
    speed = np.abs(np.sin(np.linspace(0, 3 * np.pi, 91)))
    assert find_strokes(speed) == [Stroke(0, 30), Stroke(30, 60), Stroke(60, 90)]
    assert find_strokes(np.ones(20)) == [Stroke(0, 19)]
    assert find_strokes(np.ones(2)) == []


def test_turns_back_are_counted_beyond_a_size():
    time = np.linspace(0, 4, 200)
    path = np.stack((np.sin(2 * np.pi * time), 0 * time, 0 * time), axis=-1)
    assert reversals(path, 0.1) == 8
    assert reversals(0.04 * path, 0.1) == 0


def test_measures_of_a_figure_at_any_size_rate_and_heading():
    values = []
    for changes in ({}, {"scale": 10.0, "height_m": 1.62}, {"fps": 60.0, "frames": 120}):
        points = point_measures(build_basis(figure(**changes), Settings(height_m=1.62)))
        values.append(points["hand.L"])
    for other in values[1:]:
        assert other["arc_height_pct"] == pytest.approx(values[0]["arc_height_pct"], rel=0.1)
        assert other["smoothness"] == pytest.approx(values[0]["smoothness"], rel=0.05)
        assert other["curvature_per_m"] == pytest.approx(values[0]["curvature_per_m"], rel=0.15)
        assert other["reversals_per_s"] == pytest.approx(values[0]["reversals_per_s"], abs=0.6)
    assert values[1]["spacing_m"] == pytest.approx(values[0]["spacing_m"], rel=0.02)
    assert values[2]["spacing_m"] == pytest.approx(values[0]["spacing_m"] * 24 / 60, rel=0.15)


def test_measures_stand_in_the_report():
    data = check_clip(figure()).to_json()["measures"]["points"]
    assert {"head", "hand.L", "foot.R", "com"} <= set(data)
    assert data["hand.L"]["reversals_per_s"] > 1.0
    assert "reversals_per_s" not in data["com"]


def test_the_most_restless_part_is_a_look_and_no_finding():
    time = np.arange(96) / 24
    turns = {"forearm.L": 0.3 * np.sin(2 * np.pi * 4.0 * time)}
    clip = figure(frames=96, turns=turns)
    basis = build_basis(clip, Settings())
    (look,) = restless_look(basis, point_measures(basis))
    assert basis.bodies[look.body].part == "hand.L"
    calm = build_basis(figure(frames=96), Settings())
    assert restless_look(calm, point_measures(calm)) == []
