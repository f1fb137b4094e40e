# SPDX-License-Identifier: GPL-3.0-or-later
"""Draws the layers into a viewport: state of the GPU only; what they hold is made elsewhere."""

from dataclasses import dataclass

import bpy
import gpu
import numpy as np
from mathutils import Matrix

from ..strip import draw as strip_draw
from ..strip.place import is_shown_in, room_in
from ..ui import last_check
from . import built, letters, shaders, steps, texts, told_sheets, wanted
from .batches import Pen, gpu_state
from .built import Built
from .camera_space import placing
from .screen import STEEP, Box
from .steps import Steps
from .wanted import Wanted

# As many regions as are kept.
_MOST = 16


@dataclass(slots=True, eq=False)
class Sight:
    """How a region is seen.

    scene, placed  what stands in the scene, and what stands before the camera, (4,4) each
    place          from before the camera to the scene (4,4); None where all stands in the scene
    size, scale    its pixels, and pixels for one unscaled pixel
    free, strip    the part that Blender leaves free, and the strip's box where it is shown
    """

    scene: Matrix
    placed: Matrix
    place: Matrix | None
    size: tuple[float, float]
    scale: float
    free: Box
    strip: Box | None


@dataclass(slots=True, eq=False)
class Ready:
    """What a redraw of a region draws; the strip where it is shown."""

    sight: Sight
    steps: Steps
    texts: texts.Region
    strip: strip_draw.Ready | None


# A camera's pose and lens as they were last, and what follows.
_placed: list[tuple[Matrix, Matrix, Matrix]] = []
# Of regions by their numbers, from the scene's part of a redraw to the pixels'. All is looked at
# before the first thing is drawn: what follows finds nothing of ours in the processor's caches.
_ready: dict[int, Ready] = {}


def draw_scene() -> None:
    """In the scene's space, after the scene: faint where something hides it."""
    context = bpy.context
    region = context.region
    number = region.as_pointer()
    ready = prepare(context, region, number)
    if ready is None:
        _ready.pop(number, None)
        return
    if len(_ready) > _MOST:
        _ready.clear()
    _ready[number] = ready
    if not ready.steps.layers:
        return
    sight = ready.sight
    with gpu_state():
        pen, depth = Pen(shaders.figure_shader()), ""
        for step in ready.steps.layers:
            if step.depth != depth:
                depth = step.depth
                gpu.state.depth_test_set(depth)
            pen.draw(step.batch, sight.scene if step.on_floor else sight.placed, step.told)


def draw_pixels() -> None:
    """In pixels, on top: sentences, frame numbers, and the strip."""
    ready = _ready.get(bpy.context.region.as_pointer())
    if ready is None:
        return
    batches = [pair for pair in ready.texts.batches.items() if pair[1] is not None]
    if not batches and ready.strip is None:
        return
    with gpu_state():
        gpu.state.depth_test_set("NONE")
        if batches:
            pen = Pen(shaders.text_shader())
            pen.take_letters(ready.texts.picture.held.texture_color)
            for on_floor, batch in batches:
                seen = ready.sight.scene if on_floor else ready.sight.placed
                pen.draw(batch, seen, ready.steps.texts)
        if ready.strip is not None:
            strip_draw.draw(ready.strip)


def prepare(context: bpy.types.Context, region: bpy.types.Region, number: int) -> Ready | None:
    """What to draw in a region of this number; what has not changed is what was drawn before."""
    if last_check.last_check() is None:
        forget()
        return None
    if not context.space_data.overlay.show_overlays:
        return None
    now = wanted.wanted(context)
    if now is None:
        return None
    sight = _sight_of(context, region, now)
    drawn = built.built(now, sight.scale)
    shows_height = abs(context.region_data.view_matrix[2][2]) < STEEP
    box = sight.strip
    return Ready(
        sight,
        steps.steps(number, now, drawn, sight.size, sight.scale, shows_height=shows_height),
        _texts(context, region, number, now, drawn, sight),
        None if box is None else strip_draw.prepare(context, now, sight.size, sight.scale, box),
    )


def make_way() -> None:
    """As the panel of the last operation is drawn, which comes up over the strip and has only
    itself drawn: have the strip stand beside it."""
    area = bpy.context.area
    scale = bpy.context.preferences.system.ui_scale
    for region in area.regions:
        ready = _ready.get(region.as_pointer()) if region.type == "WINDOW" else None
        stands = None if ready is None else ready.sight.strip
        if stands is not None and stands != room_in(area, region, scale)[1]:
            texts.look_again_soon()


def _sight_of(context: bpy.types.Context, region: bpy.types.Region, now: Wanted) -> Sight:
    scale, data = context.preferences.system.ui_scale, context.region_data
    place = place_of(context) if now.choice.camera else None
    # A copy, as Blender goes on changing its own.
    seen = data.perspective_matrix.copy()
    free, box = room_in(context.area, region, scale)
    return Sight(
        scene=seen,
        placed=seen if place is None else seen @ place,
        place=place,
        size=(float(region.width), float(region.height)),
        scale=scale,
        free=free,
        strip=box if now.strip and is_shown_in(context.space_data, data) else None,
    )


def forget() -> None:
    """Drop all that was built."""
    _ready.clear()
    built.forget()
    steps.forget()
    texts.forget()
    letters.forget()
    told_sheets.forget()
    wanted.forget()
    strip_draw.forget()


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
    pose = camera.matrix_world
    if not _placed or _placed[0][:2] != (pose, lens):
        place = Matrix(placing(np.array(pose), np.array(lens)).tolist())
        _placed[:] = [(pose.copy(), lens, place)]
    return _placed[0][2]


def _texts(
    context: bpy.types.Context,
    region: bpy.types.Region,
    number: int,
    now: Wanted,
    drawn: Built,
    sight: Sight,
) -> texts.Region:
    """The region's texts, which are looked at only where anything is not as it was."""
    known, scale, free = texts.region(number), sight.scale, sight.free
    taken = wanted.taken_parts(context.space_data, free, scale)
    if sight.strip is not None:
        taken += (sight.strip,)
    told = texts.told_by(now, scale)
    standing = (now.span, (sight.size, scale, free, taken), sight.scene, sight.placed)
    if not texts.waits(known, told, standing):
        data = context.region_data
        floor = view = wanted.view_of(region, data, scale, free, taken)
        if sight.place is not None:
            view = wanted.view_of(region, data, scale, free, taken, sight.place)
        texts.bring_up(known, now, drawn.layers, view, floor, standing)
    texts.make_batches(known, now, scale)
    return known
