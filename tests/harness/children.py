# SPDX-License-Identifier: GPL-3.0-or-later
"""Child processes: the environment variables they get and their exit codes in words."""

import os
import signal
import subprocess
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import IO

# Where a child process writes to; None: to where this process does.
Output = IO[bytes] | None

# These let the caller's Python or Blender set-up leak into a child that has its own.
_DROPPED = ("PYTHONHOME", "PYTHONPATH", "PYTHONSTARTUP", "PIP_USER", "PIP_TARGET", "PIP_PREFIX")
_DROPPED_PREFIXES = ("BLENDER_USER_", "BLENDER_SYSTEM_")

_PYTEST_EXITS = {
    0: "passed",
    1: "failed",
    2: "could not run",
    3: "failed inside pytest itself",
    4: "was called wrongly",
    5: "found no test to run",
}
_WINDOWS_CRASHES = {
    0xC0000005: "access violation",
    0xC00000FD: "stack overflow",
    0xC0000409: "stack damage",
}


def child_environment(extra: Mapping[str, str] | None = None) -> dict[str, str]:
    """This process's environment without what would leak into a child, plus `extra`."""
    kept = {
        name: value
        for name, value in os.environ.items()
        if name not in _DROPPED and not name.startswith(_DROPPED_PREFIXES)
    }
    kept["PYTHONNOUSERSITE"] = "1"
    kept["PYTHONUTF8"] = "1"
    kept["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"
    return {**kept, **(extra or {})}


def run_into(
    command: Sequence[str],
    output: Output,
    extra: Mapping[str, str] | None = None,
    *,
    folder: Path | None = None,
) -> int:
    """Run a child that writes all it prints to a file, or to where this process does; its code."""
    errors = None if output is None else subprocess.STDOUT
    environment = child_environment(extra)
    return subprocess.run(
        command, cwd=folder, env=environment, stdout=output, stderr=errors, check=False
    ).returncode


def run_quietly(
    command: Sequence[str],
    extra: Mapping[str, str] | None = None,
    *,
    folder: Path | None = None,
) -> tuple[int, str]:
    """Run a child that asks nothing and shows nothing; its code and all that it printed."""
    done = subprocess.run(
        command,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
        errors="replace",
        env=child_environment(extra),
        cwd=folder,
        check=False,
    )
    return done.returncode, done.stdout


def crash_reason(code: int) -> str | None:
    """What killed a child, or None if it ended by itself.

    A signal is a negative code from subprocess and 128 + number from a shell in between; a
    Windows crash is a large code.
    """
    if code in _WINDOWS_CRASHES:
        return _WINDOWS_CRASHES[code]
    number = -code if code < 0 else code - 128
    try:
        found = signal.Signals(number)
    except ValueError:
        return f"code {code:#x}" if code >= 0xC0000000 else None
    return f"{signal.strsignal(number) or 'signal'}, {found.name}"


def describe_exit(code: int) -> str:
    """An exit code of pytest, or of whatever it ran in, in words."""
    reason = crash_reason(code)
    if reason is not None:
        return f"crashed ({reason})"
    return _PYTEST_EXITS.get(code, f"ended with exit code {code}")


def exit_code(code: int) -> int:
    """A child's code as one that this process can end with: 1 to 255, and 0 only for 0."""
    if 0 <= code <= 255:
        return code
    return 128 - code if -127 <= code < 0 else 1
