# SPDX-License-Identifier: GPL-3.0-or-later
"""The quay at dawn: stone floor, water, bollards, crates, a low sun and a camera."""

from collections.abc import Iterable, Sequence
from math import radians

import bmesh
import bpy
from mathutils import Matrix, Vector

from .materials import add_sky, material

Point = tuple[float, float, float]

# Along the walk (-Y) the quay runs from behind the first step to past the last one.
_LENGTH = (3.0, -8.0)
EDGE_X = 2.2  # the water lies on the figure's left
_BACK_X = -3.4
_SLAB = 1.1


def add_quay(scene: bpy.types.Scene) -> None:
    """Build the set, its light and its camera into a collection of the scene."""
    quay = bpy.data.collections.new("quay")
    scene.collection.children.link(quay)
    _add_floor(quay)
    _add_water(quay)
    for y in (0.9, -2.1, -5.1):
        _add_bollard(quay, (EDGE_X - 0.35, y, 0.0))
    _add_crates(quay)
    _add_sun(quay)
    scene.camera = _add_camera(quay)
    add_sky(scene)


def _mesh_object(
    collection: bpy.types.Collection, name: str, made: bmesh.types.BMesh, materials: Iterable[str]
) -> bpy.types.Object:
    mesh = bpy.data.meshes.new(name)
    made.to_mesh(mesh)
    made.free()
    for each in materials:
        mesh.materials.append(material(each))
    thing = bpy.data.objects.new(name, mesh)
    collection.objects.link(thing)
    return thing


def _box(made: bmesh.types.BMesh, low: Point, high: Point, slot: int = 0) -> None:
    size = Vector(high) - Vector(low)
    place = Matrix.Translation((Vector(low) + Vector(high)) / 2.0) @ Matrix.Diagonal((*size, 1.0))
    before = len(made.faces)
    bmesh.ops.create_cube(made, size=1.0, matrix=place)
    made.faces.ensure_lookup_table()
    for face in made.faces[before:]:
        face.material_index = slot


def _add_floor(collection: bpy.types.Collection) -> None:
    """Slabs in two shades, so that travel over the floor can be read; top at height zero."""
    made = bmesh.new()
    near, far = _LENGTH
    for row in range(round((near - far) / _SLAB)):
        y = near - row * _SLAB
        low, high = (_BACK_X, y - _SLAB, -0.25), (EDGE_X - 0.25, y, 0.0)
        _box(made, low, high, row % 2)
    _box(made, (EDGE_X - 0.25, far, -0.30), (EDGE_X, near, 0.0), 2)
    _mesh_object(collection, "quay_floor", made, ("quay_stone", "quay_joint", "quay_edge"))


def _add_water(collection: bpy.types.Collection) -> None:
    made = bmesh.new()
    near, far = _LENGTH
    _box(made, (EDGE_X, far, -0.9), (EDGE_X + 6.0, near, -0.8))
    _mesh_object(collection, "water", made, ("water",))


def _add_bollard(collection: bpy.types.Collection, place: Point) -> None:
    """A mooring post with a wide head."""
    made = bmesh.new()
    for low, high, wide, narrow in (
        (0.0, 0.06, 0.20, 0.19),
        (0.06, 0.34, 0.13, 0.11),
        (0.34, 0.44, 0.17, 0.13),
    ):
        middle = Matrix.Translation((0.0, 0.0, (low + high) / 2.0))
        bmesh.ops.create_cone(
            made,
            cap_ends=True,
            segments=24,
            radius1=wide,
            radius2=narrow,
            depth=high - low,
            matrix=middle,
        )
    bollard = _mesh_object(collection, "bollard", made, ("bollard_iron",))
    bollard.location = place


def _add_crates(collection: bpy.types.Collection) -> None:
    crates: Sequence[tuple[Point, float, float]] = (  # place, size, turn
        ((-2.3, -1.2, 0.0), 0.70, 8.0),
        ((-2.5, -2.1, 0.0), 0.80, -5.0),
        ((-2.4, -1.6, 0.75), 0.55, 20.0),
        ((-2.2, -4.9, 0.0), 0.75, -14.0),
    )
    for place, size, turn in crates:
        made = bmesh.new()
        half = size / 2.0
        _box(made, (-half, -half, 0.0), (half, half, size))
        crate = _mesh_object(collection, "crate", made, ("crate_wood",))
        crate.location, crate.rotation_euler.z = place, radians(turn)


def _add_sun(collection: bpy.types.Collection) -> None:
    sun = bpy.data.lights.new("dawn_sun", "SUN")
    sun.energy, sun.color, sun.angle = 3.0, (1.0, 0.82, 0.64), radians(3.0)
    lamp = bpy.data.objects.new("dawn_sun", sun)
    lamp.rotation_euler = (radians(62.0), 0.0, radians(50.0))
    lamp.location = (4.0, -4.0, 5.0)
    collection.objects.link(lamp)


def _add_camera(collection: bpy.types.Collection) -> bpy.types.Object:
    """Three-quarter view that holds the whole walk; the figure comes towards it."""
    lens = bpy.data.cameras.new("quay_camera")
    lens.lens = 45.0
    camera = bpy.data.objects.new("quay_camera", lens)
    camera.location = (4.9, -7.4, 1.9)
    aim = Vector((-0.1, -1.5, 0.95)) - camera.location
    camera.rotation_euler = aim.to_track_quat("-Z", "Y").to_euler()
    collection.objects.link(camera)
    return camera
