# SPDX-License-Identifier: GPL-3.0-or-later
"""Which Blenders can run here: Blender as a Python module (a wheel), or an installed Blender."""

import functools
import json
import re
import shutil
import subprocess
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from . import pins, pythons
from .children import child_environment, crash_reason, describe_exit, run_quietly
from .environments import environment, package_folder
from .errors import HarnessError

LOWEST_VERSION = (4, 2)
DEBIAN_PACKAGES = (
    "apt-get install -y --no-install-recommends python3 python3-venv "
    "libgl1 libsm6 libxi6 libxrender1 libxkbcommon0 libgomp1"
)
_WHEEL_SIZE = "about 370 MB to download, 1 GB on disk"
_MARK = "plumbline-blender:"
_ASK = (
    f"import bpy, json, sys; print({_MARK!r}, json.dumps(["
    "'%d.%d.%d' % tuple(bpy.app.version), '%d.%d' % sys.version_info[:2]]))"
)
_IMPORT = "import bpy, os; os._exit(0)"  # a plain exit may hang or crash, see in_blender.py
_MISSING_LIBRARY = re.compile(r"(lib[\w.+-]+\.so[\w.]*): cannot open shared object file")


@dataclass(frozen=True)
class Blender:
    """A Blender: the wheel of that version, or the installed program `executable`."""

    version: str
    python_minor: str
    executable: Path | None = None

    def __str__(self) -> str:
        kind = str(self.executable) if self.executable else "Python module"
        return f"Blender {self.version} ({kind}, Python {self.python_minor})"


# From the lowest supported version to the latest long-term release.
WHEELS = (Blender("4.2.23", "3.11"), Blender("4.5.15", "3.11"), Blender("5.2.3", "3.13"))
_HOME = {"3.11": WHEELS[1], "3.13": WHEELS[2]}


def runnable() -> list[Blender]:
    """The wheels whose Python is on this machine, lowest version first."""
    return [wheel for wheel in WHEELS if pythons.find(wheel.python_minor)]


def lowest_and_highest() -> list[Blender]:
    """The wheels, two or one, that bracket what can run here; a sentence if there is none."""
    found = runnable()
    if not found:
        raise HarnessError(_no_wheel_sentence())
    return [found[0], *found[1:][-1:]]


def home_blender() -> Blender:
    """The wheel for the Python that runs this."""
    home = _HOME.get(pythons.running().minor)
    if home is None:
        raise HarnessError(_no_wheel_sentence())
    return home


def installed_blender(path: Path) -> Blender:
    """An installed Blender, asked for its versions.

    `path` is its executable, its folder, its .app, or a command on PATH.
    """
    executable = _executable_in(path.expanduser())
    command = [str(executable), "--background", "--factory-startup", "--python-expr", _ASK]
    try:
        done = subprocess.run(
            command,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            encoding="utf-8",
            errors="replace",
            timeout=300,
            env=child_environment(),
            check=False,
        )
    except (OSError, subprocess.TimeoutExpired) as error:
        raise HarnessError(f"{executable} does not start as a Blender: {error}.") from error
    answers = [line for line in done.stdout.splitlines() if line.startswith(_MARK)]
    if not answers:
        reason = crash_reason(done.returncode) or f"exit code {done.returncode}"
        raise HarnessError(f"{executable} does not say which Blender it is ({reason}).")
    version, python_minor = json.loads(answers[-1].removeprefix(_MARK))
    if tuple(map(int, version.split(".")[:2])) < LOWEST_VERSION:
        lowest = ".".join(map(str, LOWEST_VERSION))
        raise HarnessError(f"{executable} is Blender {version}; Plumbline needs {lowest} or newer.")
    return Blender(version, python_minor, executable)


def environment_for(blender: Blender) -> Path:
    """The interpreter that can `import bpy` of that wheel, installed if the cache lacks it."""
    if blender.executable:
        raise HarnessError(f"{blender} is a program of its own and has no environment.")
    return _wheel_environment(blender)


def packages_for(blender: Blender) -> Path | None:
    """The folder that brings pytest to an installed Blender; a wheel's environment has it."""
    if blender.executable is None:
        return None
    return package_folder("pytest", pins.PYTEST_ALONE, blender.python_minor)


def blender_command(blender: Blender, script: Path, arguments: Sequence[str] = ()) -> list[str]:
    """The command that runs `script` in that Blender; see `script_arguments` for reading back."""
    if blender.executable is None:
        return [str(environment_for(blender)), str(script), *arguments]
    options = ["--background", "--factory-startup", "--python-exit-code", "1"]
    return [str(blender.executable), *options, "--python", str(script), "--", *arguments]


def script_arguments(argv: Sequence[str], script: str) -> list[str]:
    """Inside `script`: the arguments that `blender_command` was given, from `sys.argv`."""
    if Path(argv[0]).name == Path(script).name:
        return list(argv[1:])
    return list(argv[argv.index("--") + 1 :])


@functools.cache
def _wheel_environment(blender: Blender) -> Path:
    python = pythons.find(blender.python_minor)
    if python is None:
        raise HarnessError(f"{blender} needs Python {blender.python_minor}: none was found.")
    name = f"blender-{blender.version}"
    path = environment(name, pins.BPY[blender.version], python, size=_WHEEL_SIZE)
    _check_import(path, blender)
    return path


def _check_import(python: Path, blender: Blender) -> None:
    """Tried on every run: a cache may be shared with a machine that has fewer libraries."""
    command = [str(python), "-c", _IMPORT]
    code, printed = run_quietly(command)
    if code == 0:
        return
    missing = _MISSING_LIBRARY.search(printed)
    if missing:
        raise HarnessError(
            f"{blender} needs the shared library {missing[1]}, which this machine lacks; on Debian "
            f"and Ubuntu this brings all that it needs: {DEBIAN_PACKAGES}"
        )
    reason = (printed.strip().splitlines() or [describe_exit(code)])[-1]
    raise HarnessError(
        f"{blender} cannot be imported ({reason}); if it was damaged, remove {python.parents[1]}."
    )


def _executable_in(path: Path) -> Path:
    inside = ("blender", "blender.exe", "Contents/MacOS/Blender")
    for candidate in (path, *(path / name for name in inside)):
        if candidate.is_file():
            return candidate.absolute()
    command = shutil.which(path)
    if command is None:
        raise HarnessError(f"There is no Blender at {path}.")
    return Path(command).absolute()


def _no_wheel_sentence() -> str:
    minors = sorted({wheel.python_minor for wheel in WHEELS})
    others = [python for minor in minors if (python := pythons.find(minor))]
    hint = f" (found here: {', '.join(str(other.path) for other in others)})" if others else ""
    return (
        f"This is Python {pythons.running().version}, and Blender comes as a Python module for "
        f"{' and '.join(minors)} only: run this again with "
        f"{' or '.join(f'python{minor}' for minor in minors)}{hint}, or name an installed Blender "
        "with --blender PATH."
    )
