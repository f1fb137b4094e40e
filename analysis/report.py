# SPDX-License-Identifier: GPL-3.0-or-later
"""The check JSON: built, written whole or not at all, judged for an exit code."""

import json
import os
from collections.abc import Sequence
from importlib import resources
from pathlib import Path
from typing import Any

from ._version import __version__
from .errors import PlumblineError
from .finding import SEVERITIES, Shot
from .settings import Settings

SCHEMA = "plumbline/1"
EXIT_CLEAN, EXIT_USAGE, EXIT_SOME_FAILED, EXIT_FINDINGS = 0, 2, 3, 10


def build_report(
    shots: Sequence[Shot], settings: Settings, *, blender: str | None = None
) -> dict[str, Any]:
    """The report of several shots as JSON values; it holds no times of day."""
    return {
        "schema": SCHEMA,
        "plumbline": __version__,
        "blender": blender,
        "settings": settings.to_json(),
        "shots": [shot.to_json() for shot in shots],
    }


def dump_report(report: dict[str, Any]) -> str:
    """The report as text: the same report gives the same bytes."""
    return json.dumps(report, ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def write_report(path: str | os.PathLike[str], report: dict[str, Any]) -> Path:
    """Write the report; raises PlumblineError when the place cannot be written."""
    path = Path(path)
    partial = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        try:
            partial.write_text(dump_report(report), encoding="utf-8")
            os.replace(partial, path)
        finally:
            partial.unlink(missing_ok=True)
    except OSError as error:
        raise PlumblineError(
            f"{path} could not be written ({error.strerror or error}): name a file in a folder "
            "that may be written."
        ) from None
    return path


def read_schema() -> dict[str, Any]:
    """The JSON Schema that ships with the analysis."""
    text = resources.files(__package__).joinpath("plumbline-1.schema.json").read_text("utf-8")
    return dict(json.loads(text))


def exit_code(shots: Sequence[Shot], *, failed: int, fail_on: str) -> int:
    """0 clean, 10 findings at or above `fail_on`, 3 some input failed, 2 nothing usable."""
    if failed:
        return EXIT_SOME_FAILED if shots else EXIT_USAGE
    if fail_on == "never":
        return EXIT_CLEAN
    counted = SEVERITIES[SEVERITIES.index(fail_on) :]
    found = any(finding.severity in counted for shot in shots for finding in shot.findings)
    return EXIT_FINDINGS if found else EXIT_CLEAN
