# SPDX-License-Identifier: GPL-3.0-or-later
"""`python -m analysis` as a process, for the tests of the command line."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def run(*arguments):
    command = [sys.executable, "-m", "analysis", *map(str, arguments)]
    return subprocess.run(
        command, cwd=ROOT, capture_output=True, text=True, encoding="utf-8", check=False
    )


def one_sentence(result):
    lines = result.stderr.strip().splitlines()
    assert len(lines) == 1, result.stderr
    assert "Traceback" not in result.stderr
    return lines[0]
