# SPDX-License-Identifier: GPL-3.0-or-later
"""Supports, props and cameras that are moved make answers old, though all keys stay."""

import bpy
import pytest
import rigs

MOVED = "The camera, a prop or something that bears weight has changed: check again."


@pytest.fixture
def stage(ext):
    """Asks why the answers are old of a biped with a pole, on a crate on a cart, before a camera
    on a dolly on the rig of a crane, whose height is keyed and which looks at an empty; the check
    is of the picture."""
    porter = rigs.biped()
    rigs.spike(porter.pose.bones["head"], "rotation_euler", 0, 25, 0.5)
    rigs.boathook(porter)
    crate = rigs.cube("crate")
    crate.parent, crate["plumbline_bears_weight"] = rigs.cube("cart"), True
    for name in ("side", "front"):
        camera = bpy.data.objects.new(name, bpy.data.cameras.new(name))
        camera.location, camera.rotation_euler = (0.0, -8.0, 1.0), (1.5, 0.0, 0.0)
        bpy.context.scene.collection.objects.link(camera)
    scene = bpy.context.scene
    scene.camera, camera.parent = camera, rigs.cube("dolly")
    rigs.key(camera, "location", [(0, -8, 1), (0, -8, 2), (0, -8, 3)])
    rigs.key(crate, "rotation_euler", [(0, 0, 0), (0, 0, 1), (0, 0, 2)])
    rigs.cube("bystander")
    crane = bpy.data.objects.new("crane", bpy.data.armatures.new("crane"))
    for name in ("crane", "aim"):
        made = crane if name == "crane" else bpy.data.objects.new(name, None)
        bpy.context.scene.collection.objects.link(made)
    bpy.data.objects["dolly"].parent = crane
    aims = camera.constraints.new("TRACK_TO")
    aims.target = bpy.data.objects["aim"]
    bpy.context.view_layer.objects.active = porter
    bpy.context.window_manager.plumbline.space = "camera"
    bpy.context.view_layer.update()
    bpy.ops.plumbline.check()

    def ask():
        bpy.context.view_layer.update()
        return ext.addon.ui.changes.why_old(bpy.context)

    assert ask() == ""
    return ask


def item(name):
    return bpy.data.objects[name]


def enlarge_the_mesh():
    item("crate").data.vertices[0].co.x -= 1.0
    item("crate").data.update()


MOVES = {
    "crate moved": lambda: setattr(item("crate"), "location", (0.0, 0.0, 0.5)),
    "crate scaled": lambda: setattr(item("crate"), "scale", (2.0, 2.0, 2.0)),
    "crate reshaped": enlarge_the_mesh,
    "pole deleted": lambda: bpy.data.objects.remove(item("boathook")),
    "cart moved": lambda: setattr(item("cart"), "location", (0.0, 0.0, 0.5)),
    "pole moved": lambda: setattr(item("boathook"), "location", (0.0, 0.0, 0.5)),
    "camera turned": lambda: setattr(item("front"), "rotation_euler", (1.4, 0.0, 0.0)),
    "dolly moved": lambda: setattr(item("dolly"), "location", (0.0, 0.0, 0.5)),
    "rig of the camera moved": lambda: setattr(item("crane"), "location", (0.0, 0.0, 0.5)),
    "aim of the camera moved": lambda: setattr(item("aim"), "location", (0.5, 0.0, 0.5)),
    "lens changed": lambda: setattr(item("front").data, "lens", 85.0),
    "camera exchanged": lambda: setattr(bpy.context.scene, "camera", item("side")),
    "camera cut to": lambda: setattr(
        bpy.context.scene.timeline_markers.new("cut", frame=20), "camera", item("side")
    ),
}


def test_what_is_moved_without_keys_is_told_and_undo_makes_the_answers_good_again(stage):
    for name, change in MOVES.items():
        bpy.ops.ed.undo_push(message="before")
        change()
        assert stage() == MOVED, name
        bpy.ops.ed.undo_push(message="changed")
        bpy.ops.ed.undo()
        assert stage() == "", name


def test_what_scrubbing_plays_and_what_nothing_hangs_on_is_no_move(stage):
    for frame in (10, 30):
        bpy.context.scene.frame_set(frame)
        for name in ("front", "crate", "cart", "boathook"):
            item(name).select_set(frame == 10)
            item(name).update_tag()
        item("bystander").location.x += 1.0
        item("front").location.z += 0.1  # which the next frame takes back
        item("porter").location.x += 0.1
        assert stage() == ""


def test_in_the_world_a_camera_may_be_moved(stage):
    bpy.context.window_manager.plumbline.space = "world"
    bpy.ops.plumbline.check()
    for name in ("camera turned", "rig of the camera moved", "lens changed", "camera exchanged"):
        MOVES[name]()
        assert stage() == "", name
    MOVES["crate moved"]()
    assert stage() == MOVED
