# SPDX-License-Identifier: GPL-3.0-or-later
"""What this extension made in a file: spheres with their data, and the collection they are in.

All of it carries a custom property, so that nothing of the user's is ever taken for ours.
"""

from typing import Any

import bmesh
import bpy

from ..signals.ours import is_signals

# On a sphere, its mesh, its material and its action: the full name of the rig.
SPHERE_OF = "plumbline_sphere_of"
# On the collection.
COLLECTION = "plumbline_collection"
COLLECTION_NAME = "Plumbline"
# Yellow of the palette by Okabe and Ito (2008), which no colour blindness hides; linear.
COLOUR = (0.871, 0.768, 0.054, 1.0)


def is_ours(block: Any) -> bool:
    """Whether a sphere, signals, or a part of them, were made here, or are copies of such."""
    return SPHERE_OF in block or is_signals(block)


def spheres_in(scene: bpy.types.Scene) -> list[bpy.types.Object]:
    """The spheres that were baked in a scene, by name."""
    found = [o for o in scene.objects if o.type == "MESH" and is_ours(o) and not o.library]
    return sorted(found, key=lambda sphere: sphere.name)


def sphere_of(scene: bpy.types.Scene, rig: bpy.types.Object) -> bpy.types.Object | None:
    """The sphere that was baked for a rig; of several (a copy was made) the first by name."""
    mine = (each for each in spheres_in(scene) if each[SPHERE_OF] == rig.name_full)
    return next(mine, None)


def make_sphere(scene: bpy.types.Scene, rig: bpy.types.Object, radius: float) -> bpy.types.Object:
    """A sphere for a rig in our collection, of a radius in Blender units; never rendered."""
    name = f"{rig.name} root sphere"
    mesh = _ball(name, radius)
    mesh.materials.append(_material(name))
    sphere = bpy.data.objects.new(name, mesh)
    for block in (sphere, mesh, mesh.materials[0]):
        block[SPHERE_OF] = rig.name_full
    sphere.color = COLOUR
    sphere.hide_render = True
    # Before the rest is hidden the body is around it.
    sphere.show_in_front = True
    _collection(scene).objects.link(sphere)
    return sphere


def remove_sphere(scene: bpy.types.Scene, sphere: bpy.types.Object) -> None:
    """Delete a sphere, and what was made with it where nobody else uses it."""
    data = sphere.animation_data
    parts = [sphere.data, *sphere.data.materials, data.action if data else None]
    bpy.data.objects.remove(sphere)
    for part in parts:
        remove_unused(part)
    for collection in _collections(scene):
        if not collection.objects and not collection.children:
            bpy.data.collections.remove(collection)


def remove_unused(block: Any) -> None:
    """Delete a data-block of ours that nobody uses any more."""
    if block is not None and is_ours(block) and not block.users and not block.library:
        bpy.data.batch_remove([block])


def _ball(name: str, radius: float) -> bpy.types.Mesh:
    mesh = bpy.data.meshes.new(name)
    shape = bmesh.new()
    bmesh.ops.create_uvsphere(shape, u_segments=32, v_segments=16, radius=radius)
    for face in shape.faces:
        face.smooth = True
    shape.to_mesh(mesh)
    shape.free()
    return mesh


def _material(name: str) -> bpy.types.Material:
    material = bpy.data.materials.new(name)
    material.diffuse_color = COLOUR
    for node in material.node_tree.nodes if material.node_tree else ():
        if node.type == "BSDF_PRINCIPLED":
            node.inputs["Base Color"].default_value = COLOUR
    return material


def _collection(scene: bpy.types.Scene) -> bpy.types.Collection:
    for known in _collections(scene):
        return known
    made = bpy.data.collections.new(COLLECTION_NAME)
    made[COLLECTION] = True
    scene.collection.children.link(made)
    return made


def _collections(scene: bpy.types.Scene) -> list[bpy.types.Collection]:
    found: list[Any] = scene.collection.children_recursive
    return [each for each in found if COLLECTION in each and not each.library]
