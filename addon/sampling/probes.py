# SPDX-License-Identifier: GPL-3.0-or-later
"""Empties that depend on what is followed, so that Blender evaluates it though it is hidden.

Blender does not evaluate what is hidden from viewports or excluded from the view layer unless
something visible needs it, and then only as far as that asks for.
"""

from collections.abc import Iterable

import bpy

from .curves import action_fcurves

NAME = ".plumbline sample"


def may_hide(item: bpy.types.Object) -> bool:
    """Whether an object is hidden from viewports, or keys, strips or drivers may hide it."""
    if item.hide_viewport:
        return True
    data = item.animation_data
    if data is None:
        return False
    played = [(data.action, getattr(data, "action_slot", None))]
    played += [
        (strip.action, getattr(strip, "action_slot", None))
        for track in data.nla_tracks
        for strip in track.strips
    ]
    curves = [c for action, slot in played if action for c in action_fcurves(action, slot)]
    return any(each.data_path == "hide_viewport" for each in (*curves, *data.drivers))


def make_probes(
    probes: list[bpy.types.Object],
    placed: Iterable[bpy.types.Object],
    posed: Iterable[bpy.types.Object],
    corners: Iterable[tuple[bpy.types.Object, int]] = (),
) -> dict[tuple[bpy.types.Object, int], bpy.types.Object]:
    """Add empties to the list: for transforms, for transforms and whole poses, and at vertices.

    The list grows one by one, so that a caller can remove what exists if one fails. Returns
    those at vertices: mesh object and index -> an empty that stands there.
    """
    found = {}
    for item, vertex in corners:
        probes.append(_corner_probe(item, vertex))
        found[item, vertex] = probes[-1]
    for item in (*placed, *posed):
        probes.append(_place_probe(item))
    for item in posed:
        if item.type == "ARMATURE":
            probes.append(_pose_probe(item))
    return found


def _corner_probe(item: bpy.types.Object, vertex: int) -> bpy.types.Object:
    """An empty that hangs on a vertex of a mesh: Blender finds that one in what modifiers make."""
    probe = bpy.data.objects.new(NAME, None)
    probe.parent, probe.parent_type = item, "VERTEX"
    probe.parent_vertices[0] = vertex
    return probe


def _place_probe(target: bpy.types.Object) -> bpy.types.Object:
    """An empty that copies an object's transforms, and so needs them evaluated."""
    probe = bpy.data.objects.new(NAME, None)
    constraint = probe.constraints.new("COPY_TRANSFORMS")
    constraint.target = target
    return probe


def _pose_probe(rig: bpy.types.Object) -> bpy.types.Object:
    """An empty that needs all of a rig's pose evaluated.

    A hidden rig is evaluated only as far as something visible asks for: the object alone
    brings no pose, and a bone brings itself and those above it. So it asks for every tip.
    """
    probe = bpy.data.objects.new(NAME, None)
    constraint = probe.constraints.new("ARMATURE")
    for bone in rig.data.bones:
        if not bone.children:
            target = constraint.targets.new()
            target.target, target.subtarget = rig, bone.name
    return probe
