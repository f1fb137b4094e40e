# SPDX-License-Identifier: GPL-3.0-or-later
"""The corpus's keyed curves, against scipy's splines and what handles promise."""

import numpy as np
import pytest
from scipy.interpolate import BPoly, CubicSpline

from analysis import keys
from analysis.curves import Curve
from tests.quality.splines import KINDS, PLAIN_REACH, spline

FRAMES = np.array([0.0, 4.0, 7.0, 13.0, 20.0])
VALUES = np.array([[0.0], [2.0], [1.0], [1.5], [6.0]])
FINE = np.linspace(0, 20, 401)


def test_auto_handles_are_a_spline_of_continuous_acceleration_with_flat_ends():
    oracle = CubicSpline(FRAMES, VALUES, bc_type="clamped")
    np.testing.assert_allclose(spline(FRAMES, VALUES, "auto").at(FINE), oracle(FINE), atol=1e-12)


def test_plain_handles_against_bernstein_polynomials():
    """Time and value of one segment as two Bernstein polynomials of the same parameter."""
    curve = spline(FRAMES, VALUES, "plain")
    slope = 0.5 * ((1.5 - 1.0) / 6 + (6.0 - 1.5) / 7)  # the mean of both neighbours' slopes
    assert curve.slopes_out[3, 0] == pytest.approx(min(slope, 0.5 / (PLAIN_REACH * 6)))
    arm = PLAIN_REACH * 6.0
    time = BPoly(np.array([[7.0], [7 + arm], [13 - arm], [13.0]]), [0, 1])
    heights = [1.0, 1.0, 1.5 - arm * curve.slopes_in[3, 0], 1.5]
    value = BPoly(np.array(heights)[:, None], [0, 1])
    u = np.linspace(0, 1, 30)
    np.testing.assert_allclose(curve.at(time(u))[:, 0], value(u), atol=1e-9)


@pytest.mark.parametrize("kind", KINDS)
def test_a_curve_goes_through_its_keys_and_is_held_beyond_them(kind):
    curve = spline(FRAMES, VALUES, kind)
    np.testing.assert_allclose(curve.at(FRAMES), VALUES, atol=1e-12)
    np.testing.assert_allclose(curve.at(np.array([-5.0, 25.0])), VALUES[[0, -1]], atol=1e-12)


@pytest.mark.parametrize("kind", ["clamped", "plain"])
def test_clamped_handles_never_leave_the_keys_range(kind):
    rng = np.random.default_rng(3)
    frames = np.cumsum(rng.integers(2, 9, 40)).astype(float)
    values = rng.normal(size=(40, 5))
    curve = spline(frames, values, kind)
    for k in range(39):
        inside = curve.at(np.linspace(frames[k], frames[k + 1], 50))
        low, high = np.minimum(*values[k : k + 2]), np.maximum(*values[k : k + 2])
        assert (inside >= low - 1e-9).all() and (inside <= high + 1e-9).all()


def test_equal_keys_hold_still():
    curve = spline(FRAMES, [[0.0], [3.0], [3.0], [3.0], [1.0]])
    np.testing.assert_allclose(curve.at(np.linspace(4, 13, 40)), 3.0, atol=1e-12)


def test_a_cyclic_curve_closes_with_its_travel():
    values = np.array([[0.0], [2.0], [1.0], [3.0], [4.0]])
    curve = spline(FRAMES, values, "clamped", cyclic=True)
    assert curve.slopes_out[0, 0] == pytest.approx(curve.slopes_in[-1, 0])
    assert curve.slopes_out[0, 0] > 0.0


def test_other_handles_are_refused():
    with pytest.raises(ValueError, match="handles are 'elastic'"):
        spline(FRAMES, VALUES, "elastic")


def blender_curve(frames, values, handles):
    """The same keys as a clip's curve, with handles as Blender finds them."""
    pairs = tuple(zip(frames.tolist(), values.tolist(), strict=True))
    return keys.recomputed(
        Curve(
            control="torso",
            channel="location.z",
            data_path="location",
            index=2,
            action="walk",
            strip=None,
            frames=tuple(frames.tolist()),
            action_frames=tuple(frames.tolist()),
            values=tuple(values.tolist()),
            interpolation=("BEZIER",) * len(frames),
            handle_left=pairs,
            handle_right=pairs,
            handle_types=((handles, handles),) * len(frames),
            key_types=("KEYFRAME",) * len(frames),
        )
    )


@pytest.mark.parametrize(("kind", "handles"), [("auto", "AUTO"), ("clamped", "AUTO_CLAMPED")])
def test_splines_are_blender_s_curves_or_nearly_so(kind, handles):
    """Automatic ones always; where clamps work on each other, one curve in ten is off by a
    little, as Blender lets handles go again that it held."""
    rng = np.random.default_rng(11)
    off = []
    for _ in range(60):
        frames = np.cumsum(rng.integers(2, 12, 9)).astype(float)
        values = np.cumsum(rng.normal(size=9))
        fine = np.linspace(frames[0], frames[-1], 120)
        ours = spline(frames, values[:, None], kind).at(fine)[:, 0]
        theirs = keys.values_at(blender_curve(frames, values, handles), fine)
        off.append(np.abs(ours - theirs).max() / np.ptp(values))
    assert np.quantile(off, 1.0 if kind == "auto" else 0.8) < 1e-9
    assert max(off) < 0.03
