# SPDX-License-Identifier: GPL-3.0-or-later
"""The folder that the demo leaves: its own, and never somebody's work.

A marker file says that the demo made the folder, and what each of its files was when it left:
whoever opens a scene, mends it and saves it has made it theirs.
"""

import hashlib
import json
import os
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from tests.harness.errors import HarnessError

MARKER = ".plumbline-demo"
REPORT = "findings.json"


def demo_folder(named: Path, *, default: Path) -> Path:
    """The folder to build in, made where it is new, and marked as the demo's own.

    Raises HarnessError where it holds anything that the demo did not leave. An unmarked
    `default` that holds a demo's report comes from a demo that did not mark yet.
    """
    out = named.expanduser().absolute()
    if os.path.exists(out) and not os.path.isdir(out):
        raise HarnessError(f"{out} is a file, expected a folder: name another with --out.")
    try:
        _refuse_others(out, default)
        out.mkdir(parents=True, exist_ok=True)
        if not (out / MARKER).exists():
            mark(out, ())
    except OSError as error:
        raise HarnessError(
            f"The folder {out} could not be written ({error.strerror}): name another with --out."
        ) from None
    return out


def mark(out: Path, names: Iterable[str]) -> None:
    """Note what the demo's files are now, so that a changed one is seen the next time."""
    left = {name: _digest(out / name) for name in names if (out / name).is_file()}
    note = {"about": "Plumbline's demo made this folder and builds it anew.", "left": left}
    (out / MARKER).write_text(json.dumps(note, indent=1) + "\n", encoding="utf-8")


def _refuse_others(out: Path, default: Path) -> None:
    marked = os.path.exists(out / MARKER)
    held = sorted(os.listdir(out)) if os.path.exists(out) else []
    if held and not marked and not (out == default and _is_report(out / REPORT)):
        raise HarnessError(
            f"The folder {out} holds {held[0]!r}, which is not the demo's; expected a new or an "
            "empty folder: name one with --out."
        )
    for name, digest in _read(out / MARKER).get("left", {}).items():
        if (out / name).is_file() and _digest(out / name) != digest:
            raise HarnessError(
                f"{out / name} was changed since the demo left it, so it is not built anew: move "
                "it away, or name another folder with --out."
            )


def _is_report(path: Path) -> bool:
    return str(_read(path).get("schema", "")).startswith("plumbline/")


def _read(path: Path) -> dict[str, Any]:
    try:
        data = json.loads(path.read_text("utf-8"))
    except (OSError, ValueError):
        return {}
    return data if isinstance(data, dict) else {}


def _digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()
