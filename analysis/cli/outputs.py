# SPDX-License-Identifier: GPL-3.0-or-later
"""What `check` leaves: text on the screen, reports in files, an exit code."""

import argparse
import re
import shutil
from collections.abc import Sequence
from pathlib import Path

from ..finding import Shot
from ..report import build_report, exit_code, write_report
from ..settings import Settings
from ..summary import shot_text, total_text

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
    """Print the summary, write the reports that were asked for, return the exit code.

    Raises PlumblineError when a report cannot be written.
    """
    width = min(shutil.get_terminal_size((80, 24)).columns, 100)
    for shot in shots:
        print(shot_text(shot, width=width))
    print(total_text(shots, failed))
    if options.json:
        write_report(options.json, build_report(shots, settings, blender=blender))
    if options.out:
        for path, group in _by_file(Path(options.out), shots).items():
            write_report(path, build_report(group, settings, blender=blender))
    return exit_code(shots, failed=len(failed), fail_on=options.fail_on)


def _by_file(folder: Path, shots: Sequence[Shot]) -> dict[Path, list[Shot]]:
    """One report per input file; two files of one name get a number."""
    groups: dict[str, list[Shot]] = {}
    for shot in shots:
        groups.setdefault(shot.file, []).append(shot)
    paths: dict[Path, list[Shot]] = {}
    for file, group in groups.items():
        stem = safe_name(Path(file).stem or group[0].rig or "shot")
        path, number = folder / f"{stem}.json", 2
        while path in paths:
            path, number = folder / f"{stem}-{number}.json", number + 1
        paths[path] = group
    return paths


def safe_name(name: str) -> str:
    """A name that every file system takes; letters of any script stay."""
    return re.sub(r"[^\w.\- ]", "_", name).strip(". ") or "unnamed"
