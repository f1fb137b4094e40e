# SPDX-License-Identifier: GPL-3.0-or-later
"""A bake says at once where its ball could not be handed back."""

import bpy
import pytest
import rigs
from command_line import save
from handed import chosen

WARNED = "Warning: It could not be handed back as it is: "


def bake(rig, bone):
    bpy.context.view_layer.objects.active = rig
    rig.data.bones.active = rig.data.bones[bone]
    with chosen(on="CONTROL"):
        assert bpy.ops.plumbline.bake_sphere() == {"FINISHED"}


def connected(rig):
    bpy.context.view_layer.objects.active = rig
    bpy.ops.object.mode_set(mode="EDIT")
    rig.data.edit_bones["head"].use_connect = True
    bpy.ops.object.mode_set(mode="OBJECT")


def locked(rig):
    rig.pose.bones["head"].lock_location = (True, True, True)


def driven(rig):
    rig.pose.bones["head"].driver_add("location")


@pytest.mark.parametrize(
    ("way", "told"),
    [
        (connected, "'head' is connected to 'neck', which leaves it no location of its own"),
        (locked, "the location of 'head' is locked on X and Y and Z, expected all of it free"),
        (driven, "the location of 'head' is driven, expected keys alone to move it"),
    ],
)
def test_a_control_that_no_keys_move(way, told, capfd):
    rig = rigs.biped()
    way(rig)
    bake(rig, "head")
    assert WARNED + told in capfd.readouterr().out


def test_a_linked_action(tmp_path, capfd):
    rigs.biped()
    path = save(tmp_path / "walk.blend")
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    rig = rigs.biped("other")
    with bpy.data.libraries.load(str(path), link=True) as (_, into):
        into.actions = ["porterAction"]
    rig.animation_data.action = into.actions[0]
    if hasattr(rig.animation_data, "action_slot"):
        rig.animation_data.action_slot = into.actions[0].slots[0]
    bake(rig, "hips")
    told = "the action 'porterAction' is linked from another file"
    assert WARNED + told in capfd.readouterr().out
    with chosen(hand_into="STRIP"):
        bake(rig, "hips")
    assert WARNED not in capfd.readouterr().out


def test_of_others_nothing_is_said(capfd):
    rig = rigs.biped()
    for bone in ("hips", "head"):
        bake(rig, bone)
    assert WARNED not in capfd.readouterr().out
