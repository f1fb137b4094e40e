# SPDX-License-Identifier: GPL-3.0-or-later
"""Trails before the camera lie where Blender's own projection had their points; without a GPU."""

import bpy
import numpy as np
import pytest
import rigs
from bpy_extras.object_utils import world_to_camera_view
from drawn import camera, fresh_session, now, pick, picture
from mathutils import Matrix

PIXELS = np.array([1920.0, 1080.0])


def moving(kind):
    """A camera that travels, turns, zooms and shifts, at another scale than its picture has; a
    leaning one hangs on what is turned and scaled unevenly."""
    made = camera("ORTHO" if kind == "ORTHO" else "PERSP")
    made.scale = (2.0, 2.0, 2.0)
    render = bpy.context.scene.render
    render.resolution_x, render.resolution_y = (int(size) for size in PIXELS)
    base, turn = made.location.copy(), made.rotation_euler.copy()
    rigs.key(made, "location", [base, base + rigs.Vector((1.0, 0.5, -0.4)), base * 1.2])
    rigs.key(made, "rotation_euler", [turn, (turn[0] + 0.1, turn[1] + 0.2, turn[2] - 0.1), turn])
    lens = ("ortho_scale", [4.0, 2.5, 6.0]) if kind == "ORTHO" else ("lens", [50.0, 80.0, 35.0])
    rigs.key(made.data, *lens)
    rigs.key(made.data, "shift_x", [0.0, 0.2, -0.1])
    rigs.key(made.data, "shift_y", [0.1, -0.1, 0.0])
    if kind == "LEANING":
        made.parent = bpy.data.objects.new("dolly", None)
        made.parent.scale, made.parent.rotation_euler = (1.3, 1.0, 0.8), (0.1, 0.2, 0.3)
        bpy.context.scene.collection.objects.link(made.parent)
    return made


@pytest.mark.parametrize("kind", ["PERSP", "ORTHO", "LEANING"])
def test_a_dot_lies_where_the_picture_of_its_frame_had_it(ext, kind):
    session, scene = fresh_session(ext), bpy.context.scene
    rig, made = rigs.biped(), moving(kind)
    scene.unit_settings.system, scene.unit_settings.scale_length = "METRIC", 0.5
    bpy.ops.plumbline.check()
    pick(session, "foot.L")
    session.trails.finding, session.trails.space = False, "camera"
    (trace,) = picture(ext).traces
    seen = {}
    for frame in (1, 9, 17, 33, 40):
        scene.frame_set(frame)
        head = rig.matrix_world @ rig.pose.bones["foot.L"].head
        seen[frame] = world_to_camera_view(scene, made, head)
    for current in (1, 20, 40):
        scene.frame_set(current)
        assert picture(ext).traces[0] is trace  # nothing hangs on the playhead
        place = ext.addon.overlay.draw.place_of(bpy.context)
        for frame, (x, y, depth) in seen.items():
            kept = rigs.Vector(trace.points[trace.frames.tolist().index(frame)])
            found = world_to_camera_view(scene, made, place @ kept)
            off = (np.array(found[:2]) - (x, y)) * PIXELS
            assert np.abs(off).max() < 1.0, (current, frame)
            assert found[2] == pytest.approx(depth, abs=1e-4)


def test_what_was_behind_the_camera_is_not_drawn_and_a_cut_is_not_bridged(ext):
    session, scene = fresh_session(ext), bpy.context.scene
    rigs.biped()
    made = camera()
    other = bpy.data.objects.new("other", made.data)
    scene.collection.objects.link(other)
    bpy.context.view_layer.update()
    other.matrix_world = made.matrix_world @ Matrix.Rotation(np.pi, 4, "Y")
    for frame, each in ((1, made), (20, other), (30, made)):
        scene.timeline_markers.new(str(frame), frame=frame).camera = each
    bpy.ops.plumbline.check()
    session.trails.finding, session.trails.space = False, "camera"
    trace = picture(ext).traces[0]
    assert trace.frames.tolist() == [*range(1, 20), *range(30, 41)]
    lines = ext.addon.overlay.strokes.trail_lines([trace], 1.0)
    assert 19.0 not in lines.frames[:, 0]
    assert len(lines) == 28


def test_without_a_camera_dots_stand_in_the_world(ext):
    session = fresh_session(ext)
    rigs.biped()
    bpy.ops.plumbline.check()
    session.trails.space = "camera"
    assert now(ext).choice.camera == ""
    camera()  # the check did not see it
    assert now(ext).choice.camera == ""
    bpy.ops.plumbline.check()
    assert now(ext).choice.camera == "deep"
    session.trails.space = "check"
    assert now(ext).choice.camera == ""
    session.space = "camera"
    bpy.ops.plumbline.check()
    assert now(ext).choice.camera == "deep"
