# SPDX-License-Identifier: GPL-3.0-or-later
"""What no contact can give: forces on figures that are moved by hand, told by statics."""

from dataclasses import replace

import numpy as np
import pytest
from figures import NAMES, figure
from test_hands_on_supports import standing
from test_push import RATE2
from toppling import TOES_Y, toppled
from walker import moved

from analysis import Settings, check_clip
from analysis import quaternions as quat
from analysis.basis import build_basis
from analysis.basis.mass import segment_rods
from analysis.outside_force import on_hands, outside_force

ASK = Settings(cycle="no", checks=("push",))
GRAVITY = 9.80665


def test_the_figure_s_moment_of_inertia():
    """Each segment by hand: m (y2 + z2) about the toes, and m L2 / 12 of an even rod."""
    basis = build_basis(toppled(np.zeros(40)), ASK)
    share, at, ends = segment_rods(basis)
    near, along = ends[:, 0, 0], ends[:, 1, 0] - ends[:, 0, 0]
    away = (near + at[:, None] * along - [0.0, TOES_Y, 0.0])[:, 1:]
    square = np.sum(away**2, axis=1) + np.sum(along[:, 1:] ** 2, axis=1) / 12.0
    height = np.linalg.norm(share @ away)
    assert pytest.approx(RATE2, rel=0.01) == GRAVITY * height / float(share @ square)


def test_nothing_is_left_of_a_figure_that_stands():
    """What bears it gives one body weight, upwards."""
    basis = build_basis(standing(24.0, 72, sway=0.0), ASK)
    forces = outside_force(basis)
    assert forces.felt[20:50] == pytest.approx(np.tile([0.0, 0.0, 1.0], (30, 1)), abs=1e-6)
    assert not forces.left.any()
    assert forces.judged[10:60].all()
    assert not forces.judged[:2].any()


def test_who_stands_on_his_hands_is_not_judged():
    """Turned upside down about the hands' height: feet in the air, hands on the floor."""
    clip = figure(frames=96, speed=0.0, floor_z=0.0)
    half_turn = np.array([0.0, 1.0, 0.0, 0.0])
    place = quat.rotate(np.broadcast_to(half_turn, (*clip.positions.shape[:-1], 4)), clip.positions)
    turns = quat.multiply(np.broadcast_to(half_turn, clip.rotations.shape), clip.rotations)
    hands = [NAMES.index("hand.L"), NAMES.index("hand.R")]
    place[..., 2] -= place[:, :, 2].min() - 1.0
    place[:, hands, 2] = 0.02
    upside = replace(clip, positions=place, rotations=quat.continuous(turns))
    basis = build_basis(upside, ASK)
    assert on_hands(basis)[10:80].any()
    assert not outside_force(basis).judged[on_hands(basis)].any()
    shot = check_clip(upside, ASK)
    assert not shot.findings


def jerked(way, body_weights, fps=60.0, count=120):
    """A figure that stands, all of it set going by a steady force for a quarter of a second, feet
    and all: its limbs do not swing, so that its weight and that force are all there is."""
    clip = standing(fps, count, sway=0.0)
    seconds = np.clip(np.arange(count) / fps - 0.8, 0.0, None)
    pushed = np.minimum(seconds, 0.25)
    gone = body_weights * GRAVITY * (0.5 * pushed**2 + pushed * (seconds - pushed))
    return moved(clip, np.outer(gone, way)), round((0.8 + 0.125) * fps)


def test_what_is_left_sideways_by_hand():
    """Friction holds .9, but as far as the feet are wide alone: what presses at the edge of the
    soles, x and 3 cm beside a centre of mass that is h up, pushes by x / h."""
    clip, at = jerked([1.0, 0.0, 0.0], 1.2)
    basis = build_basis(clip, ASK)
    forces = outside_force(basis)
    assert forces.felt[at] == pytest.approx([1.2, 0.0, 1.0], abs=0.01)
    touch = basis.touch_points
    places = touch.place[at][touch.touches[at]]
    # The body goes to its left, so that the ground would have to press at its right edge; what
    # touches within .1 s lies further back by what it went by then.
    back = touch.place[at - 6 : at + 1][touch.touches[at - 6 : at + 1]][:, 0].min()
    edge = basis.com[at, 0] - back + 0.03 * basis.height.scene_m / 1.7
    lever = basis.com[at, 2] - places[:, 2].mean()
    assert forces.left[at, 0] == pytest.approx(1.2 - edge / lever, abs=0.03)
    assert forces.left[at, 1:] == pytest.approx([0.0, 0.0], abs=0.03)


def test_what_pulls_down_is_left():
    """At one and a half times gravity downwards the ground would have to pull by half a weight."""
    clip, at = jerked([0.0, 0.0, -1.0], 1.5)
    deep = replace(clip, meta=replace(clip.meta, floor_z=0.0))
    forces = outside_force(build_basis(deep, ASK))
    assert forces.felt[at, 2] == pytest.approx(-0.5, abs=0.01)
    assert forces.left[at, 2] == pytest.approx(-0.5, abs=0.01)
