# SPDX-License-Identifier: GPL-3.0-or-later
"""Where a finding is seen from: square to how the point goes and to how it is off."""

from dataclasses import replace

import numpy as np
import pytest
from figures import figure, spike
from filmed import ASPECT, SPREAD, filmed, lens, look_at
from test_edge_on import rolled

from analysis import Settings
from analysis import quaternions as quat
from analysis.picture import Picture
from analysis.pipeline import examine
from analysis.square_view import (
    FILLS,
    camera_text,
    nearer_side,
    normal_of,
    place_on,
    sight_of,
    view_distance,
    view_turn,
)

X, Y, Z = np.eye(3)


def popped(way, clip=figure, checks=("pop",)):
    """An examination whose root, on its way along -Y, is 5 cm off at sample 24, and its finding."""
    shift = spike(48, 24, 0.05)[:, None] * np.asarray(way, dtype=float)
    found = examine(clip(frames=48, shift=shift), Settings(checks=checks))
    return found, found.shot.findings[0]


@pytest.mark.parametrize(("way", "seen_along"), [(X, Z), (Z, X)])
def test_a_pop_is_seen_square_to_its_way_and_to_the_jump(way, seen_along):
    """Off to the side it is seen from above, off upwards from the side."""
    sight = sight_of(*popped(way))
    assert abs(sight.direction @ seen_along) > 0.99
    assert np.linalg.norm(sight.direction) == pytest.approx(1.0)


def test_it_looks_at_the_point_on_its_frame_from_as_far_as_the_part_is_large():
    found, finding = popped(Z)
    body = found.basis.body("root")
    sight = sight_of(found, finding)
    assert sight.point == pytest.approx(found.basis.marks[24, body, 0])
    assert sight.size_m == pytest.approx(found.basis.height.scene_m)
    limb = sight_of(found, replace(finding, part="hand.L", point="hand.L"))
    assert limb.size_m == pytest.approx(sight.size_m / 2.0)


@pytest.mark.parametrize("check", ["sink", "slide", "stomp"])
def test_what_is_the_floor_s_is_seen_from_the_side(check):
    found, finding = popped(X)
    sight = sight_of(found, replace(finding, check=check))
    assert sight.direction[2] == pytest.approx(0.0, abs=1e-9)
    assert abs(sight.direction[0]) > 0.95  # it travels along Y, and sways a little


def test_a_blade_is_seen_from_its_face():
    clip = rolled(0.05, 20)
    found = examine(clip, Settings(checks=("edge_on",), space="camera"))
    finding = next(each for each in found.shot.findings if each.check == "edge_on")
    at = int(np.abs(clip.frames - finding.peak_frame).argmin())
    joint = clip.joint(clip.meta.props[0].joint)
    own = {
        name.rpartition(" ")[2]: offset
        for name, offset in zip(clip.points, clip.point_offset, strict=True)
    }
    face = quat.rotate(
        clip.rotations[at, joint],
        np.cross(own["tip"] - own["base"], own["edge"] - own["back"]),
    )
    direction = sight_of(found, finding).direction
    assert abs(direction @ face) / np.linalg.norm(face) == pytest.approx(1.0, abs=1e-3)


def test_ways_without_a_plane():
    """Along one line, or too short: an upright plane along the way, or along where it faces."""
    assert normal_of(Y, Y, -Y, 0.01) == pytest.approx(X)
    assert normal_of(Y, 0.001 * X, -Y, 0.01) == pytest.approx(X)
    assert normal_of(0.001 * X, 0.001 * Z, -Y, 0.01) == pytest.approx(-X)
    assert abs(normal_of(Z, Z, -Y, 0.01) @ X) == pytest.approx(1.0)
    assert np.linalg.norm(normal_of(Z, Z, Z, 0.01)) == pytest.approx(1.0)


def test_a_view_is_upright_and_turns_the_shorter_way():
    direction = np.array([0.6, -0.64, 0.48])
    axes = quat.to_matrices(view_turn(direction, Z))
    assert axes[:, 2] == pytest.approx(direction)
    assert axes[2, 0] == pytest.approx(0.0)  # right is level
    assert axes[2, 1] > 0.0
    down = quat.to_matrices(view_turn(Z, Y))
    assert down == pytest.approx(np.eye(3))  # Blender's own view from the top
    assert nearer_side(X, np.array([-0.2, 0.9, 0.0])) == pytest.approx(-X)


def test_what_is_looked_at_fills_the_shorter_side():
    """At its distance a view 1600 pixels wide shows distance * 72 / lens of a width."""
    for width, height in ((1600.0, 900.0), (900.0, 1600.0)):
        distance = view_distance(1.7, 50.0, width, height)
        shown = distance * 72.0 / 50.0 * min(width, height) / max(width, height)
        assert shown * FILLS == pytest.approx(1.7)


def test_where_a_point_is_on_the_picture():
    picture = Picture(look_at((0, -5, 1), (0, 0, 1))[None], lens()[None])
    half = 5.0 * SPREAD  # metres from the middle of the picture to its top
    for point, where in (
        ((0.0, 0.0, 1.0), ""),
        ((0.99 * half * ASPECT, 0.0, 1.0 + 0.99 * half), ""),
        ((1.01 * half * ASPECT, 0.0, 1.0), "to the right"),
        ((-2.0 * half * ASPECT, 0.0, 1.0 + 1.5 * half), "to the left"),
        ((0.0, 0.0, 1.0 + 1.01 * half), "above"),
        ((0.0, 0.0, 1.0 - 1.01 * half), "below"),
        ((0.0, -6.0, 1.0), "behind"),
    ):
        assert place_on(picture, np.array(point)) == where


def test_the_camera_s_sentence():
    found, finding = popped(Z, clip=lambda **how: filmed(figure(**how)))
    assert camera_text(found, finding) == ""  # it is seen
    assert camera_text(*popped(Z)) == ""
    eye, target = (0, -200, 1), (0, -300, 1)
    away = replace(found.basis.clip, camera_pose=np.tile(look_at(eye, target), (48, 1, 1)))
    found = replace(found, basis=replace(found.basis, clip=away))
    assert camera_text(found, finding) == "Not on camera here: behind it."
