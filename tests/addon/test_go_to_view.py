# SPDX-License-Identifier: GPL-3.0-or-later
"""The view at a finding: centred on it, square to it and back, as the user has it else."""

import bpy
import numpy as np
import pytest
import rigs
from drawn import fresh_session


def view():
    """The only 3D view, with its editor and region."""
    areas = bpy.context.window_manager.windows[0].screen.areas
    area = next(each for each in areas if each.type == "VIEW_3D")
    space = area.spaces.active
    return area, space, space.region_3d


def checked(ext, way=(0.0, 0.0, 0.2)):
    """A checked biped whose hips jump at frame 25, in a scene of half metres."""
    fresh_session(ext)
    bpy.context.scene.unit_settings.scale_length = 0.5
    rig = rigs.biped()
    for index, add in enumerate(way):
        if add:
            rigs.spike(rig.pose.bones["hips"], "location", index, 25, add)
    bpy.ops.plumbline.check()
    return rig, next(
        n
        for n, each in enumerate(bpy.context.window_manager.plumbline.findings)
        if each.frame == 25
    )


def test_centred_turned_and_back_exactly(ext):
    rig, line = checked(ext)
    area, space, region = view()
    space.lens = 35.0
    region.view_distance = 500.0
    turn = tuple(region.view_rotation)
    bpy.ops.plumbline.go_to(index=line)
    assert bpy.context.scene.frame_current == 25
    hips = rig.matrix_world @ rig.pose.bones["hips"].matrix
    assert tuple(region.view_location) == pytest.approx(hips.translation, abs=1e-4)
    assert tuple(region.view_rotation) == turn
    far = region.view_distance
    assert 1.0 < far < 20.0
    region.view_distance = far * 1.5  # the user's own, near enough
    bpy.ops.plumbline.go_to(index=line)
    assert region.view_distance == pytest.approx(far * 1.5)
    assert not bpy.ops.plumbline.view_back.poll()
    stood = ext.addon.ui.view_state.state_of(space)
    assert bpy.ops.plumbline.square_view() == {"FINISHED"}
    away = np.array(region.view_rotation.to_matrix())[:, 2]
    assert abs(away[2]) < 0.3  # the jump is upwards: from the side
    assert bpy.ops.plumbline.square_view() == {"FINISHED"}  # again: back goes to the first
    assert bpy.ops.plumbline.view_back() == {"FINISHED"}
    assert ext.addon.ui.view_state.state_of(space) == stood
    assert not ext.addon.ui.view_state.has_view(area)


def test_a_view_through_the_camera_stays_and_comes_back(ext):
    _rig, line = checked(ext)
    scene = bpy.context.scene
    camera = bpy.data.objects.new("shot", bpy.data.cameras.new("shot"))
    camera.location = (0.0, -8.0, 1.0)
    scene.collection.objects.link(camera)
    scene.camera = camera
    _area, space, region = view()
    for locked in (False, True):
        region.view_perspective, space.lock_camera = "CAMERA", locked
        region.view_camera_zoom, region.view_camera_offset = 12.0, (0.1, 0.2)
        stood = ext.addon.ui.view_state.state_of(space)
        bpy.ops.plumbline.go_to(index=line)
        assert ext.addon.ui.view_state.state_of(space) == stood
        bpy.ops.plumbline.square_view()
        assert (region.view_perspective, space.lock_camera) == ("PERSP", False)
        assert bpy.ops.plumbline.view_back() == {"FINISHED"}
        assert ext.addon.ui.view_state.state_of(space) == stood
        assert tuple(camera.location) == (0.0, -8.0, 1.0)
    bpy.ops.plumbline.square_view()
    bpy.ops.wm.read_homefile(use_empty=True)
    assert not bpy.ops.plumbline.view_back.poll()  # another file
