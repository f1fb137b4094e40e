# SPDX-License-Identifier: GPL-3.0-or-later
"""Virtual environments and package folders in the cache, built once from exact pins."""

import hashlib
import os
from collections.abc import Sequence
from pathlib import Path

from . import pins, pythons
from .cache import cache_folder, discard, publish
from .children import run_quietly
from .errors import HarnessError, say
from .pip import run_pip
from .pythons import Python

_HASH_LENGTH = 10


def environment(
    name: str, requirements: Sequence[str], python: Python, *, size: str = "a few MB"
) -> Path:
    """The interpreter of the virtual environment `name`, which is built if the cache lacks it.

    Start what is installed in it with `python -m`: its console scripts name a folder that was
    renamed.
    """
    folder = _environment_folder(name, requirements, python)
    if folder.exists() and not python_in(folder).is_file():
        discard(folder)  # its link leads to a Python that has been removed since

    def build(partial: Path) -> None:
        _announce(f"the environment {name!r}", requirements, size, folder)
        _build(partial, name, requirements, python)

    publish(folder, build)
    return python_in(folder)


def checks_environment() -> Path:
    """The interpreter with the linters and what the tests without Blender need."""
    return environment(
        "checks", pins.CHECKS, pythons.running(), size="80 MB to download, 0.4 GB on disk"
    )


def package_folder(name: str, requirements: Sequence[str], minor: str) -> Path:
    """A folder of pure-Python packages for another program's Python `minor`, for `sys.path`."""
    folder = cache_folder() / "packages" / f"{name}-py{minor}-{_key(requirements, minor)}"

    def build(partial: Path) -> None:
        _announce(f"{name} for Python {minor}", requirements, "10 MB", folder)
        arguments = ["--only-binary=:all:", f"--python-version={minor}", "--implementation=py"]
        arguments += ["--abi=none", "--platform=any", *requirements]
        _install_target(partial, name, arguments)

    return publish(folder, build)


def pip_environment() -> Path:
    """An interpreter that has pip; the one that runs this may lack it."""
    return environment("pip", (), pythons.running(), size="20 MB")


def python_in(folder: Path) -> Path:
    """The interpreter of a virtual environment."""
    if os.name == "nt":
        return folder / "Scripts" / "python.exe"
    return folder / "bin" / "python"


def _environment_folder(name: str, requirements: Sequence[str], python: Python) -> Path:
    key = _key(requirements, python.version)
    return cache_folder() / "environments" / f"{name}-py{python.version}-{key}"


def _key(requirements: Sequence[str], version: str) -> str:
    text = "\n".join([version, *sorted(requirements)])
    return hashlib.sha256(text.encode()).hexdigest()[:_HASH_LENGTH]


def _announce(what: str, requirements: Sequence[str], size: str, folder: Path) -> None:
    count = f"{len(requirements)} packages, " if requirements else ""
    say(f"Installing {what} ({count}{size}) into {folder}")


def _build(partial: Path, name: str, requirements: Sequence[str], python: Python) -> None:
    if not python.makes_environments:
        raise HarnessError(
            f"Python {python.version} ({python.path}) cannot make virtual environments, because "
            "its venv or ensurepip module is missing; on Debian and Ubuntu this brings it: "
            "apt-get install python3-venv"
        )
    # A pip of its own takes seconds; one Python's pip serves all its environments.
    shared = bool(requirements) and python.version == pythons.running().version
    without = ["--without-pip"] if shared else []
    command = [str(python.path), "-m", "venv", *without, str(partial)]
    code, printed = run_quietly(command)
    if code:
        raise HarnessError(
            f"Python could not make a virtual environment in {partial}: {printed.strip()}"
        )
    if requirements:
        # Most is never imported, and what is gets compiled by then; but Blender keeps none of it.
        blender = any(pin.startswith("bpy==") for pin in requirements)
        quick = [] if blender else ["--no-compile"]
        arguments = ["install", "--only-binary=:all:", *quick, *requirements]
        into = [f"--python={python_in(partial)}"] if shared else []
        pip = pip_environment() if shared else python_in(partial)
        run_pip(pip, [*into, *arguments], purpose=f"install the environment {name!r}")


def _install_target(partial: Path, name: str, arguments: Sequence[str]) -> None:
    command = ["install", f"--target={partial}", *arguments]
    run_pip(pip_environment(), command, purpose=f"install {name!r}")
