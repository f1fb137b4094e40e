# SPDX-License-Identifier: GPL-3.0-or-later
"""The check JSON: built, written whole or not at all, judged for an exit code."""

import json
import os
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from ._version import __version__
from .files import refuse_loss, write_whole
from .finding import SEVERITIES, Shot
from .settings import Settings, run_json

SCHEMA = "plumbline/1"
_REPORT_START = re.compile(rb'\s*\{\s*"schema"\s*:\s*"plumbline/')
EXIT_CLEAN, EXIT_USAGE, EXIT_SOME_FAILED, EXIT_FINDINGS = 0, 2, 3, 10
EXIT_INTERRUPTED = 130  # as shells say it: 128 and the number of the signal


def build_report(
    shots: Sequence[Shot],
    settings: Settings,
    *,
    used: Sequence[Settings] = (),
    blender: str | None = None,
) -> dict[str, Any]:
    """The report of several shots as JSON values; it holds no times of day.

    used   each shot's own settings, where clips that state their stage may differ in it
    """
    return {
        "schema": SCHEMA,
        "plumbline": __version__,
        "blender": blender,
        "settings": run_json(settings, used),
        "shots": [shot.to_json() for shot in shots],
    }


def dump_report(report: dict[str, Any]) -> str:
    """The report as text: the same report gives the same bytes."""
    return json.dumps(report, ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def write_report(path: str | os.PathLike[str], report: dict[str, Any]) -> Path:
    """Write the report over nothing or an older one; raises PlumblineError otherwise."""
    # Names that are no valid text (undecodable bytes) become JSON's own escapes.
    content = dump_report(report).encode("utf-8", errors="backslashreplace")
    return write_whole(path, content, what="report", is_ours=_is_report)


def refuse_report_place(path: str | os.PathLike[str]) -> None:
    """Raise PlumblineError where a report would replace something that is none."""
    refuse_loss(path, what="report", is_ours=_is_report)


def _is_report(path: Path) -> bool:
    with path.open("rb") as stream:
        return _REPORT_START.match(stream.read(200)) is not None


def exit_code(shots: Sequence[Shot], *, failed: int, fail_on: str) -> int:
    """0 clean, 10 findings at or above `fail_on`, 3 some input failed, 2 nothing usable.

    What is kept on purpose is no finding here.
    """
    if failed:
        return EXIT_SOME_FAILED if shots else EXIT_USAGE
    if fail_on == "never":
        return EXIT_CLEAN
    counted = SEVERITIES[SEVERITIES.index(fail_on) :]
    found = any(
        finding.severity in counted and finding.counts
        for shot in shots
        for finding in shot.findings
    )
    return EXIT_FINDINGS if found else EXIT_CLEAN
