# SPDX-License-Identifier: GPL-3.0-or-later
"""The user's cache folder, and folders in it that are either complete or not there at all."""

import os
import shutil
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from pathlib import Path

from .errors import HarnessError

_DAY_S = 24 * 3600.0
_GUARD = threading.Lock()
_LOCKS: dict[Path, threading.RLock] = {}


def cache_folder() -> Path:
    """Where downloads and environments are kept between runs and shared between clones."""
    named = os.environ.get("PLUMBLINE_CACHE")
    if named:
        return Path(named).expanduser().absolute()
    return _user_cache() / "plumbline"


def _user_cache() -> Path:
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Caches"
    return Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")


def publish(dest: Path, build: Callable[[Path], None]) -> Path:
    """Have `build` fill a new folder beside `dest`, then rename it to `dest`, which is returned.

    An interrupted build leaves no `dest` behind. Another thread of this process waits for it. If
    another process publishes the same folder first, its copy is kept: both were built from the
    same key.
    """
    with _lock_of(dest):
        if dest.exists():
            return dest
        partial = _new_partial(dest)
        try:
            build(partial)
            _rename_unless_there(partial, dest)
        finally:
            shutil.rmtree(partial, ignore_errors=True)
    return dest


def _lock_of(dest: Path) -> threading.RLock:
    with _GUARD:
        return _LOCKS.setdefault(dest, threading.RLock())


def discard(folder: Path) -> None:
    """Remove a published folder that turned out to be broken, out of everybody's way first."""
    aside = _new_partial(folder)
    try:
        folder.replace(aside / "broken")
    except FileNotFoundError:
        pass  # another process was quicker
    finally:
        shutil.rmtree(aside, ignore_errors=True)


def _new_partial(dest: Path) -> Path:
    try:
        dest.parent.mkdir(parents=True, exist_ok=True)
        _sweep(dest.parent)
        return Path(tempfile.mkdtemp(prefix=f"{dest.name}.partial-{os.getpid()}-", dir=dest.parent))
    except OSError as error:
        raise HarnessError(
            f"The cache folder {dest.parent} cannot be written ({error.strerror}); "
            "name another one in the environment variable PLUMBLINE_CACHE."
        ) from error


def _sweep(folder: Path) -> None:
    """Remove what killed builds left; a day is longer than any build that still runs."""
    for left in folder.glob("*.partial-*"):
        try:
            old = time.time() - left.stat().st_mtime > _DAY_S
        except FileNotFoundError:
            continue
        if old:
            shutil.rmtree(left, ignore_errors=True)


def _rename_unless_there(partial: Path, dest: Path) -> None:
    try:
        partial.rename(dest)
    except OSError:
        if not dest.exists():
            raise
