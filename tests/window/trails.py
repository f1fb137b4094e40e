# SPDX-License-Identifier: GPL-3.0-or-later
"""Inside a real Blender: checks a file, shows the trails of some parts, captures the window.

`run.py` starts it with a folder that holds `plumbline.zip` and `shot.blend`; the capture is
`out.png` beside them. It prints what a redraw costs, and fails where the drawing leaves the GPU's
state changed.
"""

import argparse
import sys
import time
from collections import Counter
from dataclasses import replace
from pathlib import Path

import bpy
import gpu
from mathutils import Quaternion

sys.path.insert(0, str(Path(__file__).parent))
from looking import Look, begin, leave, module

REPEATS = 20


def options():
    parser = argparse.ArgumentParser()
    parser.add_argument("folder", type=Path)
    parser.add_argument("--parts", nargs="+", default=["root", "foot.L"])
    parser.add_argument("--frame", type=int, default=0, help="the current frame; 0: the first top")
    parser.add_argument("--scale", type=float, default=1.0, help="the interface's scale")
    parser.add_argument("--around", type=int, default=0, help="frames before and after, 0: all")
    parser.add_argument("--quad", action="store_true", help="four views")
    parser.add_argument(
        "--view", default="", help="FRONT, RIGHT, TOP ... instead of a slanted view"
    )
    parser.add_argument("--light", action="store_true", help="Blender's light theme's background")
    parser.add_argument("--windows", action="store_true", help="a second window beside the first")
    parser.add_argument("--line", type=int, default=-1, help="the finding to go to")
    return parser.parse_args(sys.argv[sys.argv.index("--") + 1 :])


class LookAtTrails(Look):
    """Shows the trails, and what a redraw costs."""

    def __init__(self, asked):
        super().__init__(asked, [self.open_sidebar, self.show_tab, self.check, self.frame_view,
                                 self.watch, self.redraw, self.redraw, self.capture])  # fmt: skip
        self.costs = []

    def show_tab(self):
        super().show_tab()
        if self.asked.quad:
            bpy.ops.screen.region_quadview()
        if self.asked.windows:
            bpy.ops.wm.window_new()
        if self.asked.light:
            gradient = bpy.context.preferences.themes[0].view_3d.space.gradients
            gradient.high_gradient = (0.7, 0.7, 0.7)

    def check(self):
        bpy.ops.plumbline.check()
        session = self.session
        print("HEADLINE", session.headline)
        for item in session.trails.parts:
            item.shown = item.title in self.asked.parts
        if self.asked.around:
            session.trails.span = "around"
            session.trails.before = session.trails.after = self.asked.around
        if self.asked.line >= 0:
            bpy.ops.plumbline.go_to(index=self.asked.line)
        else:
            bpy.context.scene.frame_set(self.asked.frame or self.top_frame())

    def top_frame(self):
        wanted = module("overlay.wanted")
        found = wanted.wanted(bpy.context)
        picture = wanted.picture_of(module("ui.last_check").last_check(), found.choice)
        return round(picture.tops[0].frame) if picture.tops else bpy.context.scene.frame_start

    def frame_view(self):
        bpy.ops.object.select_all(action="SELECT")
        if self.asked.view:
            bpy.ops.view3d.view_axis(type=self.asked.view)
        bpy.ops.view3d.view_selected()
        bpy.ops.object.select_all(action="DESELECT")

    def watch(self):
        """Draw once more inside the region's own drawing, to see what it costs.

        The thread's own time is counted: without a graphics card others draw in its stead.
        """
        self.handle = bpy.types.SpaceView3D.draw_handler_add(
            self.measure, (), "WINDOW", "POST_VIEW"
        )

    def measure(self):
        draw, batches = module("overlay.draw"), module("overlay.batches")
        wanted, counted = module("overlay.wanted"), module("overlay.counted")
        before, asked, drawing = state(), wanted.wanted, batches.draw_batch
        data = bpy.context.region_data
        turned, outside = data.view_rotation.copy(), [0.0]
        moved = [0]

        def timed(*given):
            start = time.thread_time()
            drawing(*given)
            outside[0] += time.thread_time() - start

        def elsewhere(*given):
            return replace(asked(*given), playhead=float(moved[0]))

        def cost(name, times, change=None):
            spent = []
            builds = Counter(counted.builds)
            for n in range(times):
                if change:
                    change(n)
                outside[0] = 0.0
                start = time.thread_time()
                draw.draw_scene()
                draw.draw_pixels()
                spent.append(1000.0 * (time.thread_time() - start - outside[0]))
            print("BUILT", name, dict(Counter(counted.builds) - builds))
            self.costs.append((name, sorted(spent)[len(spent) // 2]))

        def turn(_n):
            data.view_rotation = data.view_rotation @ Quaternion((0.0, 1.0, 0.0), 0.02)
            data.update()

        def move(_n):
            moved[0] += 1

        batches.draw_batch = timed
        try:
            module("overlay.built").forget()
            module("overlay.texts").forget()
            wanted.forget()
            cost("first", 1)
            cost("unchanged", REPEATS)
            wanted.wanted = elsewhere
            cost("playhead", REPEATS, move)
            wanted.wanted = asked
            cost("orbit", REPEATS, turn)
            time.sleep(2.0 * module("overlay.texts").RESTS_S)
            cost("rests", 1)
            data.view_rotation = turned
            data.update()
        finally:
            batches.draw_batch, wanted.wanted = drawing, asked
        if state() != before:
            print("STATE", before, state())
            leave(1)

    def capture(self):
        bpy.types.SpaceView3D.draw_handler_remove(self.handle, "WINDOW")
        for name in dict.fromkeys(name for name, _cost in self.costs):
            spent = [cost for each, cost in self.costs if each == name]
            print(f"COST {name} {min(spent):.2f} ms (of {len(spent)})")
        super().capture()


def state():
    return (gpu.state.blend_get(), gpu.state.depth_test_get(), gpu.state.depth_mask_get())


asked_for = options()
bpy.context.preferences.view.ui_scale = asked_for.scale
begin(LookAtTrails(asked_for))
