# SPDX-License-Identifier: GPL-3.0-or-later
"""The pass before as a thin trail: the last check that was pressed before keys were changed."""

import bpy
import numpy as np
import pytest
from drawn import checked_session, pick


@pytest.fixture
def checked(ext):
    session = checked_session(ext)
    pick(session, "root")
    return session


def shown(ext):
    return ext.addon.ui.last_check.last_check()


def before(ext, title="root"):
    paths = ext.addon.ui.earlier_pass.earlier_of(shown(ext))
    return None if paths is None else paths.path(ext.analysis.trails.Spot(title))


def place(frame):
    bpy.context.scene.frame_set(frame)
    rig = bpy.data.objects["porter"]
    return np.array(rig.matrix_world @ rig.pose.bones["hips"].head)


def raise_hips(by):
    """At frame 20; where they are there before and after."""
    old = place(20)
    hips = bpy.data.objects["porter"].pose.bones["hips"]
    hips.location.z += by
    hips.keyframe_insert("location", frame=20)
    bpy.context.view_layer.update()
    return old, place(20)


def test_there_is_none_until_a_check_is_pressed_after_a_change(ext, checked):
    assert before(ext) is None
    bpy.ops.plumbline.check()
    assert before(ext) is None  # nothing has moved: it is the same pass
    old, new = raise_hips(0.3)
    assert np.linalg.norm(new - old) > 0.2
    bpy.ops.plumbline.check()
    frames, points = before(ext)
    assert frames.tolist() == list(range(1, 41))
    np.testing.assert_allclose(points[19], old, atol=1e-5)
    bpy.ops.plumbline.check()
    np.testing.assert_allclose(before(ext)[1][19], old, atol=1e-5)
    assert before(ext, "tail") is None
    assert len(before(ext, ext.analysis.trails.COM)[0]) == 40


def test_what_watch_brings_up_to_date_lies_beside_what_was_pressed(ext, checked):
    old, _new = raise_hips(0.3)
    one_check = ext.addon.ui.one_check.Check(bpy.context, watched=True)
    while not one_check.step():
        pass
    one_check.take(bpy.context)
    np.testing.assert_allclose(before(ext)[1][19], old, atol=1e-5)
    raise_hips(0.2)
    bpy.ops.plumbline.check()
    np.testing.assert_allclose(before(ext)[1][19], old, atol=1e-5)


def test_it_is_drawn_where_the_scene_had_it_whatever_its_unit(ext, checked):
    scene = bpy.context.scene
    scene.unit_settings.system, scene.unit_settings.scale_length = "METRIC", 0.01
    bpy.ops.plumbline.check()
    old, _new = raise_hips(0.3)
    bpy.ops.plumbline.check()
    np.testing.assert_allclose(before(ext)[1][19], old, atol=1e-5)


def test_it_is_gone_with_the_file(ext, checked):
    raise_hips(0.3)
    bpy.ops.plumbline.check()
    gone = shown(ext)
    assert ext.addon.ui.earlier_pass.earlier_of(gone) is not None
    bpy.ops.wm.read_homefile(use_empty=True)
    assert ext.addon.ui.earlier_pass.earlier_of(gone) is None


def test_it_is_drawn_for_the_picked_parts_and_bridges_no_gap(ext, checked):
    checked.trails.finding = False
    old, _new = raise_hips(0.3)
    bpy.ops.plumbline.check()
    overlay = ext.addon.overlay
    choice = overlay.choice.choice_of(checked, shown(ext))
    sheet = overlay.earlier.earlier_sheet(shown(ext), choice, overlay.look.Look())
    assert len(sheet.dots) == 40
    np.testing.assert_allclose(sheet.dots.points[19], old, atol=1e-5)
    assert len(sheet.fine) == 39
    step = sheet.dots.points[20] - sheet.dots.points[19]
    np.testing.assert_allclose(np.diff(sheet.fine.ends[19], axis=0)[0], 0.6 * step, atol=1e-6)
    steps = overlay.earlier.steps(np.array([1.0, 2.0, 5.0, 6.0]), np.eye(4)[:, :3], (1, 1, 1, 1))
    assert steps.frames.tolist() == [[1.0, 2.0], [5.0, 6.0]]


def test_it_is_a_layer_of_its_own_where_it_is_asked_for_and_there(ext, checked):
    overlay = ext.addon.overlay

    def layers():
        return overlay.wanted.wanted(bpy.context).layers

    checked.spacing.earlier = True
    assert "earlier" not in layers()
    raise_hips(0.3)
    bpy.ops.plumbline.check()
    assert layers()[-1] == "earlier"
    checked.spacing.earlier = False
    assert "earlier" not in layers()
