# SPDX-License-Identifier: GPL-3.0-or-later
"""The boathook: an ash pole with an iron point and hook, carried level or laid on the quay."""

from collections.abc import Iterable
from itertools import pairwise
from math import cos, pi, sin

import bmesh
import bpy
import numpy as np
from mathutils import Matrix, Vector

from .figure import GRIP
from .materials import material

LENGTH = 2.10
AHEAD = 1.12  # of it ahead of the hand: the iron makes that end heavy
RADIUS = 0.0165
TILT_DEG = 6.0  # the hook end is carried a little high
_AROUND = 16
_LIES = 0.022  # metres from its axis to what it lies on: the ferrule is the thickest of it

# The iron in the pole's axes (y ahead, z up), from the ferrule to the point and to the hook.
_POINT = ((-0.14, 0.0, 0.021), (-0.02, 0.0, 0.019), (0.05, 0.0, 0.010), (0.115, 0.0, 0.003))
_HOOK_CENTRE, _HOOK_RADIUS = (-0.005, -0.055), 0.055


def add_boathook(rig: bpy.types.Object, hand: str, name: str = "boathook") -> bpy.types.Object:
    """Build the boathook and hang it on a hand bone, its pole through the fist."""
    hook = _object(rig.users_collection, name)
    hook.parent, hook.parent_type, hook.parent_bone = rig, "BONE", hand
    bone = rig.data.bones[hand]
    tail = bone.matrix_local @ Matrix.Translation((0.0, bone.length, 0.0))
    hook.matrix_parent_inverse = Matrix.Identity(4)
    hook.matrix_basis = tail.inverted() @ _rest_place()
    return hook


def lay_boathook(
    scene: bpy.types.Scene, place: tuple[float, float], turn_deg: float, name: str = "boathook"
) -> bpy.types.Object:
    """Build the boathook lying flat on the quay, its grip at a place, and turned from there."""
    hook = _object([scene.collection], name)
    flat = Matrix.Rotation(0.5 * pi, 4, "Y")
    turn = Matrix.Rotation(np.radians(turn_deg), 4, "Z")
    hook.matrix_basis = Matrix.Translation((*place, _LIES)) @ turn @ flat
    return hook


def _object(collections: Iterable[bpy.types.Collection], name: str) -> bpy.types.Object:
    mesh = bpy.data.meshes.new(name)
    _fill(mesh)
    hook = bpy.data.objects.new(name, mesh)
    for collection in collections:
        collection.objects.link(hook)
    return hook


def _rest_place() -> Matrix:
    """Where the pole lies in the rest pose: local Y along the pole towards the hook."""
    lift = Matrix.Rotation(np.radians(TILT_DEG), 4, "X")
    return Matrix.Translation(GRIP) @ Matrix.Rotation(pi, 4, "Z") @ lift


def _fill(mesh: bpy.types.Mesh) -> None:
    made = bmesh.new()
    pole = [
        (AHEAD - LENGTH, 0.0, 0.010),
        (AHEAD - LENGTH + 0.01, 0.0, RADIUS),
        (AHEAD, 0.0, RADIUS),
    ]
    tube(made, pole, 0)
    tube(made, [(AHEAD + y, z, r) for y, z, r in _POINT], 1)
    tube(made, _hook_path(), 1)
    made.to_mesh(mesh)
    made.free()
    mesh.materials.append(material("boathook_ash"))
    mesh.materials.append(material("boathook_iron"))


def _hook_path() -> list[tuple[float, float, float]]:
    """(y, z, radius) along the hook: out of the socket, down and back towards the hand."""
    y, z = _HOOK_CENTRE
    return [
        (AHEAD + y + _HOOK_RADIUS * cos(t), z + _HOOK_RADIUS * sin(t), 0.010 - 0.0006 * i)
        for i, t in enumerate(np.linspace(0.5 * pi, -0.75 * pi, 12))
    ]


def tube(made: bmesh.types.BMesh, path: list[tuple[float, float, float]], slot: int) -> None:
    """Add a closed tube through (y, z, radius) in the plane x = 0, painted with a slot."""
    centres = [Vector((0.0, y, z)) for y, z, _ in path]
    rings = []
    for i, (_, _, radius) in enumerate(path):
        along = (centres[min(i + 1, len(path) - 1)] - centres[max(i - 1, 0)]).normalized()
        up = along.cross(Vector((1.0, 0.0, 0.0)))
        rings.append(
            [
                made.verts.new(
                    centres[i] + radius * (cos(t) * Vector((1.0, 0.0, 0.0)) + sin(t) * up)
                )
                for t in (2.0 * pi * k / _AROUND for k in range(_AROUND))
            ]
        )
    for low, high in pairwise(rings):
        for k in range(_AROUND):
            n = (k + 1) % _AROUND
            face = made.faces.new((low[k], low[n], high[n], high[k]))
            face.smooth, face.material_index = True, slot
    for cap in (rings[0][::-1], rings[-1]):
        made.faces.new(cap).material_index = slot
    bmesh.ops.recalc_face_normals(made, faces=made.faces)
