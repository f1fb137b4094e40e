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
    executable = bpy.app.binary_path
    command = [executable, "--background", "--factory-startup", "--python", HEADLESS, "--"]
    if not executable:
        command = [sys.executable, HEADLESS]
    environment = {**os.environ, "BLENDER_USER_RESOURCES": str(tmp_path / "user")}
    return subprocess.run(
        [*map(str, command), *map(str, arguments)],
        capture_output=True,
        text=True,
        env=environment,
        check=False,
        timeout=120,
    )
