# SPDX-License-Identifier: GPL-3.0-or-later
"""A user's eyes inside a real Blender: what the window shows, and waiting until it shows it.

No wait is as long as something usually takes: `until` waits until something holds, `drawn` until
the window shows it and stands still. How long they wait at most only ends a failure.
"""

import time

import bpy
from x_server import png, server

SCREEN_HEIGHT = 900
PATIENCE_S = 120.0


class ScenarioError(AssertionError):
    """A scenario's sentence about what is not as it should be."""


def expect(holds, sentence):
    """End the scenario with a sentence unless something holds."""
    if not holds:
        raise ScenarioError(sentence)


class Eyes:
    """On the first window unless told otherwise.

    folder   where pictures go
    """

    def __init__(self, folder):
        self.folder, self.window_number = folder, 0

    @property
    def window(self):
        return bpy.context.window_manager.windows[self.window_number]

    @property
    def area(self):
        """The largest 3D view."""
        areas = [area for area in self.window.screen.areas if area.type == "VIEW_3D"]
        return max(areas, key=lambda area: area.width * area.height)

    def region(self, kind="UI"):
        return next(region for region in self.area.regions if region.type == kind)

    def place(self):
        """What to override the context with: the 3D view."""
        return {"window": self.window, "area": self.area, "region": self.region("WINDOW")}

    def until(self, holds, sentence, *, every=0.1):
        """Wait until something holds; else the scenario fails with the sentence, or with what it
        says then."""
        end = time.monotonic() + PATIENCE_S
        while not holds():
            if time.monotonic() > end:
                said = sentence if isinstance(sentence, str) else sentence()
                raise ScenarioError(f"{said} (waited {PATIENCE_S:g} s)")
            yield every

    def drawn(self, before=b""):
        """Wait until the window shows another picture than before, and nothing moves in it."""
        last = before

        def stands():
            nonlocal last
            previous, last = last, self.seen()
            return previous == last != before

        yield from self.until(stands, "The window shows nothing new, or goes on changing")

    def seen(self):
        """What the window shows, without the bar at its lower edge, where reports fade away."""
        low = min(area.y for area in self.window.screen.areas)
        return self.pixels(0, low, self.window.width, self.window.height - low)

    def pixels(self, x, y, width, height):
        """Colours at a place of the window: bytes, three a pixel, the highest row first."""
        across, down = self.window.x + x, SCREEN_HEIGHT - (self.window.y + y + height)
        return server().pixels(across, down, width, height)

    def capture(self, name):
        """A picture of the whole screen."""
        seen = server().pixels(0, 0, *server().size)
        (self.folder / f"{name}.png").write_bytes(png(seen, *server().size))
