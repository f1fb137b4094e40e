# SPDX-License-Identifier: GPL-3.0-or-later
"""What changed channels do in the world, and other small parts of the search for causes.

World changes against scipy's Rotation: Blender turns by its first axis first, about fixed axes,
which are scipy's extrinsic (lower-case) orders.
"""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from scipy.interpolate import CubicHermiteSpline
from scipy.spatial.transform import Rotation
from test_keys import curve_of

from analysis.cause import Cause, KeyEdit
from analysis.causes.advice import key_advice
from analysis.causes.effect import world_changes
from analysis.causes.groups import Group
from analysis.causes.joints import _bridge
from analysis.causes.own_path import bump
from analysis.causes.repairs import VALUE, Repair, with_values
from analysis.causes.values import off_smoothest
from analysis.causes.words import edits_of, off_text

RNG = np.random.default_rng(7)
COUNT = 5
SAMPLES = np.arange(COUNT)


def group_of(name, axes, mode=""):
    curves = tuple(
        replace(curve_of(), channel=f"{name}.{axis}", index=n, rotation_mode=mode)
        for n, axis in enumerate(axes)
    )
    return Group("torso", name, curves, tuple(range(len(axes))))


def turns_by(name, values, mode):
    if name == "rotation_euler":
        return Rotation.from_euler(mode.lower(), values[:, ["XYZ".index(a) for a in mode]])
    if name == "rotation_quaternion":
        return Rotation.from_quat(values[:, [1, 2, 3, 0]])
    axis = values[:, 1:] / np.linalg.norm(values[:, 1:], axis=-1, keepdims=True)
    return Rotation.from_rotvec(values[:, :1] * axis)


def carried_by(scale):
    """(N,4,4) what carries the control: turned, elsewhere, and scaled alike on all axes."""
    carrier = np.tile(np.eye(4), (COUNT, 1, 1))
    carrier[:, :3, :3] = scale * Rotation.random(COUNT, random_state=3).as_matrix()
    carrier[:, :3, 3] = RNG.normal(size=(COUNT, 3))
    return carrier


def clip_of(group, values, matrices):
    return SimpleNamespace(
        channels=tuple(f"torso|{curve.channel}" for curve in group.curves),
        channel_values=values,
        control_matrices=matrices[:, None],
        meta=SimpleNamespace(controls=("torso",), curves=group.curves),
    )


ORDERS = ("XYZ", "XZY", "YXZ", "YZX", "ZXY", "ZYX")
TURNS = [("rotation_euler", "xyz", order) for order in ORDERS] + [
    ("rotation_quaternion", "wxyz", "QUATERNION"),
    ("rotation_axis_angle", "wxyz", "AXIS_ANGLE"),
]


@pytest.mark.parametrize("scale", [1.0, 1.7])
@pytest.mark.parametrize(("name", "axes", "mode"), TURNS)
def test_a_follower_turns_about_the_control_s_head_as_other_channels_turn_it(
    name, axes, mode, scale
):
    group = group_of(name, axes, mode)
    values, change = RNG.normal(size=(2, COUNT, len(axes)))
    change *= 0.3
    carrier = carried_by(scale)

    def matrix(channels):
        own = np.tile(np.eye(4), (COUNT, 1, 1))
        own[:, :3, :3] = turns_by(name, channels, mode).as_matrix()
        own[:, :3, 3] = (0.2, -0.4, 0.1)
        return carrier @ own

    before, after = matrix(values), matrix(values + change)
    moves = world_changes(clip_of(group, values, before), group, SAMPLES, change)
    np.testing.assert_allclose(moves, after @ np.linalg.inv(before), atol=1e-9)


@pytest.mark.parametrize("scale", [1.0, 1.7])
def test_a_follower_shifts_along_the_axes_of_what_carries_the_control(scale):
    group = group_of("location", "xyz")
    values, change = RNG.normal(size=(2, COUNT, 3))
    carrier = carried_by(scale)
    placed = [np.tile(np.eye(4), (COUNT, 1, 1)) for _ in range(2)]
    placed[0][:, :3, 3], placed[1][:, :3, 3] = values, values + change
    before, after = (carrier @ each for each in placed)
    moves = world_changes(clip_of(group, values, before), group, SAMPLES, change)
    np.testing.assert_allclose(moves, after @ np.linalg.inv(before), atol=1e-9)


@pytest.mark.parametrize("flat", [(0.0, 0.0, 0.0), (1.0, 0.0, 1.0)])
def test_what_is_scaled_to_nothing_turns_nothing_that_can_be_told(flat):
    group = group_of("rotation_euler", "xyz", "XYZ")
    values, change = RNG.normal(size=(2, COUNT, 3))
    matrices = carried_by(1.0)
    matrices[2:, :3, :3] *= flat
    moves = world_changes(clip_of(group, values, matrices), group, SAMPLES, change)
    np.testing.assert_array_equal(moves[2:], np.tile(np.eye(4), (COUNT - 2, 1, 1)))
    assert (np.abs(moves[:2] - np.eye(4)).max(axis=(1, 2)) > 0.01).all()


def test_a_raised_key_s_answer_is_a_cardinal_spline():
    """Against scipy's Hermite spline with the slopes of Catmull & Rom 1974, flat at the ends."""
    group = group_of("location", "x")
    frames, fine = np.array(group.frames), np.linspace(1.0, 21.0, 81)
    for n, frame in enumerate(frames):
        raised = np.eye(len(frames))[n]
        slopes = np.zeros(len(frames))
        slopes[1:-1] = (raised[2:] - raised[:-2]) / (frames[2:] - frames[:-2])
        expected = CubicHermiteSpline(frames, raised, slopes)(fine)
        np.testing.assert_allclose(bump(group, frame, fine), expected, atol=1e-12)


def test_the_smoothest_values_are_those_of_least_squares():
    group = group_of("location", "xyz")
    frames = np.arange(1.0, 22.0)
    values = RNG.normal(size=(len(frames), 3))
    basis = SimpleNamespace(frames=frames, clip=SimpleNamespace(channel_values=values))
    jerk = np.diff(np.eye(len(frames)), n=3, axis=0)
    expected = np.linalg.lstsq(
        (jerk @ bump(group, 8.0, frames))[:, None], -jerk @ values, rcond=None
    )[0][0]
    np.testing.assert_allclose(off_smoothest(basis, group, 8.0), expected, rtol=1e-9)


def test_a_bridge_keeps_every_cubic():
    samples, knots = np.arange(6, 10), [4, 5, 10, 11]
    times = np.arange(20.0)
    curves = np.stack([times**3 - 2.0 * times, 4.0 - times**2], axis=-1)
    broken = curves.copy()
    broken[6:10] += 5.0
    np.testing.assert_allclose(_bridge(broken, samples, knots), curves[6:10], rtol=1e-9)


@pytest.mark.parametrize(
    ("name", "axes", "shown"), [("rotation_euler", "xyz", 180.0 / np.pi), ("location", "xyz", 1.0)]
)
def test_edits_are_told_as_blender_s_fields_show_them(name, axes, shown):
    group = group_of(name, axes)
    mended = with_values(group, 8.0, np.array([1.0, 1.5, 0.9]))  # the first one stays
    edits = edits_of(Repair(VALUE, group, mended, 8.0))
    assert [each.channel for each in edits] == [f"{name}.y", f"{name}.z"]
    assert [each.frame for each in edits] == [8.0, 8.0]
    assert [each.before for each in edits] == pytest.approx([shown, shown])
    assert [each.after for each in edits] == pytest.approx([1.5 * shown, 0.9 * shown])


def cause(**told):
    return Cause(control="torso", channel="location", share=0.8, why="", frame=34.0, **told)


EDITS = tuple(
    KeyEdit(control="torso", channel=f"location.{axis}", frame=34.0, before=a, after=b)
    for axis, a, b in (("x", 0.2, 0.2001), ("z", 0.081, 0.042))
)
ADVICE = {
    "Give torso's location key on frame 34 smooth handles.": cause(mend="smooth"),
    "Move torso's location key on frame 34 to 33.": cause(mend="retime", to_frame=33.0),
    "Move torso's location key on frame 34 to 41, and give it and the key before it smooth "
    "handles.": cause(mend="spread", to_frame=41.0),
    "Give torso's location key on frame 34 and the key before it smooth handles.": cause(
        mend="spread", to_frame=34.0
    ),
    "Take the turn out of torso's location key on frame 34.": cause(mend="unwind"),
    "Change torso's location key on frame 34: z 0.081 to 0.042.": cause(mend="move", edits=EDITS),
    "": cause(),
}


@pytest.mark.parametrize("text", ADVICE)
def test_what_to_do_to_a_key_is_one_sentence(text):
    assert key_advice(ADVICE[text]) == text


def test_how_far_a_key_is_off_is_told_as_the_scene_shows_it():
    """In metres of the scene though what carries the control is larger, and in whole turns."""
    carrier = np.tile(np.diag([1.7, 1.7, 1.7, 1.0]), (COUNT, 1, 1))
    shift = np.zeros((COUNT, 3))
    shift[2] = (0.03, 0.0, 0.04)
    place, turn = group_of("location", "xyz"), group_of("rotation_quaternion", "wxyz", "QUATERNION")
    height = SimpleNamespace(to_story=1.0)
    shifted = SimpleNamespace(height=height, clip=clip_of(place, np.zeros((COUNT, 3)), carrier))
    assert off_text(shifted, place, SAMPLES, shift) == "8.5 cm"
    parts = np.tile([1.0, 0.0, 0.0, 0.0], (COUNT, 1))
    there = Rotation.from_euler("z", 40.0, degrees=True).as_quat()[[3, 0, 1, 2]]
    turned = SimpleNamespace(height=height, clip=clip_of(turn, parts, carrier))
    assert off_text(turned, turn, SAMPLES, there - parts) == "40.0 degrees"
