# SPDX-License-Identifier: GPL-3.0-or-later
"""Runs pip quietly: nothing is shown unless it fails."""

import subprocess
from collections.abc import Sequence
from pathlib import Path

from .children import child_environment
from .errors import HarnessError

_SHOWN_LINES = 12


def run_pip(python: Path, arguments: Sequence[str], *, purpose: str) -> None:
    """Run `python -m pip ARGUMENTS`; `purpose` completes "pip could not ..." if it fails."""
    command = [str(python), "-m", "pip", "--disable-pip-version-check", "--no-input", *arguments]
    done = subprocess.run(
        command,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
        errors="replace",
        env=child_environment(),
        check=False,
    )
    if done.returncode:
        raise HarnessError(f"pip could not {purpose}. Its last lines:\n{_last_lines(done.stdout)}")


def _last_lines(output: str) -> str:
    lines = [line.rstrip() for line in output.splitlines() if line.strip()]
    return "\n".join(f"    {line}" for line in lines[-_SHOWN_LINES:])
