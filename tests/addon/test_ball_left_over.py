# SPDX-License-Identifier: GPL-3.0-or-later
"""What is left of a ball that was deleted by hand can be taken away, and all is shown again."""

import bpy
import pytest
import rigs
from digest import difference, digest


@pytest.fixture
def before():
    rigs.biped()
    rigs.cube("crate")
    bpy.data.orphans_purge()
    bpy.context.view_layer.update()
    state = digest()
    bpy.ops.plumbline.bake_sphere()
    for axis in ("SIDE", "AHEAD"):
        bpy.ops.plumbline.turn_upright(axis=axis)
    bpy.ops.plumbline.hide_rest()
    return state


def delete(*names):
    for name in names:
        bpy.data.objects.remove(bpy.data.objects[name])
    bpy.context.view_layer.update()


BALL = "porter root sphere"
COPIES = (f"{BALL} side to side", f"{BALL} ahead and back")


def test_upright_copies_without_their_ball(before, capfd):
    delete(BALL)
    assert bpy.ops.plumbline.remove_sphere() == {"FINISHED"}
    assert "Removed 2 upright copies of a sphere that is gone." in capfd.readouterr().out
    assert not bpy.ops.plumbline.remove_sphere.poll()
    bpy.data.orphans_purge()  # as saving does: the keys of the ball
    assert difference(before, digest()) == {}


def test_what_turned_copies_without_any(before, capfd):
    delete(BALL, *COPIES)
    assert bpy.ops.plumbline.remove_sphere() == {"FINISHED"}
    told = "Removed what turned upright copies of a sphere that is gone."
    assert told in capfd.readouterr().out
    assert not [o.name for o in bpy.data.objects if "plumbline_upright_of" in o]
    assert "Plumbline" not in bpy.data.collections


def test_what_turned_a_copy_that_was_deleted_goes_with_the_ball(before):
    assert bpy.ops.plumbline.show_again() == {"FINISHED"}
    delete(COPIES[0])
    bpy.ops.plumbline.remove_sphere()
    assert not [o.name for o in bpy.data.objects if "plumbline_upright_of" in o]
    assert not bpy.ops.plumbline.remove_sphere.poll()
