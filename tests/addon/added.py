# SPDX-License-Identifier: GPL-3.0-or-later
"""A figure with an ear and a skin, and a user who selects and follows, for tests of points."""

import bpy
import rigs
from command_line import save


def eared():
    """A keyed biped with an ear on its head, which is no part of a figure, and a skin."""
    bones = {**rigs.BIPED, "ear": ("head", (0.08, 0, 1.75), (0.14, 0, 1.8))}
    rig = rigs.armature("porter", bones)
    for bone in rig.pose.bones:
        bone.rotation_mode = "XYZ"
    hips, head = rig.pose.bones["hips"], rig.pose.bones["head"]
    rigs.key(hips, "location", [(0, 0, 0), (0.05, 0.02, 0.4), (0, 0, 0.8)])
    rigs.key(head, "rotation_euler", [(0, 0, 0), (0.2, 0.4, 0), (0, 0, 0)])
    rigs.key(rig.pose.bones["ear"], "rotation_euler", [(0, 0, 0), (0.3, 0, 0), (0, 0, 0)])
    rigs.set_range(1, 40)
    return rig


def skinned(rig):
    """A cube around the head: its first four corners go with the ear, the others with the head."""
    skin = rigs.cube("skin")
    skin.location = (0.0, 0.0, 1.7)
    for name, corners in (("ear", [0, 1, 2, 3]), ("head", [4, 5, 6, 7])):
        skin.vertex_groups.new(name=name).add(corners, 1.0, "REPLACE")
    skin.modifiers.new("skin", "ARMATURE").object = rig
    return skin


def select_bones(rig, *names):
    bpy.ops.object.select_all(action="DESELECT")
    rig.select_set(True)
    bpy.context.view_layer.objects.active = rig
    bpy.ops.object.mode_set(mode="POSE")
    for bone in rig.pose.bones:
        owner = bone if hasattr(bone, "select") else bone.bone
        owner.select = bone.name in names


def select_vertices(item, *numbers):
    bpy.ops.object.select_all(action="DESELECT")
    item.select_set(True)
    bpy.context.view_layer.objects.active = item
    for part in (item.data.vertices, item.data.edges, item.data.polygons):
        part.foreach_set("select", [False] * len(part))
    for number in numbers:
        item.data.vertices[number].select = True
    bpy.ops.object.mode_set(mode="EDIT")


def select_objects(*items):
    bpy.ops.object.select_all(action="DESELECT")
    for item in items:
        item.select_set(True)
        bpy.context.view_layer.objects.active = item


def follow_all(rig, skin, crate):
    """Follow the ear, a corner of the skin and the crate, as a user does."""
    select_bones(rig, "ear")
    assert bpy.ops.plumbline.follow() == {"FINISHED"}
    bpy.ops.object.mode_set(mode="OBJECT")
    select_vertices(skin, 3)
    assert bpy.ops.plumbline.follow() == {"FINISHED"}
    bpy.ops.object.mode_set(mode="OBJECT")
    select_objects(crate)
    assert bpy.ops.plumbline.follow() == {"FINISHED"}


def overridden(tmp_path):
    """The porter of the open scene as a linked and overridden rig in an empty file."""
    collection = bpy.data.collections.new("porter set")
    bpy.context.scene.collection.children.link(collection)
    collection.objects.link(bpy.data.objects["porter"])
    library = save(tmp_path / "library.blend")
    bpy.ops.wm.read_homefile(use_empty=True)
    with bpy.data.libraries.load(str(library), link=True) as (_found, asked_for):
        asked_for.collections = ["porter set"]
    made = asked_for.collections[0].override_hierarchy_create(
        bpy.context.scene, bpy.context.view_layer, do_fully_editable=True
    )
    return next(item for item in made.all_objects if item.type == "ARMATURE")


class Paper:
    """Stands for a layout: notes what would be drawn."""

    def __init__(self):
        self.lines, self.buttons, self.alert, self.unfolded = [], [], False, True

    def column(self, **_how):
        return self

    row = box = split = grid_flow = column

    def panel(self, _name, *, default_closed=False):
        assert default_closed
        return self, self if self.unfolded else None

    def label(self, *, text, icon="NONE", **_how):
        self.lines.append((text, icon))

    def prop(self, owner, name, **how):
        assert name in owner.bl_rna.properties
        self.lines.append((how.get("text", name), "FIELD"))

    def operator(self, name, **_how):
        self.buttons.append((name, button := type("Button", (), {"index": None})()))
        return button
