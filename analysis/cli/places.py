# SPDX-License-Identifier: GPL-3.0-or-later
"""Where a run's reports go, looked at before the work begins."""

import argparse
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

from ..files import refuse_folder
from ..report import refuse_report_place
from .file_names import FileNames


@dataclass(frozen=True)
class ReportPlaces:
    """The one report of everything, or None, and the report of each input."""

    everything: str | None
    each: Mapping[str, Path]


def report_places(options: argparse.Namespace, inputs: Sequence[str]) -> ReportPlaces:
    """The places that the options name; raises PlumblineError for one that cannot be used.

    Each input keeps its place, whether or not the others can be checked.
    """
    if options.json:
        refuse_report_place(options.json)
    each: dict[str, Path] = {}
    if options.out:
        refuse_folder(options.out, what="the reports")
        names = FileNames(options.out, ".json", taken=taken_by(options))
        each = {file: names.new(Path(file).stem or "shot") for file in dict.fromkeys(inputs)}
        for path in each.values():
            refuse_report_place(path)
    return ReportPlaces(options.json, MappingProxyType(each))


def clip_names(options: argparse.Namespace) -> FileNames | None:
    """Names for the clips that `--clips` asks for; raises PlumblineError for no folder."""
    if not options.clips:
        return None
    refuse_folder(options.clips, what="the clips")
    return FileNames(options.clips, ".npz", taken=taken_by(options))


def taken_by(options: argparse.Namespace) -> list[str]:
    """Files of this run that are named outright."""
    return [options.json] if options.json else []
