# SPDX-License-Identifier: GPL-3.0-or-later
"""A harbour crane whose hook swings as a pendulum of its length swings."""

from math import asin, pi, sqrt

import bmesh
import bpy
from mathutils import Matrix, Vector

from ..boathook import tube
from ..materials import material

GRAVITY = 9.80665
LENGTH = 3.40  # metres from the jib to the middle of the hook block
PIVOT = (-0.56, 0.0, 4.97)
ALONG, ASIDE = 1.65, 0.45  # how far the hook swings to and fro, and to either side
PASSES = 29  # the frame on which it crosses the porter's place, on its way from ahead to behind

_JIB_FOOT = (-3.0, 1.4, 0.0)
_LINK = 0.055


def period_s() -> float:
    """Seconds of a full swing, with the first correction for the size of the swing."""
    return 2.0 * pi * sqrt(LENGTH / GRAVITY) * (1.0 + asin(ALONG / LENGTH) ** 2 / 16.0)


def add_crane(scene: bpy.types.Scene) -> bpy.types.Object:
    """Build jib, chain and hook into a collection of the scene; returns the hook, swinging."""
    crane = bpy.data.collections.new("crane")
    scene.collection.children.link(crane)
    _object(crane, "crane_jib", _jib(), ("bollard_iron",))
    hook = _object(crane, "crane_hook", _hook(), ("boathook_iron", "quay_edge"))
    hook.location = PIVOT
    _swing(hook, scene.render.fps / scene.render.fps_base)
    return hook


def _swing(hook: bpy.types.Object, fps: float) -> None:
    """Two sine waves a quarter period apart: a long and narrow oval, clear of the man's return."""
    hook.animation_data_create().action = bpy.data.actions.new("crane_hook")
    per_frame = 2.0 * pi / (period_s() * fps)
    for index, reach, early in ((0, ALONG, 0.0), (1, -ASIDE, 0.5 * pi)):
        curve = _curve(hook, index)
        wave = curve.modifiers.new("FNGENERATOR")
        wave.function_type = "SIN"
        wave.amplitude = asin(reach / LENGTH)
        wave.phase_multiplier = per_frame
        wave.phase_offset = early - per_frame * PASSES
        curve.update()


def _curve(hook: bpy.types.Object, index: int) -> bpy.types.FCurve:
    action = hook.animation_data.action
    if hasattr(action, "fcurve_ensure_for_datablock"):
        return action.fcurve_ensure_for_datablock(hook, "rotation_euler", index=index)
    return action.fcurves.new("rotation_euler", index=index)


def _object(
    collection: bpy.types.Collection, name: str, made: bmesh.types.BMesh, paints: tuple[str, ...]
) -> bpy.types.Object:
    mesh = bpy.data.meshes.new(name)
    made.to_mesh(mesh)
    made.free()
    for paint in paints:
        mesh.materials.append(material(paint))
    thing = bpy.data.objects.new(name, mesh)
    collection.objects.link(thing)
    return thing


def _jib() -> bmesh.types.BMesh:
    """A mast on the quay and a beam out to above the hook, with a strut."""
    made = bmesh.new()
    foot, tip = Vector(_JIB_FOOT), Vector(PIVOT)
    head = foot + Vector((0.0, 0.0, tip.z - 0.35))
    for start, end, thick in (
        (foot, head, 0.26),
        (head, tip + Vector((0.0, 0.0, 0.10)), 0.17),
        (foot.lerp(head, 0.66), head.lerp(tip, 0.42), 0.11),
    ):
        _beam(made, start, end, thick)
    return made


def _hook() -> bmesh.types.BMesh:
    """Chain, block and hook below the origin, which is where the chain hangs."""
    made = bmesh.new()
    top = -LENGTH + 0.13
    for n in range(int(-top / _LINK)):
        high = Vector((0.0, 0.0, -n * _LINK))
        _beam(made, high, high - Vector((0.0, 0.0, 1.25 * _LINK)), 0.034, flat=n % 2)
    _beam(made, Vector((0.0, 0.0, top)), Vector((0.0, 0.0, top - 0.22)), 0.17, slot=1)
    _beam(made, Vector((0.0, 0.0, top - 0.22)), Vector((0.0, 0.0, top - 0.27)), 0.06)
    z = top - 0.35
    bend = [(0.0, z + 0.08, 0.020), (0.0, z + 0.045, 0.022), (-0.045, z, 0.026)]
    bend += [(-0.02, z - 0.05, 0.030), (0.03, z - 0.055, 0.028), (0.075, z - 0.02, 0.020)]
    tube(made, [*bend, (0.085, z + 0.03, 0.010)], 0)
    return made


def _beam(
    made: bmesh.types.BMesh,
    start: Vector,
    end: Vector,
    thick: float,
    *,
    flat: int = 0,
    slot: int = 0,
) -> None:
    """A square bar between two points; `flat` thins it to a chain link's side or front."""
    along = end - start
    turn = along.to_track_quat("Z", "Y").to_matrix().to_4x4()
    wide = thick if slot or thick > 0.04 else 0.4 * thick
    size = Vector((thick, wide, along.length) if flat else (wide, thick, along.length))
    place = Matrix.Translation(start.lerp(end, 0.5)) @ turn @ Matrix.Diagonal((*size, 1.0))
    before = len(made.faces)
    bmesh.ops.create_cube(made, size=1.0, matrix=place)
    made.faces.ensure_lookup_table()
    for face in made.faces[before:]:
        face.material_index = slot
