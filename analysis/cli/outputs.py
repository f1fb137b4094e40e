# SPDX-License-Identifier: GPL-3.0-or-later
"""What `check` leaves: text on the screen, reports in files, an exit code."""

import argparse
import os
import shutil
import sys
from collections.abc import Sequence
from pathlib import Path

from ..errors import PlumblineError
from ..finding import Shot
from ..report import build_report, exit_code, write_report
from ..settings import Settings
from ..summary import shot_text, total_text
from .file_names import FileNames

# One failed input: its name and the sentence that says why.
Failure = tuple[str, str]


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
        names = FileNames(options.out, ".json", taken=[options.json] if options.json else [])
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
