# SPDX-License-Identifier: GPL-3.0-or-later
"""What this extension made in a file: spheres with their data, and the collection they are in.

All of it carries a custom property, so that nothing of the user's is ever taken for ours.
"""

from typing import Any

import bmesh
import bpy

from ..signals.ours import is_signals
from .facts import NAME

# On a sphere, its mesh, its material and its action: the full name of the rig.
SPHERE_OF = "plumbline_sphere_of"
# On the collection.
COLLECTION = "plumbline_collection"
COLLECTION_NAME = "Plumbline"
# On an upright copy of a ball, what turns it and its material: the ball's name.
UPRIGHT_OF = "plumbline_upright_of"
# On the copy alone: how it is turned.
TURNED = "plumbline_turned"
# Yellow of the palette by Okabe and Ito (2008), which no colour blindness hides; linear.
COLOUR = (0.871, 0.768, 0.054, 1.0)


def is_ours(block: Any) -> bool:
    """Whether a ball, an upright copy, signals, or a part of them, were made here, or are copies
    of such."""
    return SPHERE_OF in block or UPRIGHT_OF in block or is_signals(block)


def spheres_in(scene: bpy.types.Scene) -> list[bpy.types.Object]:
    """The balls in a scene, that follow or were baked, by name; no upright copies of them."""
    found = [o for o in scene.objects if o.type == "MESH" and _is_ball(o) and not o.library]
    return sorted(found, key=lambda sphere: sphere.name)


def _is_ball(block: Any) -> bool:
    return SPHERE_OF in block


def sphere_of(scene: bpy.types.Scene, rig: bpy.types.Object) -> bpy.types.Object | None:
    """The ball of a rig; of several (a copy was made) the first by name."""
    mine = (each for each in spheres_in(scene) if each[SPHERE_OF] == rig.name_full)
    return next(mine, None)


def rig_of_ball(scene: bpy.types.Scene, ball: bpy.types.Object) -> bpy.types.Object | None:
    """The rig, or the object, that a ball was made for; None where it is gone."""
    return next((o for o in scene.objects if o.name_full == ball[SPHERE_OF]), None)


def is_upright(item: Any) -> bool:
    """Whether an object is the upright copy of a ball, and not what turns it."""
    return UPRIGHT_OF in item and item.type == "MESH" and not _is_ball(item)


def uprights_of(scene: bpy.types.Scene, sphere: bpy.types.Object) -> list[bpy.types.Object]:
    """The upright copies of a ball, by name."""
    found = [o for o in scene.objects if is_upright(o) and ball_of(scene, o) == sphere]
    return sorted(found, key=lambda copy: copy.name)


def ball_of(scene: bpy.types.Scene, copy: bpy.types.Object) -> bpy.types.Object | None:
    """The ball that an upright copy is of, renamed or not; None where it is gone."""
    for constraint in copy.constraints:
        if constraint.type == "COPY_LOCATION" and constraint.target is not None:
            return constraint.target
    named: Any = scene.objects.get(copy[UPRIGHT_OF])
    return named if named in spheres_in(scene) else None


def parts_of_upright(copy: bpy.types.Object) -> list[Any]:
    """An upright copy, what turns it and its material, all of which carries the ball's name."""
    parts: Any = (copy, copy.parent, *(slot.material for slot in copy.material_slots))
    return [each for each in parts if each is not None and UPRIGHT_OF in each]


def make_sphere(
    scene: bpy.types.Scene, rig: bpy.types.Object, name: str, radius: float
) -> bpy.types.Object:
    """A sphere for a rig in our collection, of a radius in Blender units; never rendered."""
    mesh = _ball(name, radius)
    mesh.materials.append(make_material(name, COLOUR))
    sphere = bpy.data.objects.new(name, mesh)
    for block in (sphere, mesh, mesh.materials[0]):
        block[SPHERE_OF] = rig.name_full
    sphere[NAME] = sphere.name
    sphere.color = COLOUR
    sphere.hide_render = True
    # Before the rest is hidden the body is around it.
    sphere.show_in_front = True
    our_collection(scene).objects.link(sphere)
    return sphere


def remove_sphere(scene: bpy.types.Scene, sphere: bpy.types.Object) -> None:
    """Delete a ball, its upright copies, and what was made with it where nobody else uses it."""
    for copy in uprights_of(scene, sphere):
        remove_upright(scene, copy)
    data = sphere.animation_data
    parts = [sphere.data, *sphere.data.materials, data.action if data else None]
    bpy.data.objects.remove(sphere)
    for part in parts:
        remove_unused(part)
    remove_empty_collections(scene)


def remove_upright(scene: bpy.types.Scene, copy: bpy.types.Object) -> None:
    """Delete an upright copy and what turns it; the ball stays, and so does what users hang on."""
    turning: Any = copy.parent
    parts = [slot.material for slot in copy.material_slots if slot.link == "OBJECT"]
    bpy.data.objects.remove(copy)
    if turning is not None and UPRIGHT_OF in turning and not turning.children:
        data: Any = turning.animation_data
        parts.append(data.action if data else None)
        bpy.data.objects.remove(turning)
    for part in parts:
        remove_unused(part)
    remove_empty_collections(scene)


def remove_empty_collections(scene: bpy.types.Scene) -> None:
    """Delete our collections in a scene that hold nothing."""
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


def make_material(name: str, colour: tuple[float, ...]) -> bpy.types.Material:
    """A plain material of a colour (r, g, b, a), linear."""
    material = bpy.data.materials.new(name)
    material.diffuse_color = colour
    for node in material.node_tree.nodes if material.node_tree else ():
        if node.type == "BSDF_PRINCIPLED":
            node.inputs["Base Color"].default_value = colour
    return material


def our_collection(scene: bpy.types.Scene) -> bpy.types.Collection:
    """Our collection in a scene, made where there is none."""
    for known in _collections(scene):
        return known
    made = bpy.data.collections.new(COLLECTION_NAME)
    made[COLLECTION] = True
    scene.collection.children.link(made)
    return made


def _collections(scene: bpy.types.Scene) -> list[bpy.types.Collection]:
    found: list[Any] = scene.collection.children_recursive
    return [each for each in found if COLLECTION in each and not each.library]
