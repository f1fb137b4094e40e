# SPDX-License-Identifier: GPL-3.0-or-later
"""The porter's mannequin: one skinned mesh of blended bars, weights smooth at the joints.

It is made of shells, each closed in itself: the figure, and over it gloves, boots and cap.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import bpy
import numpy as np
from numpy.typing import NDArray

from .bones import BONES
from .figure import (
    CAP,
    CAP_RIM,
    FIST,
    LEFT_ARM,
    LEFT_LEG,
    LEFT_SHOE,
    LEFT_SHOULDER,
    OPEN_HAND,
    TRUNK,
    Bars,
    mirrored,
)
from .materials import material
from .surface import Floats, Ints, blend, box_around, grid, relaxed, settled, surface_nets, union

# How far a part melts into the one before it on its chain, in metres.
FILLETS = {"head": 0.030, "neck": 0.050, "shoulder": 0.045}
FILLET = 0.015
SOCKET_FILLET = 0.040
ARMPIT_FILLET = 0.012
# How far beyond its own bars a bone still pulls: far where limbs meet the trunk.
WEIGHT_REACH, TRUNK_REACH, ARMPIT_REACH = 0.014, 0.030, 0.016
_WIDE_BONES = ("hips", "spine", "chest", "shoulder", "upper_arm", "neck", "thigh")
SMALLEST_WEIGHT = 0.02
SOLE_M = 0.002  # soles are cut this far above the floor: a rolling toe bulges by as much
# Outline and weights of trunk and limbs are softened; the head keeps its edges.
SOFTEN_ROUNDS, SPREAD_ROUNDS, SOFTEN_SHARE = 14, 20, 0.6

_TRUNK: Bars = {**TRUNK, **LEFT_SHOULDER, **mirrored(LEFT_SHOULDER)}
_ARMS = {"shoulder.L": LEFT_ARM, "shoulder.R": mirrored(LEFT_ARM)}
_LEGS = (LEFT_LEG, mirrored(LEFT_LEG))
_SHOES = (LEFT_SHOE, mirrored(LEFT_SHOE))
_HANDS = (OPEN_HAND, FIST)
_OPEN_HANDS = (OPEN_HAND, mirrored(OPEN_HAND))
_DRESS = (*_HANDS, *_SHOES)


@dataclass(frozen=True, eq=False)
class Shell:
    """One closed surface in the rest pose: vertices (V,3), faces (F,4), weights (V,B)."""

    vertices: Floats
    faces: Ints
    weights: Floats
    material: str


def add_body(
    rig: bpy.types.Object, name: str = "porter_body", *, fist: bool = True
) -> bpy.types.Object:
    """Build the mannequin, skinned and parented to the rig, into the rig's collections.

    fist   whether the right hand is closed around the boathook
    """
    shells = _shells(fist)
    vertices = np.concatenate([shell.vertices for shell in shells])
    body = bpy.data.objects.new(name, bpy.data.meshes.new(name))
    body.data.from_pydata(vertices.tolist(), [], _numbered(shells).tolist())
    for collection in rig.users_collection:
        collection.objects.link(body)
    _paint(body.data, shells)
    _skin(body, np.concatenate([shell.weights for shell in shells]))
    body.parent = rig
    body.modifiers.new("Armature", "ARMATURE").object = rig
    return body


def _shells(fist: bool) -> list[Shell]:
    shells = [_figure_shell()]
    for parts in _HANDS if fist else _OPEN_HANDS:
        shells.append(_shell(parts, 0.006, "porter_dark"))
    for parts in _SHOES:
        shells.append(_shell(parts, 0.007, "porter_dark", low=SOLE_M))
    shells.append(_shell(CAP, 0.007, "porter_dark", low=CAP_RIM))
    return shells


def _shell(parts: Bars, step: float, paint: str, low: float = -1.0) -> Shell:
    """A chain of parts on its own, cut off below a height."""

    def field(points: Floats) -> Floats:
        return np.maximum(_chain(parts, points), low - points[..., 2])

    points = grid(*box_around([bar for bars in parts.values() for bar in bars], 3.0 * step), step)
    vertices, faces = surface_nets(points, field(points))
    vertices = settled(vertices, field, step)
    return Shell(vertices, faces, _weights(vertices), paint)


def _figure_shell(step: float = 0.010) -> Shell:
    parts = [_TRUNK, *_ARMS.values(), *_LEGS]
    bars = [bar for part in parts for group in part.values() for bar in group]
    points = grid(*box_around(bars, 3.0 * step), step)
    vertices, faces = surface_nets(points, _figure(points))
    vertices = settled(vertices, _figure, step)
    weights = _weights(vertices)
    share = SOFTEN_SHARE * (1.0 - weights[:, _bones().index("head")])
    weights = relaxed(weights, faces, share, SPREAD_ROUNDS)
    return Shell(relaxed(vertices, faces, share, SOFTEN_ROUNDS), faces, weights, "porter_clay")


def _figure(points: Floats) -> Floats:
    """Limbs melt into the trunk at their sockets, and never into one another."""
    whole = _chain(_TRUNK, points)
    hips = union(_TRUNK["hips"], points)
    for leg in _LEGS:
        whole = np.minimum(whole, blend(hips, _chain(leg, points), SOCKET_FILLET))
    for socket, arm in _ARMS.items():
        limb = blend(union(_TRUNK[socket], points), _chain(arm, points), SOCKET_FILLET)
        whole = blend(whole, limb, ARMPIT_FILLET)
    return whole


def _chain(parts: Bars, points: Floats) -> Floats:
    """The parts of a chain, each melted into those before it."""
    (_, bars), *rest = parts.items()
    whole = union(bars, points)
    for bone, bars in rest:
        whole = blend(whole, union(bars, points), FILLETS.get(bone.partition(".")[0], FILLET))
    return whole


def _all_parts() -> Bars:
    return {
        bone: bars
        for chain in (_TRUNK, *_ARMS.values(), *_LEGS, *_DRESS)
        for bone, bars in chain.items()
    }


def _bones() -> list[str]:
    return list(_all_parts())


def _weights(vertices: Floats) -> Floats:
    """(V,B) each bone's pull on each vertex: even shares where the bars are equally near."""
    away = np.stack([union(bars, vertices) for bars in _all_parts().values()], axis=1)
    bones, nearest = _bones(), away.argmin(axis=1)
    excess = np.where(_neighbours(bones)[nearest], away - away.min(axis=1, keepdims=True), np.inf)
    wide = np.array([bone.partition(".")[0] in _WIDE_BONES for bone in bones])
    reach = np.where(wide[:, None] & wide, TRUNK_REACH, WEIGHT_REACH)
    for side in "LR":
        armpit = bones.index("chest"), bones.index(f"upper_arm.{side}")
        reach[armpit] = reach[armpit[::-1]] = ARMPIT_REACH
    weights = np.exp(-0.5 * (excess / reach[nearest]) ** 2)
    return np.asarray(weights / weights.sum(axis=1, keepdims=True))


def _neighbours(bones: Sequence[str]) -> NDArray[np.bool_]:
    """(B,B) which bones may share a vertex: itself, parent and child. Hands never pull thighs."""
    parents = {bone.name: bone.parent for bone in BONES}
    parents["spine.1"] = "hips"  # both hang on the body control
    armpits = {(f"upper_arm.{side}", "chest") for side in "LR"}
    pairs = [
        [one == two or parents[one] == two or (one, two) in armpits for two in bones]
        for one in bones
    ]
    return np.array(pairs) | np.array(pairs).T


def _skin(body: bpy.types.Object, weights: Floats) -> None:
    weights = np.where(weights < SMALLEST_WEIGHT, 0.0, weights)
    weights /= weights.sum(axis=1, keepdims=True)
    for bone, column in zip(_bones(), weights.T, strict=True):
        group = body.vertex_groups.new(name=bone)
        for vertex in np.flatnonzero(column):
            group.add([int(vertex)], float(column[vertex]), "REPLACE")


def _numbered(shells: Sequence[Shell]) -> Ints:
    """The faces of all shells, counted through."""
    starts = np.cumsum([0] + [len(shell.vertices) for shell in shells[:-1]])
    return np.concatenate(
        [shell.faces + start for shell, start in zip(shells, starts, strict=True)]
    )


def _paint(mesh: bpy.types.Mesh, shells: Sequence[Shell]) -> None:
    """Two plain materials, smooth shaded."""
    names = sorted({shell.material for shell in shells})
    for name in names:
        mesh.materials.append(material(name))
    slots = np.repeat(
        [names.index(shell.material) for shell in shells], [len(shell.faces) for shell in shells]
    )
    mesh.polygons.foreach_set("material_index", slots.astype(np.int32))
    mesh.polygons.foreach_set("use_smooth", np.ones(len(slots), dtype=bool))
    mesh.update()
