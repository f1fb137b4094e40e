# SPDX-License-Identifier: GPL-3.0-or-later
"""`python -m analysis`, inside this process or as one of its own, for the tests of it."""

import io
import subprocess
import sys
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

from analysis.cli import main

ROOT = Path(__file__).resolve().parents[2]


def run(*arguments):
    """What it prints and its exit code, as `run_alone` has them, without another Python's start."""
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", newline="\n") for _ in range(2))
    with redirect_stdout(out), redirect_stderr(err):
        code = main([str(each) for each in arguments])
    printed, said = (_text(each) for each in (out, err))
    return subprocess.CompletedProcess(arguments, code, printed, said)


def run_alone(*arguments):
    """The same as a process, where that is what matters."""
    command = [sys.executable, "-m", "analysis", *map(str, arguments)]
    return subprocess.run(
        command, cwd=ROOT, capture_output=True, text=True, encoding="utf-8", check=False
    )


def _text(stream):
    stream.flush()
    return stream.buffer.getvalue().decode("utf-8")


def one_sentence(result):
    lines = result.stderr.strip().splitlines()
    assert len(lines) == 1, result.stderr
    assert "Traceback" not in result.stderr
    return lines[0]
