# SPDX-License-Identifier: GPL-3.0-or-later
"""Curves played and edited, against closed forms and scipy's splines."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.interpolate import CubicHermiteSpline, CubicSpline

from analysis import keys
from analysis.curves import Curve

FRAMES, VALUES = (1.0, 5.0, 8.0, 14.0, 21.0), (0.0, 2.0, 1.0, 1.5, 6.0)
FINE = np.linspace(1, 21, 401)


def curve_of(values=VALUES, frames=FRAMES, kind="BEZIER", handles="AUTO", **told):
    """A curve with handles as Blender would set them; scene and action frames are the same."""
    count = len(values)
    return keys.recomputed(
        Curve(
            control="torso",
            channel="location.z",
            data_path='pose.bones["torso"].location',
            index=2,
            action="walk",
            strip=None,
            frames=tuple(frames),
            action_frames=tuple(frames),
            values=tuple(values),
            interpolation=(kind,) * count,
            handle_left=tuple((f - 1.0, v) for f, v in zip(frames, values, strict=True)),
            handle_right=tuple((f + 1.0, v) for f, v in zip(frames, values, strict=True)),
            handle_types=((handles, handles),) * count,
            key_types=("KEYFRAME",) * count,
            **told,
        )
    )


def test_handles_of_a_third_are_a_cubic_hermite_spline():
    slopes = (0.3, -0.2, 1.0, 0.0, 2.0)
    gaps = np.diff(FRAMES) / 3.0
    right = [(f + g, v + s * g) for f, v, s, g in zip(FRAMES, VALUES, slopes, gaps, strict=False)]
    left = [
        (f - g, v - s * g)
        for f, v, s, g in zip(FRAMES[1:], VALUES[1:], slopes[1:], gaps, strict=False)
    ]
    curve = replace(
        curve_of(handles="FREE"),
        handle_left=((0.0, 0.0), *left),
        handle_right=(*right, (22.0, 8.0)),
    )
    oracle = CubicHermiteSpline(FRAMES, VALUES, slopes)
    np.testing.assert_allclose(keys.values_at(curve, FINE), oracle(FINE), atol=1e-12)
    assert keys.slopes_at_key(curve, 1) == pytest.approx((-0.2, -0.2))
    assert keys.slopes_at_key(curve, 4) == pytest.approx((2.0, 0.0))


def test_automatic_handles_are_a_spline_of_continuous_acceleration():
    oracle = CubicSpline(FRAMES, VALUES, bc_type="clamped")  # flat at the ends
    np.testing.assert_allclose(keys.values_at(curve_of(), FINE), oracle(FINE), atol=1e-12)
    natural = CubicSpline(FRAMES, VALUES, bc_type="natural")
    curve = curve_of(extrapolation="LINEAR")
    np.testing.assert_allclose(keys.values_at(curve, FINE), natural(FINE), atol=1e-12)


def test_a_loop_s_handles_are_a_periodic_spline():
    values = (0.0, 2.0, 1.0, 1.5, 0.0)
    oracle = CubicSpline(FRAMES, values, bc_type="periodic")
    curve = curve_of(values, cycles=("REPEAT", 0, "REPEAT", 0))
    fine = np.linspace(-60, 70, 521)
    np.testing.assert_allclose(keys.values_at(curve, fine), oracle(fine), atol=1e-11)
    into, out = keys.slopes_at_key(curve, 0)
    assert into == pytest.approx(out, abs=0.01)


def test_a_round_trip_and_a_mirrored_one():
    onward = curve_of((0.0, 4.0), (0.0, 4.0), "LINEAR", cycles=("NONE", 0, "REPEAT_OFFSET", 0))
    np.testing.assert_allclose(keys.values_at(onward, [-2, 2, 4, 6, 11]), [0, 2, 4, 6, 11])
    back = replace(onward, cycles=("MIRROR", 0, "MIRROR", 1))
    np.testing.assert_allclose(keys.values_at(back, [-1, 5, 7, 8, 9]), [1, 3, 1, 0, 4])


@pytest.mark.parametrize("kind", ["LINEAR", "BEZIER"])
def test_a_key_of_a_line_can_go_and_the_line_stays(kind):
    frames = np.array(FRAMES)
    line = curve_of(0.5 * frames, frames, kind, "VECTOR")
    for n in range(5):
        left = keys.without_key(line, n)
        inside = np.linspace(left.frames[0], left.frames[-1], 101)
        np.testing.assert_allclose(keys.values_at(left, inside), 0.5 * inside, atol=1e-12)


def test_without_the_only_key_there_is_no_curve():
    lone = keys.without_key(curve_of((1.0, 2.0), (3.0, 7.0)), 0)
    assert lone.values == (2.0,)
    assert lone.frames == (7.0,)
    with pytest.raises(ValueError, match="has one key"):
        keys.without_key(lone, 0)


def test_edits_in_the_scene_s_time_of_a_strip_that_plays_backwards_at_half_speed():
    curve = curve_of()
    frames = tuple(100.0 - 2.0 * f for f in FRAMES)
    strip = replace(curve, frames=frames, strip="walk", time_scale=-2.0)
    np.testing.assert_allclose(keys.to_action(strip, [100, 58]), [0, 21])
    np.testing.assert_allclose(keys.to_scene(strip, FRAMES), frames)
    np.testing.assert_allclose(
        keys.values_at(strip, 100.0 - 2.0 * FINE), keys.values_at(curve, FINE)
    )
    into, out = keys.slopes_at_key(curve, 3)
    assert keys.slopes_at_key(strip, 3) == pytest.approx((-0.5 * out, -0.5 * into))
    moved = keys.with_frame(strip, 1, 88.0)  # frame 6 of the action
    assert moved.action_frames == (1.0, 6.0, 8.0, 14.0, 21.0)
    assert moved.frames == (98.0, 88.0, 84.0, 72.0, 58.0)


def test_a_key_that_lands_on_another_takes_its_place_and_may_pass_others():
    moved = keys.with_frame(curve_of(), 1, 14.0)
    assert moved.frames == (1.0, 8.0, 14.0, 21.0)
    assert moved.values == (0.0, 1.0, 2.0, 6.0)


def test_smoothing_a_linear_key_bends_what_arrives_and_what_leaves():
    broken = curve_of((0.0, 1.0, 4.0), (0.0, 4.0, 8.0), "LINEAR", "VECTOR")
    assert keys.slopes_at_key(broken, 1) == pytest.approx((0.25, 0.75))
    mended = keys.smoothed(broken, [1])
    assert mended.interpolation == ("BEZIER", "BEZIER", "LINEAR")
    assert mended.handle_types[1] == ("AUTO_CLAMPED", "AUTO_CLAMPED")
    into, out = keys.slopes_at_key(mended, 1)
    assert into == pytest.approx(out)
    assert 0.25 < into < 0.75


def test_clamped_handles_stay_between_the_keys():
    rng = np.random.default_rng(5)
    frames = np.cumsum(rng.integers(1, 9, 40)).astype(float)
    curve = curve_of(rng.normal(size=40), frames, handles="AUTO_CLAMPED")
    for k in range(39):
        inside = keys.values_at(curve, np.linspace(frames[k], frames[k + 1], 50))
        low, high = sorted(curve.values[k : k + 2])
        assert low - 1e-9 <= inside.min()
        assert inside.max() <= high + 1e-9


def test_a_clip_tells_what_is_uncommon_and_loads_without_it():
    curve = curve_of()
    told = curve.to_json()
    assert not {"easing", "extrapolation", "time_scale", "cycles", "weight", "owner"} & set(told)
    old = Curve.from_json(told)
    assert old == curve
    np.testing.assert_allclose(keys.values_at(old, FINE), keys.values_at(curve, FINE))
    assert keys.to_action(replace(old, frames=(2.0, 10.0, 16.0, 28.0, 42.0)), [20])[0] == 10.0


def test_five_thousand_keys_are_no_burden():
    frames, values = np.arange(5000.0), np.sin(np.arange(5000.0) / 9)
    curve = keys.with_value(curve_of(values, frames), 2500, 3.0)
    assert keys.values_at(curve, [2500.0])[0] == 3.0


def test_a_strip_that_repeats_plays_its_first_round_again_and_holds_its_ends():
    """Two rounds and a half of four frames at half speed, from frame 11 on."""
    line = curve_of((0.0, 4.0), (1.0, 5.0), "LINEAR", "VECTOR")
    strip = replace(
        line,
        frames=(11.0, 19.0),
        time_scale=2.0,
        strip="run",
        strip_frames=(11.0, 31.0),
        rounds=(2.5, 8.0),
    )
    frames = [0, 11, 15, 18.5, 19, 23, 27, 29, 31, 99]
    np.testing.assert_allclose(keys.values_at(strip, frames), [0, 0, 2, 3.75, 0, 2, 0, 1, 2, 2])
    whole = replace(strip, strip_frames=(11.0, 27.0), rounds=(2.0, 8.0))
    np.testing.assert_allclose(keys.values_at(whole, [19, 26.5, 27, 99]), [0, 3.75, 4, 4])


def test_how_much_of_a_curve_arrives():
    strip = curve_of(weight=((0.0, 0.0), (10.0, 0.5), (20.0, 0.5)), blend="SUBTRACT")
    np.testing.assert_allclose(keys.weights_at(strip, [-3, 5, 30]), [0, -0.25, -0.5])
    np.testing.assert_allclose(keys.weights_at(curve_of(), [1, 2]), 1.0)
