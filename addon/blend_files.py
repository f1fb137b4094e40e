# SPDX-License-Identifier: GPL-3.0-or-later
"""Finding and opening .blend files for the command; files are never saved."""

import os
from collections.abc import Sequence
from pathlib import Path

import bpy

from ..analysis import PlumblineError


def find_files(inputs: Sequence[str]) -> list[Path]:
    """Files as named, and all .blend files below named folders, in the order of their names.

    Raises PlumblineError for a folder that holds none. A named file that does not exist is
    kept: it fails on its own, when its turn comes.
    """
    files: list[Path] = []
    for text in inputs:
        path = Path(text)
        if not os.path.isdir(text):
            files.append(path)
            continue
        found = sorted(path.rglob("*.blend"))
        if not found:
            raise PlumblineError(
                f"the folder {path} holds no .blend file, expected one or more: name another."
            )
        files += found
    return list(dict.fromkeys(files))


def open_file(path: Path, *, allow_scripts: bool) -> None:
    """Open a file without its windows; raises PlumblineError when that fails."""
    if not os.path.isfile(path):  # unlike Path.is_file, it takes a name that is too long
        raise PlumblineError(f"{path} does not exist, expected a .blend file: check the path.")
    try:
        bpy.ops.wm.open_mainfile(filepath=str(path), load_ui=False, use_scripts=allow_scripts)
    except RuntimeError as error:
        reason = " ".join(str(error).removeprefix("Error: ").split())
        raise PlumblineError(
            f"{path} could not be opened ({reason}), expected a .blend file: open it in Blender "
            "to see what is wrong."
        ) from None


def missing_libraries() -> list[str]:
    """Paths of linked files that are not there."""
    paths = [bpy.path.abspath(lib.filepath, library=lib.parent) for lib in bpy.data.libraries]
    return sorted({path for path in paths if not os.path.isfile(path)})
