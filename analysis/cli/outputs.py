# SPDX-License-Identifier: GPL-3.0-or-later
"""What `check` leaves: text on the screen, reports in files, an exit code."""

import argparse
import os
import re
import shutil
import sys
from collections.abc import Sequence
from pathlib import Path

from ..errors import PlumblineError
from ..finding import Shot
from ..report import build_report, exit_code, write_report
from ..settings import Settings
from ..summary import shot_text, total_text

# One failed input: its name and the sentence that says why.
Failure = tuple[str, str]
# Bytes that are left to a name when a number, a suffix and the mark of a partial file come to it.
_LONGEST_NAME = 200


def finish(
    options: argparse.Namespace,
    settings: Settings,
    shots: Sequence[Shot],
    failed: Sequence[Failure],
    *,
    blender: str | None = None,
) -> int:
    """Write the reports that were asked for, print the summary, return the exit code.

    Raises PlumblineError when a report cannot be written.
    """
    if options.json:
        write_report(options.json, build_report(shots, settings, blender=blender))
    if options.out:
        names = FileNames(options.out, ".json")
        for file, group in _by_file(shots).items():
            path = names.new(Path(file).stem or group[0].rig or "shot")
            write_report(path, build_report(group, settings, blender=blender))
    width = min(shutil.get_terminal_size((80, 24)).columns, 100)
    show("\n".join([*(shot_text(shot, width=width) for shot in shots), total_text(shots, failed)]))
    return exit_code(shots, failed=len(failed), fail_on=options.fail_on)


def show(text: str) -> None:
    """Print, whether or not anybody still reads; raises PlumblineError where it cannot be kept."""
    try:
        print(text, flush=True)
    except OSError as error:
        # What is still buffered would fail once more when the interpreter ends.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        if not isinstance(error, BrokenPipeError):  # that is `| head`: the reader had enough
            raise PlumblineError(
                f"the summary could not be printed ({error.strerror}), expected a standard "
                "output that takes text: make room or send it elsewhere."
            ) from None


def _by_file(shots: Sequence[Shot]) -> dict[str, list[Shot]]:
    groups: dict[str, list[Shot]] = {}
    for shot in shots:
        groups.setdefault(shot.file, []).append(shot)
    return groups


class FileNames:
    """New file names in one folder: a name that was given before gets a number."""

    def __init__(self, folder: str | os.PathLike[str], suffix: str) -> None:
        self._folder, self._suffix = Path(folder), suffix
        self._taken: set[str] = set()

    def new(self, name: str) -> Path:
        """A path that no call has returned, told apart as file systems without case do."""
        stem = safe_name(name)
        tried, number = stem, 2
        while tried.casefold() in self._taken:
            tried, number = f"{stem}-{number}", number + 1
        self._taken.add(tried.casefold())
        return self._folder / f"{tried}{self._suffix}"


def safe_name(name: str) -> str:
    """A name that file systems take; letters of any script stay."""
    safe = re.sub(r"[^\w.\- ]", "_", name).strip(". ")
    while len(safe.encode()) > _LONGEST_NAME:
        safe = safe[:-1]
    return safe or "unnamed"
