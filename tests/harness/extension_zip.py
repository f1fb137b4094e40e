# SPDX-License-Identifier: GPL-3.0-or-later
"""Builds the extension's zip with Blender's own builder, validates it and lists what is in it."""

import shutil
import tempfile
import zipfile
from collections.abc import Sequence
from pathlib import Path

from .blenders import Blender, environment_for
from .children import run_quietly
from .errors import HarnessError
from .staging import FOLDERS, MANIFEST, stage, staged_files

_TOP_FILES = {"__init__.py", MANIFEST, "LICENSE"}
_BUILDER = "site-packages/bpy/*/scripts/addons_core/bl_pkg/cli/blender_ext.py"


def build_zip(out_dir: Path, blender: Blender) -> Path:
    """Build, validate and list the zip in `out_dir`; `blender` brings the builder."""
    builder = _builder_command(blender)
    with tempfile.TemporaryDirectory(prefix="plumbline-build-") as scratch:
        staged = stage(Path(scratch) / "plumbline")
        built = Path(scratch) / "built"
        built.mkdir()
        user = {"BLENDER_USER_RESOURCES": str(Path(scratch) / "user")}
        source, output = f"--source-dir={staged}", f"--output-dir={built}"
        _run([*builder, "build", source, output], user)
        (path,) = built.glob("*.zip")
        _run([*builder, "validate", str(path)], user)
        check_contents(path, staged_files(staged))
        out_dir.mkdir(parents=True, exist_ok=True)
        return Path(shutil.copyfile(path, out_dir / path.name))


def check_contents(path: Path, expected: set[str]) -> None:
    """Refuse a zip that lacks a staged file, or holds anything that does not belong in it."""
    with zipfile.ZipFile(path) as archive:
        names = {name for name in archive.namelist() if not name.endswith("/")}
    strange = {name for name in names if not _belongs(name)} | (names - expected)
    problems = [f"lacks {name}" for name in sorted(expected - names)]
    problems += [f"holds {name}" for name in sorted(strange)]
    if problems:
        raise HarnessError(f"{path.name} is not what was staged: it {', '.join(problems)}.")


def _belongs(name: str) -> bool:
    parts = name.split("/")
    if any(part.startswith(".") or part == "__pycache__" for part in parts):
        return False
    return name in _TOP_FILES or (len(parts) > 1 and parts[0] in FOLDERS)


def _builder_command(blender: Blender) -> list[str]:
    """Blender's builder: a command of the program, or a script in the wheel that needs no bpy."""
    if blender.executable:
        return [str(blender.executable), "--command", "extension"]
    python = environment_for(blender)
    folder = python.parents[1]
    scripts = [*folder.glob(f"lib/python*/{_BUILDER}"), *folder.glob(f"Lib/{_BUILDER}")]
    if not scripts:
        raise HarnessError(f"{blender} has no extension builder below {folder}.")
    return [str(python), str(scripts[0])]


def _run(command: Sequence[str], extra: dict[str, str]) -> None:
    code, printed = run_quietly(command, extra)
    if code:
        raise HarnessError(f"Blender's builder refuses the extension:\n{printed.strip()}")
