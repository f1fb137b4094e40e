# SPDX-License-Identifier: GPL-3.0-or-later
"""Runs pip quietly: nothing is shown unless it fails."""

from collections.abc import Sequence
from pathlib import Path

from .children import run_quietly
from .errors import HarnessError

_SHOWN_LINES = 12


def run_pip(python: Path, arguments: Sequence[str], *, purpose: str) -> None:
    """Run `python -m pip ARGUMENTS`; `purpose` completes "pip could not ..." if it fails."""
    command = [str(python), "-m", "pip", "--disable-pip-version-check", "--no-input", *arguments]
    code, printed = run_quietly(command)
    if code:
        raise HarnessError(f"pip could not {purpose}. Its last lines:\n{_last_lines(printed)}")


def _last_lines(output: str) -> str:
    lines = [line.rstrip() for line in output.splitlines() if line.strip()]
    return "\n".join(f"    {line}" for line in lines[-_SHOWN_LINES:])
