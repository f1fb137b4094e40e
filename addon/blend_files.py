# SPDX-License-Identifier: GPL-3.0-or-later
"""Finding and opening .blend files for the command; files are never saved."""

import os
import re
from collections.abc import Sequence
from pathlib import Path

import bpy

from ..analysis import PlumblineError
from ..analysis.cli import Failure
from .blend_header import saved_by

# A file that an error of Blender's names.
_QUOTED = re.compile(r"'([^'\n]+)'")


def find_files(inputs: Sequence[str]) -> tuple[list[str], list[Failure]]:
    """Files as named, and all .blend files below named folders, in the order of their names.

    A folder that holds none fails on its own and stops no other input. A named file that does
    not exist is kept: it fails when its turn comes.
    """
    files: list[str] = []
    failed: list[Failure] = []
    for text in inputs:
        path = Path(text)
        if not os.path.isdir(text):
            files.append(str(path))
            continue
        found = sorted(each for each in path.rglob("*") if _is_blend_file(each))
        files += map(str, found)
        if not found:
            reason = f"the folder {path} holds no .blend file, expected one or more: name another."
            failed.append((text, reason))
    return list(dict.fromkeys(files)), failed


def _is_blend_file(path: Path) -> bool:
    return path.suffix.lower() == ".blend" and os.path.isfile(path)


def open_file(path: Path, *, allow_scripts: bool) -> None:
    """Open a file without its windows; raises PlumblineError when that fails."""
    if not os.path.isfile(path):  # unlike Path.is_file, it takes a name that is too long
        raise PlumblineError(f"{path} does not exist, expected a .blend file: check the path.")
    if path.suffix.lower() == ".npz":
        raise PlumblineError(
            f"{path} is no Blender file, expected .blend: clips are checked without Blender, with "
            f"`python3 -m analysis check {path}`."
        )
    try:
        bpy.ops.wm.open_mainfile(filepath=str(path), load_ui=False, use_scripts=allow_scripts)
    except RuntimeError as error:
        raise PlumblineError(_why_not_opened(path, str(error))) from None


def _why_not_opened(path: Path, error: str) -> str:
    """A sentence; a Blender calls what a newer one saved no blend file, links of it as well."""
    ours = bpy.app.version[:2]
    for blamed in (path, *map(Path, _QUOTED.findall(error))):
        version = saved_by(blamed)
        if version is not None and version > ours:
            newer = "{}.{}".format(*version)
            link = "" if blamed == path else f" links {blamed}, which"
            return (
                f"{path}{link} was saved by Blender {newer}, expected one that this Blender "
                f"{ours[0]}.{ours[1]} can read: check it with Blender {newer} or later."
            )
    said = " ".join(error.removeprefix("Error: ").split())
    reason = said.partition(" failed: ")[2] or said  # before it stands the path once more
    return (
        f"{path} could not be opened ({reason}), expected a .blend file: open it in Blender "
        "to see what is wrong."
    )


def missing_libraries() -> list[str]:
    """Paths of linked files that are not there."""
    return [path for path in _library_paths() if not os.path.isfile(path)]


def newer_libraries() -> list[tuple[str, str]]:
    """Paths of linked files that a newer Blender saved, each with that Blender's version."""
    versions = [(path, saved_by(Path(path))) for path in _library_paths()]
    ours = bpy.app.version[:2]
    return [(path, "{}.{}".format(*saved)) for path, saved in versions if saved and saved > ours]


def _library_paths() -> list[str]:
    paths = [bpy.path.abspath(lib.filepath, library=lib.parent) for lib in bpy.data.libraries]
    return sorted(set(paths))
