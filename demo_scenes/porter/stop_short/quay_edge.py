# SPDX-License-Identifier: GPL-3.0-or-later
"""The quay turned so that its edge lies across the porter's way."""

from math import radians

import bpy

from ..pan import key_pan
from ..quay import EDGE_X, add_quay
from .feet import TOES_STOP

GAP = 0.11  # metres from the toes to the edge
_ASIDE = 0.6  # so that he stops between two bollards

CAMERA, _LENS = (4.3, -4.1, 1.5), 44.0
# frame -> where the camera looks: it follows him in, a little late, and comes to rest after him
_AIMS = {
    -12: (0.0, -0.40, 0.98),
    1: (0.0, -0.87, 0.97),
    13: (0.0, -1.33, 0.95),
    25: (0.0, -1.82, 0.92),
    40: (0.0, -2.24, 0.92),
    52: (0.0, -2.31, 0.94),
    66: (0.0, -2.32, 0.94),
}


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
    camera.location, camera.data.lens = CAMERA, _LENS
    key_pan(camera, _AIMS)
