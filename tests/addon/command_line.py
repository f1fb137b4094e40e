# SPDX-License-Identifier: GPL-3.0-or-later
"""`plumbline check` as a process of its own, and files for it, for the tests of the command."""

import os
import subprocess
import sys
from pathlib import Path

import bpy

ROOT = Path(__file__).resolve().parents[2]
HEADLESS = ROOT / "addon" / "headless.py"


def save(path):
    bpy.ops.wm.save_as_mainfile(filepath=str(path), check_existing=False)
    return path


def one_sentence(capsys):
    lines = [line for line in capsys.readouterr().err.splitlines() if line.startswith("plumbline")]
    assert len(lines) == 1, lines
    return lines[0]


def run_alone(tmp_path, *arguments):
    """The command as a process of its own, with an empty user folder."""
    return subprocess.run(
        command(*arguments),
        capture_output=True,
        text=True,
        env=environment(tmp_path),
        check=False,
        timeout=120,
    )


def command(*arguments):
    """The words that start it, in a Blender or in a Python that has Blender's module."""
    executable = bpy.app.binary_path
    start = [executable, "--background", "--factory-startup", "--python", HEADLESS, "--"]
    if not executable:
        start = [sys.executable, HEADLESS]
    return [*map(str, start), *map(str, arguments)]


def environment(tmp_path):
    """This process's variables, with a user folder that is not there yet."""
    return {**os.environ, "BLENDER_USER_RESOURCES": str(tmp_path / "user")}
