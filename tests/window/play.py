# SPDX-License-Identifier: GPL-3.0-or-later
"""Inside a real Blender: plays the scenarios one after the other, as a user would.

    blender --python play.py -- FOLDER [--only TEXT] [--untimed]

FOLDER holds `plumbline.zip`, `scenes` and `captures`. A scenario is a generator whose first
docstring line says what holds; `hand.py` says how it is written. Exit code: 0 where all hold, 1
where one does not, 5 where no scenario has such a name.
"""

import argparse
import importlib
import os
import sys
import time
import traceback
from pathlib import Path

import bpy

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "addon"))
sys.path.insert(0, str(Path(__file__).resolve().parent))
sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from eyes import ScenarioError
from hand import Hand

from tests.harness.extension import PACKAGE, install_zip
from tests.harness.leftovers import Ledger

# In this order: the last one switches the extension off.
MODULES = (
    "scenario_check",
    "scenario_undo",
    "scenario_mend",
    "scenario_keep",
    "scenario_views",
    "scenario_linked",
    "scenario_trails",
    "scenario_layers",
    "scenario_camera",
    "scenario_leaves",
    "scenario_drawn_in",
    "scenario_watch",
    "scenario_ball",
    "scenario_cut",
    "scenario_off",
)
FIRST_S, MOMENT_S = 2.0, 0.1
# Only ends what hangs: many times what a scenario takes on a machine that has much else to do.
LONGEST_S = 600.0
# So often more than once Blender takes events and draws between two steps, however slow it is: what
# a click changes may be told to others only after the first drawing.
PASSES = 1
NOTHING, MESSAGES = 5, "captures/blender.log"
SAYS = os.dup(1)


class Play:
    """Takes the scenarios' steps, one a tick, since Blender draws and takes events between."""

    def __init__(self, scenarios, folder, ledger):
        self.waiting, self.folder, self.ledger = list(scenarios), folder, ledger
        self.hand = Hand(folder / "captures")
        self.steps, self.failed, self.begun, self.passes = None, [], 0.0, 0
        self.messages, self.read = folder / MESSAGES, 0
        self.file = None

    def module(self, name):
        """A module of the extension's add-on."""
        return sys.modules[f"{PACKAGE}.addon.{name}"]

    def say(self, text):
        """Print a figure beside the scenario's answer."""
        say(text)

    def tick(self):
        """One step, or a pass of Blender's own before it; the seconds until the next one."""
        if self.passes:
            self.passes -= 1
            return 0.0
        try:
            wait = self._step()
            self.passes = 0 if self.hand.is_looking else PASSES
            return wait
        except StopIteration:
            self._close()
        except Exception as error:
            self._fail(error)
        return MOMENT_S

    def _step(self):
        if self.file:  # not in an overridden context: its window goes with the old file
            file, self.file = self.file, None
            bpy.ops.wm.open_mainfile(filepath=str(file))
            return 5 * MOMENT_S
        if self.steps is None:
            return self._begin()
        if time.monotonic() - self.begun > LONGEST_S:
            raise ScenarioError(f"It did not end within {LONGEST_S:g} s.")
        with bpy.context.temp_override(**self.hand.place()):
            wanted = next(self.steps)
        if isinstance(wanted, Path):
            self.file = self.folder / "scenes" / wanted
            return MOMENT_S
        return wanted or MOMENT_S

    def _begin(self):
        if not self.waiting:
            leave(1 if self.failed else 0)
        self.begun, self.hand.window_number = time.monotonic(), 0
        self.hand.is_looking = False
        self.steps = self.waiting[0](self)
        return MOMENT_S

    def _close(self):
        """It holds, unless something of ours failed beside it: in a drawing, a timer, a handler."""
        beside = self._failed_beside()
        if beside:
            self._fail(ScenarioError(f"Something failed beside it: {beside}"))
        else:
            self._end("holds")

    def _close_windows(self):
        """All but the first, which would lie under them."""
        for window in bpy.context.window_manager.windows[1:]:
            with bpy.context.temp_override(window=window):
                bpy.ops.wm.window_close()

    def _failed_beside(self):
        """The last line of an error that Blender has printed since the scenario began."""
        printed = self.messages.read_bytes().decode(errors="replace")
        new, self.read = printed[self.read :], len(printed)
        if "Traceback (most recent call last)" not in new:
            return ""
        lines = new.partition("Traceback (most recent call last)")[2].splitlines()
        return next((line for line in lines[1:] if line[:1].strip()), "an error without a text")

    def _end(self, how):
        done, self.steps = self.waiting.pop(0), None
        spent = time.monotonic() - self.begun
        say(f"{spent:6.1f} s  {done.__name__.replace('_', ' ')}: {how}")

    def _fail(self, error):
        name = self.waiting[0].__name__
        self.failed.append(name)
        if not isinstance(error, ScenarioError):
            say(traceback.format_exc())
        self.hand.capture(f"{name}_failed")
        self._close_windows()
        self._end(f"FAILED. {error} (line {_line_of(error)})")


def _line_of(error):
    """Where in a scenario it ended."""
    frames = traceback.extract_tb(error.__traceback__)
    inside = [f for f in frames if Path(f.filename).name.startswith("scenario_")]
    return f"{inside[-1].lineno} of {Path(inside[-1].filename).name}" if inside else "unknown"


def scenarios(only, untimed):
    """All scenarios whose names hold a text, in order; those that time our work may stay out."""
    found = []
    for name in MODULES:
        module = importlib.import_module(name)
        timed = () if untimed else getattr(module, "TIMED", ())
        every = (*module.SCENARIOS, *timed)
        found += [each for each in every if only in each.__name__.replace("_", " ")]
    return found


def say(text):
    """Print to where this was started; Blender's own messages are in a file."""
    os.write(SAYS, f"{text}\n".encode())


def messages_into(path):
    """Let all that Blender prints go to a file; it is kept with the pictures."""
    with path.open("wb") as file:
        os.dup2(file.fileno(), 1)
        os.dup2(file.fileno(), 2)


def draw_little():
    """What takes most of the time where there is no graphics card, and nothing here looks at."""
    preferences = bpy.context.preferences
    preferences.view.show_splash = False
    preferences.system.viewport_aa = "OFF"  # else each view is drawn many times until it is smooth
    preferences.system.use_overlay_smooth_wire = False


def leave(code):
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(code)


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("folder", type=Path)
    parser.add_argument("--only", default="", help="scenarios whose names hold this text")
    parser.add_argument("--untimed", action="store_true", help="none that time our work")
    asked = parser.parse_args(sys.argv[sys.argv.index("--") + 1 :])
    messages_into(asked.folder / MESSAGES)
    say(f"Blender {bpy.app.version_string}")
    draw_little()
    ledger = Ledger()
    install_zip(asked.folder / "plumbline.zip")
    ledger.note_enabled()
    chosen = scenarios(asked.only.replace("_", " "), asked.untimed)
    if not chosen:
        leave(NOTHING)
    play = Play(chosen, asked.folder, ledger)
    bpy.app.timers.register(play.tick, first_interval=FIRST_S, persistent=True)


if __name__ == "__main__":
    try:
        main()
    except Exception:
        say(traceback.format_exc())
        leave(1)
