# SPDX-License-Identifier: GPL-3.0-or-later
"""Inside a real Blender: presses Check as a user does, and captures the panel with the causes.

`run.py` starts it with a folder that holds `plumbline.zip` and `shot.blend`; the capture is
`out.png` beside them. It prints how long the search took and how long single events kept Blender
busy. With `--stop` it presses Esc in the middle, and fails where the list then is another one.
"""

import argparse
import subprocess
import sys
import time
from pathlib import Path

import bpy

sys.path.insert(0, str(Path(__file__).parent))
from looking import Look, begin, module

LONGEST_S, WATCH_S = 120.0, 0.05


def options():
    parser = argparse.ArgumentParser()
    parser.add_argument("folder", type=Path)
    parser.add_argument("--line", type=int, default=0, help="the finding to read")
    parser.add_argument("--open", action="store_true", help="unfold what folds")
    parser.add_argument("--stop", action="store_true", help="press Esc while it searches")
    return parser.parse_args(sys.argv[sys.argv.index("--") + 1 :])


class LookAtCauses(Look):
    """Waits for the search, and watches it meanwhile."""

    def __init__(self, asked):
        super().__init__(asked, [self.open_sidebar, self.show_tab, self.check, self.listed,
                                 self.wait, self.read, self.redraw, self.capture])  # fmt: skip
        self.begun = self.seen = 0.0
        self.progress = []

    def pause(self):
        waits = self.steps and self.steps[0] in (self.listed, self.wait)
        return WATCH_S if waits else super().pause()

    def check(self):
        bpy.ops.plumbline.check("INVOKE_DEFAULT")

    def listed(self):
        """Until the check is done; the search has begun then."""
        if module("ui.stepped").is_running("check"):
            return False
        self.begun = self.seen = time.monotonic()
        self.before = [item.title for item in self.session.findings]
        assert not self.session.explained, "causes before the list was shown"
        assert self.session.progress >= 0.0, "no search has begun"
        return True

    def wait(self):
        """Until the search ends; between two ticks nothing of ours is in the file."""
        now = time.monotonic()
        self.longest = max(getattr(self, "longest", 0.0), now - self.seen)
        self.seen = now
        self.progress.append(self.session.progress)
        assert len(bpy.data.scenes) == 1, list(bpy.data.scenes)
        if self.session.progress >= 0.0 and now - self.begun < LONGEST_S:
            if self.asked.stop and self.session.progress > 0.0:
                subprocess.run(["xdotool", "mousemove", "700", "400", "key", "Escape"], check=True)
            return False
        steps = len(set(self.progress))
        print(f"SEARCH {now - self.begun:.2f} s, {steps} steps, longest {self.longest:.2f} s")
        assert self.session.explained != self.asked.stop
        assert [item.title for item in self.session.findings] == self.before
        return True

    def read(self):
        self.session.active = min(self.asked.line, len(self.before) - 1)
        for item in self.session.findings:
            item.open = self.asked.open
        for finding in module("ui.causes_session").all_findings():
            for cause in finding.causes[:1]:
                print("CAUSE", finding.id, cause.title, round(cause.share, 2), cause.why)

    def capture(self):
        sidebar = next(r for r in bpy.context.area.regions if r.type == "UI")
        print("SIDEBAR", sidebar.width)
        super().capture()


begin(LookAtCauses(options()))
