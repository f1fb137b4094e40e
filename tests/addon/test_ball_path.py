# SPDX-License-Identifier: GPL-3.0-or-later
"""The ball's path and turns by its own curves are those that Blender shows."""

import bpy
import numpy as np
import pytest
import rigs


def ball():
    rigs.biped()
    rigs.every_frame()
    assert bpy.ops.plumbline.bake_sphere() == {"FINISHED"}
    return next(item for item in bpy.context.scene.objects if "plumbline_sphere_of" in item)


def shown(sphere, frames):
    """(T,4,4) the ball in the real scene."""
    scene, found = bpy.context.scene, []
    for frame in frames:
        scene.frame_set(frame)
        graph = bpy.context.evaluated_depsgraph_get()
        found.append(np.array(sphere.evaluated_get(graph).matrix_world))
    return np.array(found)


def turned(turns):
    """(T,3,3) of quaternions (T,4)."""
    from mathutils import Quaternion

    return np.array([Quaternion(each).to_matrix() for each in turns])


@pytest.mark.parametrize("mode", ["XYZ", "ZXY", "QUATERNION", "AXIS_ANGLE"])
def test_path_and_turns_are_what_blender_shows(ext, mode):
    scene, sphere = bpy.context.scene, ball()
    scene.render.frame_map_old, scene.render.frame_map_new = 100, 125
    scene.unit_settings.system, scene.unit_settings.scale_length = "METRIC", 0.01
    sphere.rotation_mode = mode
    name = {"QUATERNION": "rotation_quaternion", "AXIS_ANGLE": "rotation_axis_angle"}.get(
        mode, "rotation_euler"
    )
    width = len(getattr(sphere, name))
    for frame, value in ((3, 0.1), (21, 1.3), (30, -0.8)):
        setattr(sphere, name, (value, 0.4, 0.2, 0.3)[:width])
        sphere.keyframe_insert(name, frame=frame)
    frames = range(1, 50)
    there = shown(sphere, frames)
    path = ext.addon.sphere.path
    assert path.ball_path(scene, sphere, frames) == pytest.approx(0.01 * there[:, :3, 3], abs=1e-8)
    turns = path.ball_turns(scene, sphere, frames)
    assert (turns[1:] * turns[:-1]).sum(axis=1).min() > 0.0
    assert turned(turns) == pytest.approx(there[:, :3, :3], abs=2e-6)
    assert path.key_frames(scene, sphere) == [1.25 * n for n in range(1, 41)]
    both = path.key_frames(scene, sphere, rotation=True)
    assert {3.75, 26.25, 37.5} <= set(both)


def test_what_no_key_moves_stays_as_it_is_set(ext):
    scene, sphere = bpy.context.scene, ball()
    curves = rigs.fcurves(sphere)
    curves[1].mute = True
    sphere.location.y = 0.7
    assert ext.addon.sphere.path.ball_path(scene, sphere, [4, 9])[:, 1] == pytest.approx(0.7)


def test_another_file_begins_with_the_usual_choices(ext):
    session = bpy.context.window_manager.plumbline
    session.sphere.on, session.sphere.error_m = "COM", 0.02
    ext.addon.ui.session.forget(session)
    assert (session.sphere.on, session.sphere.error_m) == ("ROOT", pytest.approx(0.005))
