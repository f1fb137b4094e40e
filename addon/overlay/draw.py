# SPDX-License-Identifier: GPL-3.0-or-later
"""Draws the layers into a viewport: state of the GPU only; what they hold is made elsewhere."""

from dataclasses import dataclass
from typing import Any

import bpy
import gpu
import numpy as np
from mathutils import Matrix

from ..strip.place import room_in, taken_by
from ..ui import last_check
from . import built, letters, shaders, texts, told_sheets, wanted
from .batches import ALL, Pen, gpu_state
from .built import Built
from .camera_space import placing
from .screen import STEEP
from .wanted import Wanted

# What is behind something is drawn with this share of its strength.
FAINT = 0.3
# Unscaled pixels: the dark edges of a line, and how much larger the playhead's dots are.
_EDGE, _NOW = 2.0, 2.4


# Of regions that are being drawn, from the scene's part to the pixels'.
_ready: dict[int, "Ready"] = {}


@dataclass(frozen=True, eq=False)
class Ready:
    """What is drawn now, and from what the pens are to see it: the scene, and what is placed
    before the camera, (4,4) each."""

    now: Wanted
    built: Built
    place: Matrix | None
    size: tuple[float, float]
    scale: float
    seen: Matrix
    seen_placed: Matrix

    @property
    def span(self) -> tuple[float, float]:
        """Which frames are drawn: half a frame more on both sides, as the playhead may stand
        between two."""
        span = self.now.span
        return ALL if span is None else (span[0] - 1e-3, span[1] + 1e-3)


def draw_scene() -> None:
    """In the scene's space, after the scene: faint where something hides it."""
    context = bpy.context
    number, ready = context.region.as_pointer(), prepare(context)
    _ready.pop(number, None)
    if ready is None:
        return
    _ready[number] = ready
    if not ready.built.joined:
        return
    now = ready.now
    pen = Pen(now.look.casing, ready.size, ready.span, future=(now.playhead + 0.5, now.ahead))
    with gpu_state():
        gpu.state.depth_test_set("GREATER")
        _draw_hidden(pen, ready, FAINT)
        gpu.state.depth_test_set("LESS_EQUAL")
        _draw_hidden(pen, ready, 1.0)
        gpu.state.depth_test_set("NONE")
        _draw_above(pen, ready, _shows_height(context.region_data))


def draw_labels() -> None:
    """In pixels, on top: sentences and frame numbers."""
    context = bpy.context
    ready = _ready.pop(context.region.as_pointer(), None)
    if ready is None:
        return
    region = _texts(context, ready)
    found = texts.batches_of(region, ready.now, ready.scale)
    if not any(found.values()):
        return
    # Readable over anything, and as strong ahead of the playhead.
    pen = Pen((*ready.now.look.casing[:3], 1.0), ready.size, ready.span)
    letters_drawn = shaders.text_shader()
    with gpu_state():
        gpu.state.depth_test_set("NONE")
        pen.bind(letters_drawn)
        letters_drawn.shader.uniform_sampler("letters", region.picture.held.texture_color)
        for on_floor, batch in found.items():
            pen.draw(letters_drawn, batch, ready.seen if on_floor else ready.seen_placed)


def prepare(context: bpy.types.Context) -> Ready | None:
    """What to draw in the context's region; where nothing has changed, what was drawn before."""
    if last_check.last_check() is None:
        forget()
        return None
    if not context.space_data.overlay.show_overlays:
        return None
    now = wanted.wanted(context)
    if now is None:
        return None
    scale = context.preferences.system.ui_scale
    place = place_of(context) if now.choice.camera else None
    seen = context.region_data.perspective_matrix
    placed = seen if place is None else seen @ place
    region = context.region
    size = (float(region.width), float(region.height))
    return Ready(now, built.built(now, scale), place, size, scale, seen, placed)


def forget() -> None:
    """Drop all that was built."""
    _ready.clear()
    built.forget()
    texts.forget()
    letters.forget()
    told_sheets.forget()
    wanted.forget()


def place_of(context: bpy.types.Context) -> Matrix:
    """Where what the camera saw is placed now: before the camera as Blender has it."""
    scene, graph = context.scene, context.view_layer.depsgraph
    camera, render = scene.camera.evaluated_get(graph), scene.render
    lens = camera.calc_matrix_camera(
        graph,
        x=render.resolution_x,
        y=render.resolution_y,
        scale_x=render.pixel_aspect_x,
        scale_y=render.pixel_aspect_y,
    )
    return Matrix(placing(np.array(camera.matrix_world), np.array(lens)).tolist())


def _draw_hidden(pen: Pen, ready: Ready, strength: float) -> None:
    """What may be hidden: lines, with a dark edge where they are not, and dots."""
    edge = (0.0, 0.0, 0.0, -_EDGE * ready.scale if strength == 1.0 else 0.0)
    for part in ready.built.joined:
        seen = ready.seen if part.on_floor else ready.seen_placed
        pen.draw(shaders.figure_shader(), part.hidden, seen, paint=edge, strength=strength)


def _draw_above(pen: Pen, ready: Ready, shows_height: bool) -> None:
    """What nothing hides, and what belongs to the current frame."""
    figures, now = shaders.figure_shader(), ready.now
    span = (now.playhead - 0.5, now.playhead + 0.5)
    paint = (*now.look.ring[:3], _NOW * ready.scale)
    for part in ready.built.joined:
        seen = ready.seen if part.on_floor else ready.seen_placed
        pen.draw(figures, part.above if shows_height else part.level, seen)
        pen.draw(figures, part.hidden, seen, paint=paint, span=span)


def _shows_height(data: Any) -> bool:
    return bool(abs(data.view_matrix[2][2]) < STEEP)


def _texts(context: bpy.types.Context, ready: Ready) -> texts.Region:
    """The region's texts, which are looked at only where anything is not as it was."""
    space, region, data = context.space_data, context.region, context.region_data
    free, box = room_in(context.area, region, ready.scale)
    now, taken = ready.now, wanted.taken_parts(space, free, ready.scale)
    if now.strip:
        taken += taken_by(context, box)
    frame = (region.width, region.height, ready.scale, free, taken)
    # Copies, as Blender goes on changing its own.
    matrices = (ready.seen.copy(), ready.seen_placed.copy())
    told, standing = texts.told_by(now, ready.scale), (now.span, frame, matrices)
    known = texts.region(region.as_pointer())
    if not texts.waits(known, told, standing):
        floor = view = wanted.view_of(region, data, ready.scale, free, taken)
        if ready.place is not None:
            view = wanted.view_of(region, data, ready.scale, free, taken, ready.place)
        texts.bring_up(known, now, ready.built.layers, view, floor, standing)
    return known
