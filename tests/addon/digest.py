# SPDX-License-Identifier: GPL-3.0-or-later
"""A digest of everything in a file and a session that a check must not change."""

import hashlib
import math
import re
import warnings

import bpy
import numpy as np

# Read-only facts of the running program that change by themselves, or by being looked at.
_VOLATILE = {
    "rna_type",
    "is_evaluated",
    "is_updated",
    "is_updated_data",
    "session_uid",
    "original",
    "tag",
    "bindcode",
    "storage_type",  # changes by reading the values
    "preview",
    "depsgraph",
    "asset_data",
}
_DEPTH = 4
_MANY = 100
_DTYPES = {"BOOLEAN": np.bool_, "INT": np.int32, "FLOAT": np.float32}
# What makes up a shot. Of the rest (screens, brushes, ...) only names and users are noted:
# reading every property of the interface is slow and not safe without a window.
_WALKED = {
    "actions",
    "armatures",
    "cameras",
    "collections",
    "lights",
    "materials",
    "meshes",
    "node_groups",
    "objects",
    "scenes",
    "shape_keys",
    "texts",
    "worlds",
}

_OWN_LIST = re.compile(
    r"^(armatures\[[^]]*\]\.(bones|collections_all)|objects\[[^]]*\]\.pose\.bones)$"
)


def digest():
    """{path: value} of all datablocks, the frame, the mode, the selection, the window state."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # some properties are deprecated; all are read
        return {**_blocks(), **_session()}


def digest_of(blocks):
    """{path: value} of some datablocks alone."""
    found = {}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for block in blocks:
            _walk(block, f"{block.id_type}[{block.name_full}]", found, _DEPTH)
    return found


def _blocks():
    found = {}
    for collection in bpy.data.bl_rna.properties:
        if collection.type != "COLLECTION" or collection.identifier == "window_managers":
            continue
        blocks = getattr(bpy.data, collection.identifier)
        found[collection.identifier] = tuple(sorted(block.name_full for block in blocks))
        for block in blocks:
            name = f"{collection.identifier}[{block.name_full}]"
            found[f"{name}.users"] = block.users
            if collection.identifier not in _WALKED:
                continue
            _walk(block, name, found, _DEPTH)
            for number, curve in enumerate(_layered_curves(block)):
                _walk(curve, f"{name}.curves[{number}]", found, _DEPTH)
    return found


def _layered_curves(block):
    """The curves of an action's layers lie deeper than is walked."""
    layers = getattr(block, "layers", ()) if isinstance(block, bpy.types.Action) else ()
    strips = [strip for layer in layers for strip in layer.strips]
    return [curve for strip in strips for bag in strip.channelbags for curve in bag.fcurves]


def difference(before, after):
    """Paths whose values differ, for a readable failure."""
    keys = {*before, *after}
    return {k: (before.get(k), after.get(k)) for k in keys if before.get(k) != after.get(k)}


def _walk(struct, path, found, depth):
    for prop in struct.bl_rna.properties:
        name = prop.identifier
        if name in _VOLATILE:
            continue
        try:
            value = getattr(struct, name)
        except (AttributeError, TypeError, RuntimeError):
            continue
        _note(value, prop, f"{path}.{name}", found, depth)
    if isinstance(struct, (bpy.types.ID, bpy.types.PoseBone, bpy.types.Bone)):
        for key in struct.keys():  # noqa: SIM118 - custom properties, not a dict
            found[f'{path}["{key}"]'] = str(struct[key])


def _is_bone(item):
    """Bones and their collections name each other: followed once, in their own list."""
    return isinstance(item, (bpy.types.Bone, bpy.types.PoseBone, bpy.types.BoneCollection))


def _is_named(item):
    return isinstance(item, bpy.types.ID) or _is_bone(item)


def _note(value, prop, path, found, depth):
    if prop.type == "POINTER":
        if value is None or isinstance(value, bpy.types.ID):
            found[path] = None if value is None else value.name_full
        elif _is_bone(value):
            found[path] = value.name
        elif depth > 0:
            # Paint settings crash 4.2 when read without a brush, so tools are read flat.
            _walk(value, path, found, 0 if path.endswith(".tool_settings") else depth - 1)
    elif prop.type == "COLLECTION":
        found[path] = len(value)
        if depth > 0 and len(value) >= _MANY and not _is_named(value[0]):
            _note_many(value, path, found, depth)
        elif depth > 0:
            for number, item in enumerate(value):
                if isinstance(item, bpy.types.ID):
                    found[f"{path}[{number}]"] = item.name_full
                elif _is_bone(item) and not _OWN_LIST.match(path):
                    found[f"{path}[{number}]"] = item.name
                else:
                    _walk(item, f"{path}[{number}]", found, depth - 1)
    elif getattr(prop, "is_array", False):
        found[path] = str([list(v) if hasattr(v, "__len__") else v for v in value])
    else:
        found[path] = str(value)


def _note_many(items, path, found, depth):
    """A mesh has ten thousands of points: their numbers are read in one go, the rest one by one."""
    for prop in items[0].bl_rna.properties:
        name = prop.identifier
        if name in _VOLATILE:
            continue
        numbers = _numbers(items, prop)
        if numbers is not None:
            found[f"{path}[:].{name}"] = hashlib.blake2b(numbers.tobytes()).hexdigest()
            continue
        for number, item in enumerate(items):
            _note(getattr(item, name), prop, f"{path}[{number}].{name}", found, depth - 1)


def _numbers(items, prop):
    """A numeric property of all items; None where it is none, or its length differs."""
    uneven = isinstance(items[0], bpy.types.MeshPolygon) and prop.identifier == "vertices"
    if prop.type not in _DTYPES or uneven:
        return None
    each = math.prod(n for n in prop.array_dimensions if n) if prop.is_array else 1
    numbers = np.zeros(len(items) * each, _DTYPES[prop.type])
    items.foreach_get(prop.identifier, numbers)
    return numbers


def _session():
    context, scene = bpy.context, bpy.context.scene
    found = {
        "scene": scene.name,
        "frame": (scene.frame_current, scene.frame_subframe),
        "mode": context.mode,
        "active": getattr(context.view_layer.objects.active, "name", None),
        "selected": tuple(o.name for o in context.view_layer.objects.selected),
        "window scene": context.window.scene.name,
        "view layer": context.view_layer.name,
    }
    for item in scene.objects:
        if item.pose is not None:
            for bone in item.pose.bones:
                select = bone.select if hasattr(bone, "select") else bone.bone.select
                found[f"{item.name}/{bone.name}.select"] = bool(select)
                found[f"{item.name}/{bone.name}.basis"] = str([*map(list, bone.matrix_basis)])
    return found
