# SPDX-License-Identifier: GPL-3.0-or-later
"""Inside Blender: `analysis` under its plain name, and the add-on's own modules."""

import importlib
import importlib.util
import sys
from pathlib import Path
from types import ModuleType
from typing import Any

ROOT = Path(__file__).resolve().parents[2]


def set_up() -> None:
    """Let a script import analysis, tests and demo scenes, each of which exists once."""
    import bpy  # noqa: F401 - first, as the others need what it brings

    from tests.harness.single_copy import take_over_imports

    spec = importlib.util.spec_from_file_location("headless", ROOT / "addon" / "headless.py")
    headless: Any = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(headless)
    package = headless.find_package()
    importlib.import_module(f"{package}.analysis")
    take_over_imports(ROOT, package)


def addon(name: str) -> ModuleType:
    """A module of the add-on, such as `sampling`; raises ModuleNotFoundError."""
    return importlib.import_module(f"{_package()}.addon.{name}")


def addon_if_there(name: str) -> ModuleType | None:
    """The same, or None where this state of the project has no such module."""
    full = f"{_package()}.addon.{name}"
    try:
        return addon(name)
    except ModuleNotFoundError as error:
        if error.name is None or not full.startswith(error.name):
            raise
        return None


def _package() -> str:
    importlib.import_module("analysis")
    return sys.modules["analysis"].__name__.rpartition(".")[0]
