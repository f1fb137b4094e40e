# SPDX-License-Identifier: GPL-3.0-or-later
"""The camera's arithmetic against a pinhole written out by hand."""

from dataclasses import replace

import numpy as np
import pytest
from figures import figure
from pictures import ASPECT, eased, orthographic, panned, perspective, pose, right_of, shot

from analysis.camera_path import (
    SPREAD,
    figure_place,
    picture_steps,
    screen_travel,
)
from analysis.screen import picture_of

FRAMES = 24


def seen_by_hand(camera, points):
    """A pinhole: similar triangles, in per cent of the picture's height."""
    matrices = pose(camera)
    away = points - camera.place[:, None]
    x, y, z = (np.einsum("ti,tpi->tp", matrices[:, :3, k], away) for k in range(3))
    half_height = 1.0 / (camera.lens * ASPECT)  # of the picture one metre away
    scale = 100.0 / (2.0 * half_height[:, None] * -z)
    return np.stack((x * scale, y * scale), axis=-1)


def test_points_are_seen_where_a_pinhole_sees_them():
    clip = figure(frames=FRAMES)
    camera = panned(shot(clip), np.linspace(0.0, 0.4, FRAMES))
    camera = replace(camera, roll=np.linspace(0.0, 0.3, FRAMES), lens=np.linspace(2.0, 4.0, FRAMES))
    places, scale, _shows = picture_of(camera.seen(clip)).seen(clip.positions)
    assert (scale > 0.0).all()
    np.testing.assert_allclose(places, seen_by_hand(camera, clip.positions), atol=1e-9)


def test_the_scale_of_a_camera_object_does_not_count():
    clip = figure(frames=FRAMES)
    plain = shot(clip).seen(clip)
    large = np.array(plain.camera_pose)
    large[:, :3, :3] *= 3.0
    one, other = picture_of(plain), picture_of(replace(plain, camera_pose=large))
    np.testing.assert_allclose(one.seen(clip.positions)[0], other.seen(clip.positions)[0])


def test_what_is_behind_the_camera_is_not_seen():
    clip = figure(frames=FRAMES)
    camera = shot(clip)
    behind = (2.0 * camera.place - camera.target)[:, None]
    assert not picture_of(camera.seen(clip)).seen(behind)[2].any()


@pytest.mark.parametrize(
    "lens",
    [
        perspective(np.full(FRAMES, 2.5)),
        perspective(np.full(FRAMES, 2.5), shift=(0.3, -0.2)),
        orthographic(FRAMES, 5.0),
    ],
)
def test_points_at_a_depth_are_seen_where_they_were_asked_for(lens):
    clip = replace(shot(figure(frames=FRAMES)).seen(figure(frames=FRAMES)), camera_projection=lens)
    camera = picture_of(clip)
    depth = np.linspace(2.0, 9.0, FRAMES)
    points = camera.through(SPREAD, depth)
    away = points - camera.pose[:, None, :3, 3]
    along = -np.einsum("ti,tpi->tp", camera.pose[:, :3, 2], away)
    np.testing.assert_allclose(along, np.tile(depth[:, None], len(SPREAD)))
    wanted = np.broadcast_to(50.0 * SPREAD * [ASPECT, 1.0], (FRAMES, len(SPREAD), 2))
    np.testing.assert_allclose(camera.seen(points)[0], wanted, atol=1e-9)


def test_a_shift_runs_the_picture_the_other_way_by_its_size_there():
    clip = figure(frames=FRAMES, speed=0.0)
    camera = shot(clip)
    moved = camera.place + 0.02 * np.arange(FRAMES)[:, None] * right_of(camera)
    camera = replace(camera, place=moved, target=moved + camera.target - camera.place)
    steps = picture_steps(picture_of(camera.seen(clip)), figure_place(clip))
    away = -np.einsum("ti,ti->t", pose(camera)[:, :3, 2], figure_place(clip) - camera.place)
    expected = -0.02 * 100.0 * camera.lens * ASPECT / (2.0 * away)
    np.testing.assert_allclose(
        steps.whole[..., 0], np.tile(expected[:-1, None], len(SPREAD)), atol=1e-9
    )
    np.testing.assert_allclose(steps.whole[..., 1], 0.0, atol=1e-9)
    np.testing.assert_allclose(steps.parts["position"], steps.whole, atol=1e-9)
    assert max(np.abs(steps.parts[name]).max() for name in ("turn", "lens")) < 1e-9


def test_a_lens_grows_the_picture_from_its_middle():
    clip = figure(frames=FRAMES)
    camera = replace(shot(clip), lens=2.0 * 1.01 ** np.arange(FRAMES))
    steps = picture_steps(picture_of(camera.seen(clip)), figure_place(clip))
    wanted = np.broadcast_to(0.01 * 50.0 * SPREAD * [ASPECT, 1.0], steps.whole.shape)
    np.testing.assert_allclose(steps.parts["lens"], wanted, atol=1e-9)
    np.testing.assert_allclose(steps.whole, wanted, atol=1e-9)


def test_the_figure_s_place_bridges_gaps():
    clip = figure(frames=FRAMES)
    valid = np.ones(clip.positions.shape[:2], dtype=bool)
    valid[8:12] = False
    valid[3, 2:] = False
    place = figure_place(replace(clip, valid=valid))
    mean = clip.positions.mean(axis=1)
    np.testing.assert_allclose(place[20], mean[20])
    np.testing.assert_allclose(place[3], clip.positions[3, :2].mean(axis=0))
    np.testing.assert_allclose(place[9], mean[7] + 0.4 * (mean[12] - mean[7]))


def test_screen_travel_is_shared_between_camera_and_figure():
    clip = figure(frames=FRAMES)
    camera = shot(clip)
    no_cut = np.zeros(FRAMES, dtype=bool)
    place = figure_place(clip)
    whole, cameras, own = screen_travel(picture_of(camera.seen(clip)), place, no_cut)
    assert cameras == pytest.approx(0.0, abs=1e-9)
    assert whole == pytest.approx(own)
    way = np.diff(seen_by_hand(camera, place[:, None])[:, 0], axis=0)
    assert own == pytest.approx(np.linalg.norm(way, axis=-1).sum())
    still = np.tile(place[:1], (FRAMES, 1))
    turning = panned(camera, 0.2 * eased(FRAMES, 0, FRAMES - 1))
    whole, cameras, own = screen_travel(picture_of(turning.seen(clip)), still, no_cut)
    assert own == pytest.approx(0.0, abs=1e-9)
    assert cameras == pytest.approx(whole)
    assert whole > 10.0


def test_a_cut_is_no_travel():
    clip = figure(frames=FRAMES, speed=0.0)
    camera = panned(shot(clip), np.where(np.arange(FRAMES) < 10, 0.0, 0.3))
    cuts = np.arange(FRAMES) == 10
    place = np.tile(figure_place(clip)[:1], (FRAMES, 1))
    assert screen_travel(picture_of(camera.seen(clip)), place, cuts) == (0.0, 0.0, 0.0)
