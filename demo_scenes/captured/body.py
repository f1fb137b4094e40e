# SPDX-License-Identifier: GPL-3.0-or-later
"""A mannequin of capsules, each bound to one bone, so that an armature shows as a figure."""

from dataclasses import dataclass

import bpy
import numpy as np
from numpy.typing import NDArray

from .rotations import Floats, between, rotate

_AROUND = 10  # corners of a capsule's rings
_CAP = (0.0, 0.5, 0.87)  # rings of a cap, as sines of their latitude
# Left warm, right cool, middle grey: sides stay apart in a solid view without lights.
_TINTS = {
    "left": (0.80, 0.45, 0.20, 1.0),
    "right": (0.20, 0.45, 0.75, 1.0),
    "middle": (0.62, 0.60, 0.56, 1.0),
}


@dataclass(frozen=True, eq=False)
class Capsule:
    """A rounded bar bound to `bone`: ends a, b (3,) in the armature's rest space, radii; metres."""

    bone: str
    a: Floats
    b: Floats
    radius_a: float
    radius_b: float


def attach_body(rig: bpy.types.Object, capsules: list[Capsule], name: str) -> bpy.types.Object:
    """Build one mesh of capsules, weighted rigidly to their bones and parented to the rig."""
    points = [_capsule_points(capsule) for capsule in capsules]
    faces = np.concatenate([_capsule_faces() + i * len(points[0]) for i in range(len(points))])
    body = bpy.data.objects.new(name, bpy.data.meshes.new(name))
    body.data.from_pydata(np.concatenate(points).tolist(), [], _corners(faces))
    _bind(body, [capsule.bone for capsule in capsules], len(points[0]))
    each = len(faces) // len(capsules)
    _paint(body.data, [_side(capsule.bone) for capsule in capsules for _ in range(each)])
    body.parent = rig
    body.modifiers.new("Armature", "ARMATURE").object = rig
    return body


def _bind(body: bpy.types.Object, bones: list[str], count: int) -> None:
    """Weight each run of `count` vertices to its bone; the vertices must exist already."""
    for i, bone in enumerate(bones):
        group = body.vertex_groups.get(bone) or body.vertex_groups.new(name=bone)
        group.add(list(range(i * count, (i + 1) * count)), 1.0, "REPLACE")


def _capsule_points(capsule: Capsule) -> Floats:
    """(2 + 6 * around, 3) both tips, then rings from a's cap to b's."""
    along = capsule.b - capsule.a
    length = float(np.linalg.norm(along))
    angles = np.linspace(0.0, 2.0 * np.pi, _AROUND, endpoint=False)
    circle = np.stack((np.cos(angles), np.sin(angles), np.zeros(_AROUND)), axis=-1)
    rings = [(-capsule.radius_a * s, capsule.radius_a * np.sqrt(1 - s * s)) for s in _CAP[::-1]]
    rings += [(length + capsule.radius_b * s, capsule.radius_b * np.sqrt(1 - s * s)) for s in _CAP]
    up = np.array([0.0, 0.0, 1.0])
    tips = [-capsule.radius_a * up, (length + capsule.radius_b) * up]
    points = np.concatenate([tips] + [circle * radius + up * z for z, radius in rings])
    turn = between(up, along / length) if length > 1e-9 else np.array([1.0, 0.0, 0.0, 0.0])
    return capsule.a + rotate(turn, points)


def _capsule_faces() -> NDArray[np.int64]:
    """(F,4) corners of one capsule's faces, outwards; a tip's triangles repeat their tip."""
    i = np.arange(_AROUND)
    k = (i + 1) % _AROUND
    starts = 2 + np.arange(2 * len(_CAP)) * _AROUND
    bands = [np.stack((s + i, s + k, s + _AROUND + k, s + _AROUND + i), 1) for s in starts[:-1]]
    low = np.stack((0 * i, 0 * i, starts[0] + k, starts[0] + i), axis=1)
    high = np.stack((0 * i + 1, 0 * i + 1, starts[-1] + i, starts[-1] + k), axis=1)
    return np.concatenate([low, *bands, high])


def _corners(faces: NDArray[np.int64]) -> list[list[int]]:
    """Faces as lists, triangles with three corners."""
    return [face[1:] if face[0] == face[1] else face for face in faces.tolist()]


def _side(bone: str) -> str:
    if ".L" in bone or bone.startswith("Left"):
        return "left"
    return "right" if ".R" in bone or bone.startswith("Right") else "middle"


def _paint(mesh: bpy.types.Mesh, tints: list[str]) -> None:
    """Give each face the material of its side, smooth shaded."""
    sides = list(_TINTS)
    for side in sides:
        name = f"mannequin {side}"
        material = bpy.data.materials.get(name) or bpy.data.materials.new(name)
        material.diffuse_color = _TINTS[side]
        mesh.materials.append(material)
    mesh.polygons.foreach_set("material_index", [sides.index(tint) for tint in tints])
    mesh.polygons.foreach_set("use_smooth", [True] * len(tints))
    mesh.update()
