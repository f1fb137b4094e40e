# SPDX-License-Identifier: GPL-3.0-or-later
"""Keys of a ball that were edited by hand are lost to no bake, and to no following."""

import bpy
import pytest
import rigs
from command_line import save
from handed import ball_on, chosen, hand


def actions():
    return sorted(each.name for each in bpy.data.actions)


def edit(sphere, by=0.2):
    curve = next(each for each in rigs.fcurves(sphere) if each.data_path == "location")
    curve.keyframe_points[1].co_ui.y += by
    curve.update()


@pytest.mark.parametrize("keys", ["EVERY", "NEEDED"])
def test_keys_as_they_were_baked_are_replaced(keys, tmp_path):
    with chosen(keys=keys, rotation=True):
        sphere = ball_on(rigs.biped())
        before = actions()
        bpy.ops.plumbline.bake_sphere()
        assert actions() == before
    edit(sphere, 0.2)
    edit(sphere, -0.2)
    path = save(tmp_path / "ball.blend")
    bpy.ops.wm.open_mainfile(filepath=str(path), load_ui=False)
    bpy.ops.plumbline.bake_sphere()
    assert actions() == before


@pytest.mark.parametrize("way", ["bake_sphere", "follow_sphere"])
@pytest.mark.parametrize("keys", ["EVERY", "NEEDED"])
def test_edited_keys_are_kept(way, keys, capfd):
    with chosen(keys=keys):
        sphere = ball_on(rigs.biped())
        edit(sphere)
        mine = sphere.animation_data.action
        for _ in range(2):
            assert getattr(bpy.ops.plumbline, way)() == {"FINISHED"}
    assert sphere.animation_data.action != mine
    assert (mine.name, mine.use_fake_user) == ("porter root sphere edited", True)
    told = "its edited keys are kept in the action 'porter root sphere edited'."
    assert capfd.readouterr().out.count(told) == 1
    edit_curve = next(each for each in _curves_in(mine) if each.data_path == "location")
    assert len(edit_curve.keyframe_points) > 1
    bpy.ops.plumbline.remove_sphere()
    assert mine.name in bpy.data.actions


def _curves_in(action):
    if hasattr(action, "fcurves"):
        return list(action.fcurves)
    return [c for bag in action.layers[0].strips[0].channelbags for c in bag.fcurves]


def test_a_channel_more_is_an_edit():
    sphere = ball_on(rigs.biped())
    sphere.scale = (2.0, 2.0, 2.0)
    sphere.keyframe_insert("scale", frame=3)
    bpy.ops.plumbline.bake_sphere()
    assert "porter root sphere edited" in actions()


def test_what_was_handed_back_is_in_the_rig():
    rig = rigs.biped()
    sphere = ball_on(rig)
    edit(sphere)
    hand(sphere, rig)
    before = actions()
    bpy.context.view_layer.objects.active = rig
    bpy.ops.plumbline.bake_sphere()
    assert actions() == before
