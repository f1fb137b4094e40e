# SPDX-License-Identifier: GPL-3.0-or-later
"""A ball's name says what it is on, unless the user has renamed it."""

import bpy
import pytest
import rigs
from handed import chosen


def session():
    return bpy.context.window_manager.plumbline


def put(way, on, bone=None):
    rig = bpy.data.objects["porter"]
    bpy.context.view_layer.objects.active = rig
    rig.data.bones.active = rig.data.bones[bone] if bone else None
    with chosen(on=on):
        assert getattr(bpy.ops.plumbline, way)() == {"FINISHED"}
    (ball,) = (item for item in bpy.context.scene.objects if "plumbline_sphere_of" in item)
    return ball


POINTS = {"ROOT": "root", "PELVIS": "pelvis", "COM": "mass", "CONTROL": "hand.L"}


@pytest.mark.parametrize("way", ["bake_sphere", "follow_sphere"])
def test_the_name_says_what_it_is_on(way):
    rigs.biped()
    for on, word in (*POINTS.items(), *POINTS.items()):
        ball = put(way, on, "hand.L" if on == "CONTROL" else None)
        name = f"porter {word} sphere"
        assert [ball.name, ball.data.name, ball.data.materials[0].name] == [name] * 3
        if way == "bake_sphere":
            assert ball.animation_data.action.name == name


def test_copies_and_the_panel_go_along():
    rigs.biped()
    ball = put("bake_sphere", "ROOT")
    bpy.ops.plumbline.turn_upright(axis="SIDE")
    bpy.context.view_layer.update()
    session().rig = ball.name
    put("bake_sphere", "PELVIS")
    bpy.context.view_layer.update()
    picked, session().rig = session().rig, ""
    assert picked == "porter pelvis sphere"
    named = {o.name for o in bpy.data.objects if "plumbline_upright_of" in o}
    name = "porter pelvis sphere side to side"
    assert named == {name, f"{name} turn"}


def test_a_name_that_the_user_gave_stays():
    rigs.biped()
    put("bake_sphere", "ROOT").name = "bouncing"
    assert put("bake_sphere", "PELVIS").name == "bouncing"
    assert put("follow_sphere", "ROOT").name == "bouncing"


def test_a_name_that_is_taken_is_asked_for_once():
    rigs.biped()
    rigs.cube("porter root sphere")
    ball = put("bake_sphere", "ROOT")
    assert ball.name == "porter root sphere.001"
    assert put("bake_sphere", "ROOT").name == "porter root sphere.001"


def test_a_plain_object_has_no_root():
    crate = rigs.cube("crate")
    rigs.key(crate, "location", [(0, 0, 0), (0.3, 0.5, 0.7), (1, 0, 0)])
    with chosen(on="CONTROL"):
        bpy.context.view_layer.objects.active = crate
        assert bpy.ops.plumbline.bake_sphere() == {"FINISHED"}
    assert "crate sphere" in bpy.data.objects
