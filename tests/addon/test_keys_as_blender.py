# SPDX-License-Identifier: GPL-3.0-or-later
"""Curves played and edited without Blender give what Blender gives."""

import bpy
import numpy as np
import pytest
import rigs

from analysis import keys

SEEDS = range(60)
INTERPOLATIONS = (
    *("BEZIER",) * 8,
    *("CONSTANT", "LINEAR", "BACK", "BOUNCE", "CIRC", "CUBIC", "ELASTIC"),
    *("EXPO", "QUAD", "QUART", "QUINT", "SINE"),
)
PLAIN = ("BEZIER", "CONSTANT", "LINEAR")
HANDLES = ("FREE", "AUTO", "VECTOR", "ALIGNED", "AUTO_CLAMPED")
CYCLES = ("NONE", "REPEAT", "REPEAT_OFFSET", "MIRROR")


@pytest.fixture
def read(ext):
    def one(item):
        (curve,) = ext.addon.sampling.read_curves(item)
        return curve

    return one


def empty_object():
    item = bpy.data.objects.new("mover", None)
    bpy.context.scene.collection.objects.link(item)
    item.location.x = 0.0
    item.keyframe_insert("location", index=0, frame=1)
    return item


def fcurve_of(item):
    (found,) = rigs.fcurves(item)
    return found


def random_curve(seed):
    """An object with a curve of anything: level keys, overlapping handles, keys off the frames."""
    rng = np.random.default_rng(seed)
    item, count = empty_object(), int(rng.integers(2, 9))
    curve = fcurve_of(item)
    curve.keyframe_points.clear()
    frames = np.cumsum(rng.choice([0.5, 1, 2, 3, 4, 7, 12, 30], count)) + 1.0
    kinds = HANDLES if seed % 3 else ("AUTO_CLAMPED",)
    for frame in frames:
        curve.keyframe_points.insert(frame, rng.choice([0.0, 1.0, rng.normal()]))
    for key in curve.keyframe_points:
        key.interpolation = rng.choice(INTERPOLATIONS if seed % 2 else ("BEZIER",))
        key.easing = rng.choice(["AUTO", "EASE_IN", "EASE_OUT", "EASE_IN_OUT"])
        key.back, key.amplitude = rng.uniform(0, 3), rng.choice([0.0, rng.uniform(0, 3)])
        key.period = rng.choice([0.0, rng.uniform(1, 9)])
        key.handle_left_type, key.handle_right_type = rng.choice(kinds), rng.choice(kinds)
        # Free and aligned handles, some of them far beyond the next key.
        key.handle_left = (key.co.x - rng.exponential(6), key.co.y + rng.normal())
        key.handle_right = (key.co.x + rng.exponential(6), key.co.y + rng.normal())
    curve.extrapolation = rng.choice(["CONSTANT", "LINEAR"])
    curve.auto_smoothing = rng.choice(["CONT_ACCEL", "CONT_ACCEL", "NONE"])
    if rng.random() < 0.6:
        made = curve.modifiers.new("CYCLES")
        modes = CYCLES if rng.random() < 0.5 else CYCLES[1:3]  # the latter handles know of
        made.mode_before, made.mode_after = rng.choice(modes), rng.choice(modes)
        if rng.random() < 0.3:
            made.cycles_before, made.cycles_after = map(int, rng.integers(0, 3, 2))
    curve.update()
    return item, rng


def compare(curve, fcurve, within=1e-5):
    """Both on every quarter frame, from a round before the keys to a round after."""
    first, last = curve.frames[0], curve.frames[-1]
    length = max(last - first, 4.0)
    frames = np.arange(np.floor(first - 1.25 * length), last + 1.25 * length, 0.25)
    theirs = np.array([fcurve.evaluate(frame) for frame in frames])
    size = 1.0 + np.abs(theirs) + np.ptp(curve.values)
    np.testing.assert_array_less(np.abs(keys.values_at(curve, frames) - theirs) / size, within)


def compare_handles(curve, other):
    for name in ("action_frames", "values", "handle_left", "handle_right", "handle_types"):
        mine, theirs = getattr(curve, name), getattr(other, name)
        if name == "handle_types":
            assert mine == theirs
        else:
            size = 1.0 + np.abs(np.array(theirs)).max()
            np.testing.assert_allclose(mine, theirs, atol=1e-5 * size, rtol=0, err_msg=name)


@pytest.mark.parametrize("seed", SEEDS)
def test_values_on_every_quarter_frame(read, seed):
    item, _rng = random_curve(seed)
    compare(read(item), fcurve_of(item))


@pytest.mark.parametrize("seed", SEEDS)
def test_handles_found_anew_are_those_that_blender_found(read, seed):
    curve = read(random_curve(seed)[0])
    compare_handles(keys.recomputed(curve), curve)


def remove(fcurve, n, _rng):
    fcurve.keyframe_points.remove(fcurve.keyframe_points[n])
    return lambda curve: keys.without_key(curve, n)


def change_value(fcurve, n, rng):
    value = float(np.float32(rng.normal()))
    fcurve.keyframe_points[n].co_ui[1] = value
    return lambda curve: keys.with_value(curve, n, value)


def move_in_time(fcurve, n, rng):
    """Past other keys too; never onto one."""
    frame = float(rng.integers(0, 60)) + 0.25
    fcurve.keyframe_points[n].co_ui[0] = frame
    return lambda curve: keys.with_frame(curve, n, frame)


def smooth(fcurve, n, rng):
    chosen = {n, int(rng.integers(len(fcurve.keyframe_points)))}
    for k in chosen:
        key = fcurve.keyframe_points[k]
        key.handle_left_type = key.handle_right_type = "AUTO_CLAMPED"
        key.interpolation = "BEZIER"
        if k:
            fcurve.keyframe_points[k - 1].interpolation = "BEZIER"
    return lambda curve: keys.smoothed(curve, chosen)


def interpolate(fcurve, n, rng):
    named = any(key.interpolation not in PLAIN for key in fcurve.keyframe_points)
    kind = str(rng.choice(INTERPOLATIONS if named else PLAIN))
    fcurve.keyframe_points[n].interpolation = kind
    return lambda curve: keys.with_interpolation(curve, n, kind)


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("edit", [remove, change_value, move_in_time, smooth, interpolate])
def test_the_same_edit_done_in_blender(read, edit, seed):
    item, rng = random_curve(seed)
    before, fcurve = read(item), fcurve_of(item)
    mine = edit(fcurve, int(rng.integers(len(before.values))), rng)(before)
    fcurve.update()
    after = read(item)
    compare_handles(mine, after)
    assert mine.interpolation == after.interpolation
    # Blender rounds the new handles, and a straight way out of one makes more of that.
    compare(mine, fcurve_of(item), within=2e-5)


@pytest.mark.parametrize("seed", range(20))
def test_slopes_at_keys_are_those_of_what_blender_plays(read, seed):
    """Measured over a small step on each side, where the curve has no bend beside its key."""
    item, _rng = random_curve(2 * seed)  # of Bezier segments
    curve, fcurve = read(item), fcurve_of(item)
    for n in range(1, len(curve.values) - 1):
        into, out = keys.slopes_at_key(curve, n)
        at = curve.frames[n]
        for slope, side in ((into, -1), (out, 1)):
            near, far = (fcurve.evaluate(at + side * step) for step in (0.004, 0.012))
            measured = side * (far - near) / 0.008
            bend = abs(fcurve.evaluate(at + side * 0.02) - 2 * far + near) / 0.008
            assert slope == pytest.approx(measured, abs=0.02 + 20 * bend)


def test_whole_numbers_and_switches_step(ext):
    item = empty_object()
    item.animation_data_clear()
    item["mood"], item["two"] = 1, [1, 2]
    for frame, mood, shown in ((1, -3, True), (9, 4, False), (20, 0, True)):
        item["mood"], item["two"], item.show_in_front = mood, [mood, 2], shown
        for path in ('["mood"]', '["two"]', "show_in_front"):
            item.keyframe_insert(path, frame=frame)
    for fcurve in rigs.fcurves(item):
        fcurve.extrapolation = "LINEAR"
        for key in fcurve.keyframe_points:
            key.interpolation = "LINEAR"
        fcurve.update()
    curves = ext.addon.sampling.read_curves(item)
    assert {c.channel: c.steps for c in curves} == {
        '["mood"]': "WHOLE",
        '["two"][0]': "WHOLE",
        '["two"][1]': "WHOLE",
        "show_in_front": "HELD",
    }
    for curve, fcurve in zip(curves, rigs.fcurves(item), strict=True):
        frames = np.arange(-5, 30, 0.25)
        theirs = [fcurve.evaluate(frame) for frame in frames]
        np.testing.assert_array_equal(keys.values_at(curve, frames), theirs)
