# SPDX-License-Identifier: GPL-3.0-or-later
"""Finds labels that Blender has cut: where one does not fit, it has an ellipsis of one sign.

What that sign looks like is not written down: a panel of this file draws it once, and where the
picture has changed, there it is. It looks the same in every label, up to brightness and contrast;
three full stops stand further apart.
"""

import bpy
import numpy as np

CATEGORY, ELLIPSIS = "Cut on Purpose", "\u2026"
# Rows above the sign that must be empty, so that the feet of letters are none.
ABOVE = 5
# Correlation of two pictures of the sign; and the contrast below which there is nothing at all.
ALIKE, CONTRAST = 0.95, 0.02


class CutOnPurpose(bpy.types.Panel):
    """Labels and buttons with texts that a scenario gives."""

    bl_idname, bl_label = "CUT_PT_on_purpose", "Cut on Purpose"
    bl_space_type, bl_region_type, bl_category = "VIEW_3D", "UI", CATEGORY
    labels, buttons = (), ()

    def draw(self, _context):
        for text in self.labels:
            self.layout.label(text=text, translate=False)
        for text in self.buttons:
            faint = self.layout.box().column()
            faint.active = False
            faint.label(text=text, icon="INFO", translate=False)
            self.layout.operator("wm.splash", text=text, icon="CHECKMARK", translate=False)


def picture(hand):
    """Brightness of the sidebar as it is on the screen, rows by columns, the lowest row first."""
    region = hand.region()
    shown = hand.pixels(region.x, region.y, region.width, region.height)
    values = np.frombuffer(shown, np.uint8).reshape(region.height, region.width, 3)
    return values[::-1].mean(axis=2) / 255.0


def sign(without, drawn):
    """The picture of the sign, from a picture of the sidebar without it and one with it."""
    rows, columns = np.nonzero(np.abs(drawn - without) > CONTRAST)
    return drawn[rows.min() : rows.max() + 1 + ABOVE, columns.min() : columns.max() + 1]


def places(shown, pattern):
    """(row from below, column) of all places in a picture where that sign is."""
    windows = np.lib.stride_tricks.sliding_window_view(shown, pattern.shape)
    row, column = np.unravel_index(np.argmax(np.abs(pattern - pattern[-1])), pattern.shape)
    step = np.abs(windows[:, :, row, column] - windows[:, :, -1, column])
    rows, columns = np.nonzero(step > CONTRAST)  # most of a panel is empty
    some = windows[rows, columns].reshape(len(rows), -1)
    some = some - some.mean(axis=1, keepdims=True)
    wanted = (pattern - pattern.mean()).ravel()
    likeness = some @ wanted / (np.linalg.norm(some, axis=1) * np.linalg.norm(wanted))
    return [(int(rows[n]), int(columns[n])) for n in np.flatnonzero(likeness > ALIKE)]


def on_purpose(hand, labels, buttons=()):
    """A picture of the panel of this file with those texts."""
    CutOnPurpose.labels, CutOnPurpose.buttons = labels, buttons
    if hand.region().active_panel_category != CATEGORY:
        yield from hand.until(lambda: hand.shows_tab(CATEGORY), f"There is no tab {CATEGORY}")
    hand.area.tag_redraw()
    yield from hand.drawn()
    return picture(hand)
