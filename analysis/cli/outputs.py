# SPDX-License-Identifier: GPL-3.0-or-later
"""What `check` leaves: text on the screen and reports in files."""

import os
import shutil
import sys
from collections.abc import Sequence

from ..errors import PlumblineError
from ..finding import Shot
from ..report import build_report, write_report
from ..settings import Settings
from ..summary import shot_text, total_text
from .answer import Failure
from .places import ReportPlaces


def write_reports(
    places: ReportPlaces,
    judged: Sequence[tuple[Shot, Settings]],
    settings: Settings,
    *,
    blender: str | None = None,
) -> list[str]:
    """Write the reports that were asked for; returns why some could not be, in sentences."""
    wanted = [(places.everything, list(judged))] if places.everything else []
    wanted += [
        (str(path), [each for each in judged if each[0].file == file])
        for file, path in places.each.items()
    ]
    unwritten = []
    for path, group in wanted:
        if group:
            shots, used = zip(*group, strict=True)
            report = build_report(shots, settings, used=used, blender=blender)
            try:
                write_report(path, report)
            except PlumblineError as error:
                unwritten.append(str(error))
    return unwritten


def show_summary(shots: Sequence[Shot], failed: Sequence[Failure]) -> None:
    """Print what was found; raises PlumblineError where it cannot be printed."""
    width = text_width()
    show("\n".join([*(shot_text(shot, width=width) for shot in shots), total_text(shots, failed)]))


def text_width() -> int:
    """Columns that text is wrapped to: the terminal's, up to 100."""
    return min(shutil.get_terminal_size((80, 24)).columns, 100)


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
