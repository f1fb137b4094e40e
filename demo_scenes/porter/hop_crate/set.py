# SPDX-License-Identifier: GPL-3.0-or-later
"""The crate that the porter hops over, and the camera that sees it from the side."""

import bmesh
import bpy
from mathutils import Matrix, Vector

from ..materials import material
from ..quay import add_quay

# Metres; `AHEAD` are the crate's near and far edges, counted ahead of where he stands.
TOP, WIDTH, AHEAD = 0.40, 1.10, (0.46, 1.56)
# The sampler hands objects with this custom property on as supports.
BEARS_WEIGHT = "plumbline_bears_weight"
_CAMERA, _AIM, _LENS = (6.3, -4.2, 1.6), (0.0, -1.15, 1.02), 48.0


def add_set(scene: bpy.types.Scene) -> None:
    """Build crate, quay, light and camera."""
    add_crate(scene)  # before the quay, whose own crates then take other names
    add_quay(scene)
    place_camera(scene.camera)


def add_crate(scene: bpy.types.Scene) -> bpy.types.Object:
    """Build the crate, standing on the quay, its box along its own axes."""
    near, far = AHEAD
    mesh = bpy.data.meshes.new("crate")
    made = bmesh.new()
    size = Matrix.Diagonal((WIDTH, far - near, TOP, 1.0))
    bmesh.ops.create_cube(made, size=1.0, matrix=Matrix.Translation((0, 0, TOP / 2.0)) @ size)
    made.to_mesh(mesh)
    made.free()
    mesh.materials.append(material("crate_wood"))
    crate = bpy.data.objects.new("crate", mesh)
    crate.location = (0.0, -(near + far) / 2.0, 0.0)
    crate[BEARS_WEIGHT] = True
    scene.collection.objects.link(crate)
    return crate


def place_camera(camera: bpy.types.Object) -> None:
    """Look across the shot, a little from the front, so that both flights read as arcs."""
    camera.data.lens = _LENS
    camera.location = _CAMERA
    camera.rotation_euler = (Vector(_AIM) - Vector(_CAMERA)).to_track_quat("-Z", "Y").to_euler()
