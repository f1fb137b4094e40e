# SPDX-License-Identifier: GPL-3.0-or-later
"""Rigs for tests: small, awkward, and animated in many ways."""

from itertools import pairwise

import bpy
import numpy as np
from mathutils import Vector


def armature(name, bones):
    """An armature of bones {name: (parent, head, tail)} in the scene."""
    rig = bpy.data.objects.new(name, bpy.data.armatures.new(name))
    bpy.context.scene.collection.objects.link(rig)
    bpy.context.view_layer.objects.active = rig
    bpy.ops.object.mode_set(mode="EDIT")
    for bone, (parent, head, tail) in bones.items():
        made = rig.data.edit_bones.new(bone)
        made.head, made.tail = head, tail
        if parent:
            made.parent = rig.data.edit_bones[parent]
    bpy.ops.object.mode_set(mode="OBJECT")
    return rig


BIPED = {
    "hips": (None, (0, 0, 1.0), (0, 0, 1.15)),
    "spine": ("hips", (0, 0, 1.15), (0, 0, 1.35)),
    "chest": ("spine", (0, 0, 1.35), (0, 0, 1.5)),
    "neck": ("chest", (0, 0, 1.5), (0, 0, 1.6)),
    "head": ("neck", (0, 0, 1.6), (0, 0, 1.8)),
    **{
        f"{name}.{side}": (
            f"{parent}.{side}" if parent[0] in "tsuf" and parent != "chest" else parent,
            (sign * head[0], head[1], head[2]),
            (sign * tail[0], tail[1], tail[2]),
        )
        for side, sign in (("L", 1), ("R", -1))
        for name, parent, head, tail in (
            ("thigh", "hips", (0.1, 0, 0.95), (0.1, -0.02, 0.5)),
            ("shin", "thigh", (0.1, -0.02, 0.5), (0.1, 0, 0.08)),
            ("foot", "shin", (0.1, 0, 0.08), (0.1, -0.15, 0.02)),
            ("upper_arm", "chest", (0.2, 0, 1.45), (0.45, 0.02, 1.45)),
            ("forearm", "upper_arm", (0.45, 0.02, 1.45), (0.7, 0, 1.45)),
            ("hand", "forearm", (0.7, 0, 1.45), (0.8, 0, 1.45)),
        )
    },
}


def every_frame():
    """Let a ball that is baked have a key a frame, where nothing else was chosen."""
    chosen = bpy.context.window_manager.plumbline.sphere
    if not chosen.is_property_set("keys"):
        chosen.keys = "EVERY"


def key(owner, path, values, frames=(1, 20, 40)):
    """Key a property of an object or pose bone on frames."""
    for frame, value in zip(frames, values, strict=True):
        setattr(owner, path, value)
        owner.keyframe_insert(path, frame=frame)


def biped(name="porter"):
    """A keyed biped: the hips travel and bob, arms and legs swing."""
    rig = armature(name, BIPED)
    bones = rig.pose.bones
    for bone in bones:
        bone.rotation_mode = "XYZ"
    key(bones["hips"], "location", [(0, 0, 0), (0.05, 0.02, 0.4), (0, 0, 0.8)])
    for sign, side in ((1, "L"), (-1, "R")):
        swing = 0.5 * sign
        key(
            bones[f"thigh.{side}"], "rotation_euler", [(swing, 0, 0), (-swing, 0, 0), (swing, 0, 0)]
        )
        key(
            bones[f"upper_arm.{side}"],
            "rotation_euler",
            [(0, 0, swing), (0, 0, -swing), (0, 0, swing)],
        )
    key(bones["head"], "rotation_euler", [(0, 0.2, 0), (0.1, -0.2, 0), (0, 0.2, 0)])
    set_range(1, 40)
    return rig


def spike(owner, path, index, frame, add):
    """A stray linear key on one frame: only that frame differs."""
    scene = bpy.context.scene
    values = []
    for at in (frame - 1, frame, frame + 1):
        scene.frame_set(at)
        values.append(getattr(owner, path)[index] + (add if at == frame else 0.0))
    for at, value in zip((frame - 1, frame, frame + 1), values, strict=True):
        getattr(owner, path)[index] = value
        owner.keyframe_insert(path, index=index, frame=at)
    for curve in fcurves(owner.id_data):
        if curve.data_path.endswith(path) and owner.name in curve.data_path:
            for point in curve.keyframe_points:
                if frame - 1 <= point.co.x <= frame + 1:
                    point.interpolation = "LINEAR"
    scene.frame_set(frame)


def fcurves(rig):
    """F-curves of the active action, wherever this version keeps them."""
    data = rig.animation_data
    if hasattr(data.action, "fcurves"):
        return list(data.action.fcurves)
    (strip,) = data.action.layers[0].strips
    return list(strip.channelbag(data.action_slot).fcurves)


def set_range(first, last):
    """The range that plays."""
    bpy.context.scene.frame_start, bpy.context.scene.frame_end = first, last


def awkward():
    """A biped with everything that is hard to sample.

    A scaled, rotated, animated parent; IK with a hidden target; constraints on other objects;
    drivers on the frame and on transforms; an NLA strip scaled 1.7; a bone scaled twice; a
    mesh that follows and is followed.
    """
    rig = biped("awkward")
    scene = bpy.context.scene
    parent = bpy.data.objects.new("cart", None)
    scene.collection.objects.link(parent)
    parent.scale, parent.rotation_euler = (1.3, 1.3, 1.3), (0.2, 0.1, 0.7)
    key(parent, "location", [(0, 0, 0), (1, 0.3, 0), (2, 0, 0.1)])
    rig.parent = parent
    rig.location = (0.3, 0.2, 0.0)
    target = bpy.data.objects.new("target", None)
    scene.collection.objects.link(target)
    target.hide_viewport = True
    key(target, "location", [(0.2, 0.3, 0.3), (0.4, -0.3, 0.4), (0.2, 0.3, 0.3)])
    ik = rig.pose.bones["shin.L"].constraints.new("IK")
    ik.target, ik.chain_count = target, 2
    track = rig.pose.bones["head"].constraints.new("DAMPED_TRACK")
    track.target = target
    track.influence = 0.4
    copy = rig.pose.bones["hand.R"].constraints.new("COPY_LOCATION")
    copy.target, copy.subtarget, copy.influence = rig, "head", 0.3
    rig.pose.bones["forearm.L"].scale = (2.0, 2.0, 2.0)
    drive(rig.pose.bones["chest"], "rotation_euler", 2, "frame * 0.01")
    drive(rig.pose.bones["neck"], "rotation_euler", 0, "reach", variable=(target, "LOC_X"))
    push_to_strip(rig, scale=1.7)
    return rig


def drive(owner, path, index, expression, variable=None):
    """A scripted driver; `variable` is an object and one of its transforms, named reach."""
    driver = owner.driver_add(path, index).driver
    driver.type, driver.expression = "SCRIPTED", expression
    if variable is not None:
        made = driver.variables.new()
        made.name, made.type = "reach", "TRANSFORMS"
        made.targets[0].id, made.targets[0].transform_type = variable


def push_to_strip(rig, *, scale=1.0, start=1):
    """Move the active action into an NLA strip."""
    action = rig.animation_data.action
    slot = getattr(rig.animation_data, "action_slot", None)
    strip = rig.animation_data.nla_tracks.new().strips.new(action.name, start, action)
    if slot is not None:
        strip.action_slot = slot
    strip.scale = scale
    rig.animation_data.action = None
    return strip


def boathook(rig, bone="hand.R"):
    """A mesh pole parented to a hand's bone, its length along its own Z."""
    mesh = bpy.data.meshes.new("boathook")
    corners = [(x, y, z) for x in (-0.02, 0.02) for y in (-0.02, 0.02) for z in (-0.3, 1.5)]
    mesh.from_pydata(corners, [], [(0, 1, 3, 2), (4, 5, 7, 6)])
    pole = bpy.data.objects.new("boathook", mesh)
    bpy.context.scene.collection.objects.link(pole)
    pole.parent, pole.parent_type, pole.parent_bone = rig, "BONE", bone
    return pole


def cube(name):
    """A cube of half a metre, one metre above the floor."""
    corners = [(x, y, z) for x in (-0.25, 0.25) for y in (-0.25, 0.25) for z in (-0.25, 0.25)]
    faces = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    mesh = bpy.data.meshes.new(name)
    mesh.from_pydata(corners, [], faces)
    made = bpy.data.objects.new(name, mesh)
    made.location = (0.6, 0.0, 1.0)
    bpy.context.scene.collection.objects.link(made)
    return made


def real_matrices(rig, frames, others=()):
    """Step the real scene: pose matrices (T,bones,4,4), world (T,4,4), others' worlds."""
    scene = bpy.context.scene
    poses, worlds, theirs = [], [], []
    for frame in frames:
        scene.frame_set(int(frame), subframe=float(frame) % 1.0)
        seen = rig.evaluated_get(bpy.context.evaluated_depsgraph_get())
        poses.append([np.array(bone.matrix, dtype=np.float32) for bone in seen.pose.bones])
        worlds.append(np.array(seen.matrix_world, dtype=np.float64))
        graph = bpy.context.evaluated_depsgraph_get()
        theirs.append([np.array(o.evaluated_get(graph).matrix_world, dtype=float) for o in others])
    return np.array(poses), np.array(worlds), np.array(theirs)


def tail(bone):
    """The tail of a bone in rest, as a vector."""
    return Vector(bone.tail_local)


def node_group(item):
    """An empty geometry-nodes group as a modifier of an object."""
    group = bpy.data.node_groups.new("nodes", "GeometryNodeTree")
    for way in ("INPUT", "OUTPUT"):
        group.interface.new_socket("Geometry", in_out=way, socket_type="NodeSocketGeometry")
    item.modifiers.new("nodes", "NODES").node_group = group
    return group


def chain_nodes(group, *nodes):
    """Lead the group's geometry through nodes, first socket to first socket."""
    chain = (group.nodes.new("NodeGroupInput"), *nodes, group.nodes.new("NodeGroupOutput"))
    for before, after in pairwise(chain):
        group.links.new(before.outputs[0], after.inputs[0])


def follow_corner(bone, item):
    """Let a bone copy the place of a mesh's first corner."""
    item.vertex_groups.new(name="corner").add([0], 1.0, "REPLACE")
    copy = bone.constraints.new("COPY_LOCATION")
    copy.target, copy.subtarget = item, "corner"


def rigid_body(item):
    """Let an object fall."""
    bpy.ops.rigidbody.world_add()
    with bpy.context.temp_override(object=item, active_object=item, selected_objects=[item]):
        bpy.ops.rigidbody.object_add(type="ACTIVE")


def key_item(owner, name, values, frames=(1, 20, 40)):
    """Key a custom property on frames."""
    for frame, value in zip(frames, values, strict=True):
        owner[name] = value
        owner.keyframe_insert(f'["{name}"]', frame=frame)
