# SPDX-License-Identifier: GPL-3.0-or-later
"""What our drawing costs at each redraw, less what Blender takes to draw what it is given.

The thread's own time is counted: without a graphics card others draw in its stead.
"""

from functools import partial
from statistics import median
from time import thread_time

import bpy

# What calls `draw_batch` by this name.
DRAWING = ("overlay.batches", "overlay.note_lines", "strip.draw")


class Costs:
    """While it is entered, times all that Blender calls to draw our things into 3D views.

    spent   by redraw of a view, seconds in our callbacks, less those inside `batch.draw`
    laid    which of these redraws laid texts out, as the view had come to rest
    """

    def __init__(self, play):
        self._handlers = play.module("overlay.handlers")
        self._drawing = [play.module(name) for name in DRAWING]
        self._builds = play.module("overlay.counted").builds
        self.spent, self.laid, self._inside = [], [], 0.0

    def __enter__(self):
        self._add, self._draw = bpy.types.SpaceView3D.draw_handler_add, self._drawing[0].draw_batch
        self._is_first = True
        bpy.types.SpaceView3D.draw_handler_add = self._add_timed
        self._draw_by(self._draw_batch)
        bpy.types.SpaceView3D.draw_handler_add = self._add
        return self

    def __exit__(self, *_why):
        self._draw_by(self._draw)

    def _draw_by(self, function):
        """Have the drawing done by a function, and all callbacks added anew."""
        for module in self._drawing:
            module.draw_batch = function
        self._handlers.unregister()
        self._handlers.register()

    def milliseconds(self):
        """The least and the median of redraws in which no text was laid out, and the median of
        those in which some were (0 for none); all are forgotten."""
        pairs = list(zip(self.spent, self.laid, strict=True))
        plain, laying = (
            [1000.0 * s for s, each in pairs if each == told] for told in (False, True)
        )
        self.spent, self.laid = [], []
        return min(plain, default=0.0), median(plain or [0.0]), median(laying or [0.0])

    def _add_timed(self, function, *how):
        first, self._is_first = self._is_first, False
        return self._add(partial(self._callback, function, first), *how)

    def _callback(self, function, is_first):
        if is_first:  # of a redraw
            self.spent.append(0.0)
            self.laid.append(False)
        texts, self._inside, begun = self._builds["texts"], 0.0, thread_time()
        function()
        self.spent[-1] += thread_time() - begun - self._inside
        self.laid[-1] |= self._builds["texts"] > texts

    def _draw_batch(self, batch, shader):
        begun = thread_time()
        self._draw(batch, shader)
        self._inside += thread_time() - begun
