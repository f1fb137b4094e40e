# SPDX-License-Identifier: GPL-3.0-or-later
"""The quay turned so that its edge lies across the porter's way."""

from math import radians

import bpy
from mathutils import Vector

from ..quay import EDGE_X, add_quay
from .feet import TOES_STOP

GAP = 0.11  # metres from the toes to the edge
_ASIDE = 0.6  # so that he stops between two bollards


def add_quay_edge(scene: bpy.types.Scene) -> None:
    """Build the quay with the water ahead, and look at the stop from over the water."""
    add_quay(scene)
    place = bpy.data.objects.new("quay_place", None)
    quay = bpy.data.collections["quay"]
    for thing in quay.objects:
        if thing.type == "MESH":
            thing.parent = place
    quay.objects.link(place)
    place.rotation_euler.z = radians(-90.0)
    place.location = (_ASIDE, EDGE_X - TOES_STOP - GAP, 0.0)
    _look(scene.camera)


def _look(camera: bpy.types.Object) -> None:
    camera.location, camera.data.lens = (4.3, -4.1, 1.5), 38.0
    aim = Vector((0.0, -1.45, 0.95)) - camera.location
    camera.rotation_euler = aim.to_track_quat("-Z", "Y").to_euler()
