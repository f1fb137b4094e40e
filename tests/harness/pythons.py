# SPDX-License-Identifier: GPL-3.0-or-later
"""Finds Python interpreters on this machine.

Blender as a Python module is bound to one Python version each (4.2 to 5.0: 3.11, from 5.1: 3.13).
"""

import functools
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from .children import child_environment

_ASK = (
    "import json, sys, importlib.util as u; print(json.dumps(["
    "sys.executable, '%d.%d.%d' % sys.version_info[:3],"
    "bool(u.find_spec('venv') and u.find_spec('ensurepip'))]))"
)


@dataclass(frozen=True)
class Python:
    """An interpreter that was really started, with what it said about itself."""

    path: Path
    version: str
    makes_environments: bool

    @property
    def minor(self) -> str:
        """Its version without the last part, such as "3.11"."""
        return self.version.rpartition(".")[0]


@functools.cache
def ask(command: tuple[str, ...]) -> Python | None:
    """The interpreter behind a command, or None if it does not start.

    Starting it matters: a pyenv shim is on PATH for versions that are not active, and the
    Windows Store's python.exe only opens the store.
    """
    try:
        done = subprocess.run(
            [*command, "-c", _ASK],
            stdin=subprocess.DEVNULL,
            capture_output=True,
            encoding="utf-8",
            timeout=60,
            env=child_environment(),
            check=True,
        )
        path, version, makes_environments = json.loads(done.stdout)
    except (OSError, ValueError, subprocess.SubprocessError):
        return None
    return Python(Path(path), version, makes_environments)


def running() -> Python:
    """The interpreter that runs this."""
    version = ".".join(map(str, sys.version_info[:3]))
    return ask((sys.executable,)) or Python(Path(sys.executable), version, False)


@functools.cache
def find(minor: str) -> Python | None:
    """An interpreter of that minor version ("3.13"), preferably one that can build environments."""
    fallback = None
    for command in _candidates(minor):
        python = ask(command)
        if python is None or python.minor != minor:
            continue
        if python.makes_environments:
            return python
        fallback = fallback or python
    return fallback


def _candidates(minor: str) -> Iterator[tuple[str, ...]]:
    yield (sys.executable,)
    for folder in os.get_exec_path():
        found = shutil.which(f"python{minor}", path=folder)
        if found:
            yield (found,)
    for path in _pyenv_pythons(minor):
        yield (str(path),)
    if sys.platform == "win32" and shutil.which("py"):
        yield ("py", f"-{minor}")


def _pyenv_pythons(minor: str) -> list[Path]:
    root = Path(os.environ.get("PYENV_ROOT") or Path.home() / ".pyenv")
    places = (root / "versions", root / "pyenv-win" / "versions")
    folders = [folder for place in places for folder in place.glob(f"{minor}.*")]
    folders.sort(key=_patch_number, reverse=True)
    names = (f"bin/python{minor}", "python.exe")
    return [folder / name for folder in folders for name in names if (folder / name).is_file()]


def _patch_number(folder: Path) -> int:
    last = folder.name.rpartition(".")[2]
    return int(last) if last.isdigit() else -1
