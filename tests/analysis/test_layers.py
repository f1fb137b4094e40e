# SPDX-License-Identifier: GPL-3.0-or-later
"""The analysis stands alone: no Blender, nothing beyond numpy, a documented surface."""

import ast
import importlib
import inspect
import pkgutil
import subprocess
import sys
from pathlib import Path

import pytest

import analysis

ROOT = Path(analysis.__file__).parent
FOUND = [name for _finder, name, _is in pkgutil.walk_packages([str(ROOT)], "analysis.")]
MODULES = sorted(name for name in FOUND if "__main__" not in name)


def imported(path):
    """Top-level names of absolute imports in a file."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name.split(".")[0] for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.level == 0:
            yield node.module.split(".")[0]


@pytest.mark.parametrize("path", sorted(ROOT.rglob("*.py")), ids=lambda p: p.name)
def test_only_numpy_and_the_standard_library_are_imported(path):
    assert set(imported(path)) <= {*sys.stdlib_module_names, "numpy"}


def test_the_analysis_runs_where_blender_is_not():
    code = "import analysis, sys; sys.exit(bool({'bpy', 'mathutils'} & set(sys.modules)))"
    assert (
        subprocess.run([sys.executable, "-c", code], cwd=ROOT.parent, check=False).returncode == 0
    )


@pytest.mark.parametrize("name", MODULES)
def test_every_public_name_has_a_docstring(name):
    module = importlib.import_module(name)
    assert module.__doc__
    for label, item in vars(module).items():
        own = getattr(item, "__module__", None) == name
        if (
            own
            and not label.startswith("_")
            and (inspect.isclass(item) or inspect.isfunction(item))
        ):
            assert item.__doc__, f"{name}.{label}"


def test_what_is_exported_is_there_and_sorted():
    assert sorted(analysis.__all__, key=str.casefold) == sorted(analysis.__all__, key=str.casefold)
    for name in analysis.__all__:
        assert hasattr(analysis, name)


def test_files_stay_small():
    for path in ROOT.rglob("*.py"):
        assert len(path.read_text("utf-8").splitlines()) <= 250, path.name
