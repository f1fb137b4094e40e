# SPDX-License-Identifier: GPL-3.0-or-later
"""Draws the targets that came with notes: thin lines, on the frame of their note only."""

from itertools import pairwise
from typing import Any

import bpy
import gpu
import numpy as np
from gpu_extras.batch import batch_for_shader

from ..sampling.scene_facts import metres_per_unit
from ..ui.notes_shown import drawn_on
from .batches import draw_batch

_WIDTH = 1.5
# Reddish purple of the palette by Okabe and Ito (2008), which no colour blindness hides.
_COLOUR = (0.8, 0.47, 0.65, 1.0)


def segments(strokes: Any, metres_per_unit: float) -> np.ndarray[Any, np.dtype[np.float32]]:
    """(2L,3) ends of the lines of strokes in metres, in the scene's units."""
    pairs = [(begin, end) for stroke in strokes for begin, end in pairwise(stroke)]
    return np.array(pairs, dtype=np.float32).reshape(-1, 3) / np.float32(metres_per_unit)


def draw() -> None:
    """In the scene's space, after the scene."""
    context = bpy.context
    scene = context.scene
    if not context.space_data.overlay.show_overlays:
        return
    strokes = drawn_on(scene, scene.frame_current)
    if not strokes:
        return
    shader = gpu.shader.from_builtin("POLYLINE_UNIFORM_COLOR")
    points = segments(strokes, metres_per_unit(scene))
    batch = batch_for_shader(shader, "LINES", {"pos": points})
    shader.bind()
    viewport: Any = gpu.state.viewport_get()
    shader.uniform_float("viewportSize", viewport[2:])
    shader.uniform_float("lineWidth", _WIDTH * context.preferences.system.ui_scale)
    shader.uniform_float("color", _COLOUR)
    before = gpu.state.blend_get()
    gpu.state.blend_set("ALPHA")
    draw_batch(batch, shader)
    gpu.state.blend_set(before)
