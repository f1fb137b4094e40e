# SPDX-License-Identifier: GPL-3.0-or-later
"""What the scripts of this folder share: steps inside a real Blender, one a tick, and a capture."""

import os
import subprocess
import sys
import traceback

import bpy

PACKAGE = "bl_ext.user_default.plumbline"
FIRST_TICK_S, TICK_S = 2.0, 0.7


class Look:
    """One step a tick, since Blender draws between them; a step that returns False comes again.

    steps   the rest of what is to be done; asked: the options, with the folder
    """

    def __init__(self, asked, steps):
        self.asked, self.steps = asked, steps

    def tick(self):
        try:
            with bpy.context.temp_override(**self.place()):
                if self.steps[0]() is not False:
                    self.steps.pop(0)
        except Exception:
            traceback.print_exc()
            leave(1)
        return self.pause()

    def pause(self):
        """Seconds to the next step."""
        return TICK_S

    def place(self):
        window = bpy.context.window_manager.windows[0]
        areas = [area for area in window.screen.areas if area.type == "VIEW_3D"]
        area = max(areas, key=lambda area: area.width * area.height)
        region = next(r for r in area.regions if r.type == "WINDOW")
        return {"window": window, "area": area, "region": region}

    def open_sidebar(self):
        bpy.context.space_data.show_region_ui = True

    def show_tab(self):
        sidebar = next(r for r in bpy.context.area.regions if r.type == "UI")
        sidebar.active_panel_category = "Plumbline"

    @property
    def session(self):
        return bpy.context.window_manager.plumbline

    def redraw(self):
        bpy.context.area.tag_redraw()

    def capture(self):
        out = self.asked.folder / "out.png"
        subprocess.run(["import", "-window", "root", str(out)], check=True)
        leave(0)


def module(name):
    return sys.modules[f"{PACKAGE}.addon.{name}"]


def leave(code):
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(code)


def begin(look):
    """Install the extension, open the file, and take the first step."""
    folder = look.asked.folder
    bpy.context.preferences.view.show_splash = False
    bpy.ops.extensions.package_install_files(
        filepath=str(folder / "plumbline.zip"), repo="user_default", enable_on_install=True
    )
    bpy.ops.wm.open_mainfile(filepath=str(folder / "shot.blend"))
    bpy.app.timers.register(look.tick, first_interval=FIRST_TICK_S)
