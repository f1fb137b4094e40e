# SPDX-License-Identifier: GPL-3.0-or-later
"""Names for the files of one run: none twice, and all of them such as file systems take."""

import os
import re
from collections.abc import Iterable
from pathlib import Path

# Bytes that are left to a name when a number, a suffix and the mark of a partial file come to it.
_LONGEST_NAME = 200


class FileNames:
    """New file names in one folder: a name that was given before gets a number.

    `taken` are the run's other files, so that none of these replaces one of them.
    """

    def __init__(
        self,
        folder: str | os.PathLike[str],
        suffix: str,
        *,
        taken: Iterable[str | os.PathLike[str]] = (),
    ) -> None:
        self._folder, self._suffix = Path(folder), suffix
        self._taken = {_file(path) for path in taken}

    def new(self, name: str) -> Path:
        """A path that no call has returned, told apart as file systems without case do."""
        stem = safe_name(name)
        path, number = self._path(stem), 2
        while _file(path) in self._taken:
            path, number = self._path(f"{stem}-{number}"), number + 1
        self._taken.add(_file(path))
        return path

    def _path(self, stem: str) -> Path:
        return self._folder / f"{stem}{self._suffix}"


def _file(path: str | os.PathLike[str]) -> str:
    """The file that a path leads to, links followed, case left out."""
    return os.path.realpath(path).casefold()


def safe_name(name: str) -> str:
    """A name that file systems take; letters of any script stay."""
    safe = re.sub(r"[^\w.\- ]", "_", name).strip(". ")
    while len(safe.encode()) > _LONGEST_NAME:
        safe = safe[:-1]
    return safe or "unnamed"
