# SPDX-License-Identifier: GPL-3.0-or-later
"""What is drawn in the viewport is neither in the saved file nor in a rendered picture."""

import shutil

import bpy
import numpy as np
from drawn import TRAILS, checked, draw_all
from eyes import expect

SAVED, ASIDE, PICTURE = "saved.blend", "aside.blend", "rendered.png"
# Answers are kept there on purpose, so that the next check knows what was before.
RECORD = ("texts", "Plumbline")
SIZE = (96, 54)


def file_holds_nothing_drawn(play):
    """Saved while all is drawn, a file holds what it held, and the record of the answers."""
    folder = play.folder / "scenes"
    yield from checked(play)
    draw_all(play)
    yield
    bpy.ops.wm.save_as_mainfile(filepath=str(folder / SAVED), copy=True)
    shutil.copyfile(folder / TRAILS, folder / ASIDE)  # Blender reads no names of the open file
    before, after = names_in(folder / ASIDE), names_in(folder / SAVED)
    expect(after - before <= {RECORD}, f"Saved beside the shot: {sorted(after - before)}")
    expect(before <= after, f"Not saved: {sorted(before - after)}")


def pictures_hold_nothing_drawn(play):
    """A picture that is rendered while all is drawn is the one without, pixel by pixel."""
    yield from checked(play)
    scene = bpy.context.scene
    scene.render.engine = "BLENDER_WORKBENCH"
    scene.render.resolution_x, scene.render.resolution_y = SIZE
    scene.render.resolution_percentage = 100
    play.hand.session.trails.show = False
    without = rendered(play)
    expect(np.ptp(without[..., :3]) > 0.1, "The picture without trails is empty.")
    draw_all(play)
    yield
    expect(np.array_equal(rendered(play), without), "What is drawn in the view is rendered.")


def names_in(path):
    """(kind, name) of all that a file holds."""
    with bpy.data.libraries.load(str(path)) as (found, _asked_for):
        kinds = {kind: getattr(found, kind) for kind in dir(found)}
        lists = {kind: names for kind, names in kinds.items() if isinstance(names, list)}
        return {(kind, name) for kind, names in lists.items() for name in names}


def rendered(play):
    """(H,W,4) the current frame as the camera sees it."""
    path = play.folder / "captures" / PICTURE
    bpy.context.scene.render.filepath = str(path)
    bpy.ops.render.render(write_still=True)
    image = bpy.data.images.load(str(path))
    pixels = np.array(image.pixels[:]).reshape(image.size[1], image.size[0], 4)
    bpy.data.images.remove(image)
    return pixels


SCENARIOS = (file_holds_nothing_drawn, pictures_hold_nothing_drawn)
