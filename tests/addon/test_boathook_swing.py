# SPDX-License-Identifier: GPL-3.0-or-later
"""The porter's swing: the pole keeps off the body, the tip arrives last, the camera sees it."""

import bpy
import numpy as np
import pytest
from bpy_extras.object_utils import world_to_camera_view
from mathutils import Vector
from recorded import assert_checks_find_what_was_planted, record
from stepped import SIDES, built

from demo_scenes.porter import boathook_swing
from demo_scenes.porter.boathook_swing.timing import HITS, LAST, SETTLED, STRIKES, WOUND_UP

HEAD_M = 0.1  # about half of a head, front to back


@pytest.fixture(scope="module")
def polished():
    return record(boathook_swing, polished=True)


@pytest.fixture(scope="module")
def first():
    return record(boathook_swing, polished=False)


def frames_of(check):
    (found,) = [each["frames"] for each in boathook_swing.PLANTED if each["check"] == check]
    return found


def from_head(seen):
    """(T,) metres from the pole to the middle of the head."""
    pole = (
        seen.pole[:, 0, None]
        + np.linspace(0, 1, 200)[:, None] * (seen.pole[:, 1] - seen.pole[:, 0])[:, None]
    )
    head = 0.5 * (seen.heads["head"] + seen.tails["head"])
    return np.linalg.norm(pole - head[:, None], axis=-1).min(axis=1)


def wrist(seen):
    """(T,) degrees between the forearm and the pole."""
    arm = seen.tails["forearm.R"] - seen.heads["forearm.R"]
    way = seen.pole[:, 1] - seen.pole[:, 0]
    cosine = np.sum(arm * way, axis=-1)
    return np.degrees(
        np.arccos(cosine / np.linalg.norm(arm, axis=-1) / np.linalg.norm(way, axis=-1))
    )


def test_the_scene_plays_once_for_three_seconds(polished):
    assert (polished.frames[0], polished.frames[-1]) == (1, LAST)
    rig = built(boathook_swing, polished=True)
    scene, action = bpy.context.scene, rig.animation_data.action
    assert (scene.name, scene.render.fps) == ("boathook_swing", 24)
    assert action.name == "boathook_swing"
    assert not action.use_cyclic


@pytest.mark.parametrize("side", SIDES)
def test_feet_stand_and_knees_stay_bent(polished, side):
    assert polished.drift(f"ball.{side}", 1, LAST).max() < 2e-3
    assert polished.drift(f"heel.{side}", 1, LAST).max() < 2e-3
    assert polished.knee(side).min() > 8.0
    assert np.abs(np.diff(polished.knee(side), n=2)).max() < 8.0


def test_nothing_goes_under_the_floor(polished, first):
    for seen in (polished, first):
        assert seen.lowest.min() > -3e-3
        assert seen.pole[..., 2].min() > 0.03


def test_the_pole_is_swung_over_the_shoulder_and_down(polished):
    way = polished.pole[:, 1] - polished.pole[:, 0]
    height = np.degrees(np.arcsin(way[:, 2] / np.linalg.norm(way, axis=-1)))
    back = way[polished.at(WOUND_UP)]
    assert back[1] > 0.3, "its point behind him"
    assert height[polished.at(WOUND_UP)] > 15.0
    assert height[polished.span(HITS, SETTLED)].min() < -10.0
    assert abs(height[polished.at(SETTLED)]) < 10.0
    assert way[polished.at(SETTLED), 1] < -1.5, "and ahead of him in the end"


def test_the_tip_arrives_after_the_arm(polished):
    """By the lowest of each: the elbow straightens first, the wrist opens over the next frames."""
    elbow = polished.bend("upper_arm.R", "forearm.R")
    strike = polished.span(STRIKES, SETTLED)
    arm = polished.frames[strike][np.argmin(elbow[strike])]
    tip = polished.frames[strike][np.argmin(polished.pole[strike, 1, 2])]
    assert HITS <= arm <= HITS + 5
    assert abs(tip - arm) <= 2
    opened = np.abs(np.diff(wrist(polished)))
    fastest = polished.frames[strike][np.argmax(opened[strike])]
    bends = polished.frames[strike][np.argmax(np.abs(np.diff(elbow))[strike])]
    assert fastest > bends + 0.5, "the wrist opens after the elbow"


def test_the_pole_keeps_off_the_head_and_cuts_into_it_in_the_first_pass(polished, first):
    assert from_head(polished).min() > HEAD_M + 0.03
    a, b = frames_of("prop_clash")
    cut = from_head(first)[first.span(a, b)]
    assert cut.min() < HEAD_M - 0.03


def test_the_wrist_is_locked_through_the_strike_in_the_first_pass(polished, first):
    inside = first.span(STRIKES, 30)
    assert np.ptp(wrist(first)[inside]) < 0.5
    assert np.ptp(wrist(polished)[inside]) > 15.0
    way = first.tails["forearm.R"] - first.heads["forearm.R"]
    ends = way[[inside.start, inside.stop - 1]] / np.linalg.norm(way[0])
    assert np.degrees(np.arccos(ends[0] @ ends[1])) > 90.0


def seen_lengths(*, polished, frames):
    """The pole's length on the picture by Blender's own projection, over that of a pole as long
    square to the camera at the same distance."""
    built(boathook_swing, polished=polished)
    scene = bpy.context.scene
    size = (scene.render.resolution_x, scene.render.resolution_y)

    def on_picture(points):
        seen = [world_to_camera_view(scene, scene.camera, each) for each in points]
        return np.linalg.norm((np.array(seen[0])[:2] - np.array(seen[1])[:2]) * size)

    found = []
    for frame in frames:
        scene.frame_set(frame)
        hook = bpy.data.objects["boathook"].matrix_world
        ends = [hook @ Vector((0.0, y, 0.0)) for y in (-0.98, 1.235)]
        across = scene.camera.matrix_world.to_3x3().col[0] * 0.5 * (ends[1] - ends[0]).length
        middle = (ends[0] + ends[1]) / 2.0
        found.append(on_picture(ends) / on_picture((middle - across, middle + across)))
    return np.array(found)


def test_the_pole_points_at_the_camera_in_the_first_pass():
    frames = range(42, 51)
    assert seen_lengths(polished=False, frames=frames).max() < 0.15
    assert seen_lengths(polished=True, frames=frames).min() > 0.5


def test_the_first_pass_differs_exactly_where_it_was_planted(polished, first):
    """By the pole: a wrist that twists about the hand moves no bone's end."""
    apart = np.linalg.norm(first.pole - polished.pole, axis=-1).max(axis=1)
    planted = np.zeros(len(apart), dtype=bool)
    for check in ("prop_clash", "stiff_prop", "edge_on"):
        planted[first.span(*frames_of(check))] = True
    assert apart[planted].min() > 1e-3
    assert apart[~planted].max() < 2e-5
    for bone in set(first.tails) - {"hand.R"}:
        assert np.abs(first.tails[bone] - polished.tails[bone]).max() < 2e-5


def test_the_checks_find_what_was_planted_and_nothing_else(ext):
    assert_checks_find_what_was_planted(ext, boathook_swing)
