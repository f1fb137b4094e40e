# SPDX-License-Identifier: GPL-3.0-or-later
"""Lays the extension out as Blender loads it: `addon` and `analysis` side by side.

In the stage, as in the checkout, `from ..analysis import ...` is the path from the add-on to the
analysis. Developers link the two folders, so that edits are live; a build copies them.
"""

import os
import shutil
import sys
import tomllib
from pathlib import Path

from . import ROOT
from .errors import HarnessError

EXTENSION_ID = "plumbline"
MANIFEST = "blender_manifest.toml"
FOLDERS = ("addon", "analysis")
INIT_TEXT = "from .addon import register, unregister\n"


def stage(dest: Path, *, link: bool = False, root: Path = ROOT) -> Path:
    """Write the extension's folder to `dest`, with copies or with links of the two folders.

    An earlier stage at `dest` is replaced; any other folder that is not empty is refused.
    """
    _check_sources(root)
    _clear_earlier_stage(dest)
    dest.mkdir(parents=True, exist_ok=True)
    (dest / "__init__.py").write_text(INIT_TEXT, encoding="utf-8", newline="\n")
    shutil.copyfile(root / "addon" / MANIFEST, dest / MANIFEST)
    if (root / "LICENSE").is_file():
        shutil.copyfile(root / "LICENSE", dest / "LICENSE")
    for name in FOLDERS:
        if link:
            link_folder(root / name, dest / name)
        else:
            _copy_folder(root / name, dest / name)
    return dest


def staged_files(folder: Path) -> set[str]:
    """Every file below `folder`, as relative names with forward slashes."""
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}


def link_folder(source: Path, dest: Path) -> None:
    """Make `dest` lead to the folder `source`, on Windows without needing special rights."""
    try:
        dest.symlink_to(source, target_is_directory=True)
    except OSError as error:
        if sys.platform != "win32":
            raise HarnessError(f"{dest} cannot be linked to {source}: {error.strerror}.") from error
        import _winapi  # a junction, unlike a symbolic link, is allowed to everybody

        _winapi.CreateJunction(str(source), str(dest))


def _check_sources(root: Path) -> None:
    for needed in (root / "addon" / MANIFEST, root / "analysis"):
        if not needed.exists():
            raise HarnessError(f"{needed} is missing, so this is not a complete checkout.")


def _copy_folder(source: Path, dest: Path) -> None:
    """Copy what ships; the manifest has its place at the root and is not packed twice."""

    def left_out(folder: str, names: list[str]) -> list[str]:
        at_top = Path(folder) == source
        return [name for name in names if _never_ships(name) or (at_top and name == MANIFEST)]

    shutil.copytree(source, dest, ignore=left_out)


def _never_ships(name: str) -> bool:
    return name.startswith(".") or name == "__pycache__" or name.endswith((".pyc", ".pyo", "~"))


def _clear_earlier_stage(dest: Path) -> None:
    if not dest.exists() or (dest.is_dir() and not any(dest.iterdir())):
        return
    if not _is_stage(dest):
        raise HarnessError(f"{dest} is not empty and not a staged Plumbline: name another folder.")
    for path in dest.iterdir():
        _remove(path)


def _remove(path: Path) -> None:
    """Remove a file, a folder, or a link to a folder without touching what it leads to."""
    if path.is_symlink() or not path.is_dir():
        path.unlink()
        return
    try:
        os.rmdir(path)  # a Windows junction, which looks like a full folder, goes this way
    except OSError:
        shutil.rmtree(path)


def _is_stage(folder: Path) -> bool:
    """Whether it holds our manifest and nothing that a stage does not have."""
    known = {"__init__.py", "__pycache__", MANIFEST, "LICENSE", *FOLDERS}
    try:
        names = {path.name for path in folder.iterdir()}
        manifest = tomllib.loads((folder / MANIFEST).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return False
    return names <= known and manifest.get("id") == EXTENSION_ID
