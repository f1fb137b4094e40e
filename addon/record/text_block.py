# SPDX-License-Identifier: GPL-3.0-or-later
"""The text that keeps our record in the file: found by what it holds, whatever its name is.

    {
    "plumbline_record": 1,
    "choices": {scene's name: {...}},
    "shots": [{"scene": name, "rig": full name, "said": {...}, "pass": {...}}]
    }

One value a line: Blender takes long to write a text of one long line.
"""

import json
import re
from typing import Any

import bpy

from ...analysis import PlumblineError

NAME = "Plumbline"
MARK = "plumbline_record"
VERSION = 1
# How a record begins, however somebody has spaced it since.
_BEGINS = re.compile(r'\s*\{\s*"' + MARK + r'"\s*:')
_ENOUGH = 200

# What the text held when we last wrote it or looked.
_seen = [""]


def find_text() -> bpy.types.Text | None:
    """Our text; None where the file has none. Texts of the user's own are none of ours."""
    found = [text for text in bpy.data.texts if text.library is None and _is_ours(text)]
    return min(found, key=lambda text: (text.name != NAME, text.name), default=None)


def _is_ours(text: bpy.types.Text) -> bool:
    head = "\n".join(line.body[:_ENOUGH] for line in text.lines[:3])
    return _BEGINS.match(head) is not None


def read_record() -> dict[str, Any]:
    """What the text holds; an empty record where the file has none.

    Raises PlumblineError for a text that cannot be read: it then must not be written either.
    """
    text = find_text()
    if text is None:
        return {MARK: VERSION, "choices": {}, "shots": []}
    try:
        data = json.loads(text.as_string())
    except (ValueError, RecursionError):
        raise _unread(text, "is cut or changed", "whole JSON") from None
    if not isinstance(data, dict) or data.get(MARK) != VERSION:
        raise _unread(text, "was written by another version", f"a record of version {VERSION}")
    if not isinstance(data.setdefault("choices", {}), dict) or not _are_shots(
        data.setdefault("shots", [])
    ):
        raise _unread(text, "is cut or changed", "a list of shots")
    return data


def count_record() -> int:
    """How many notes, findings kept as intended and passes the text holds; one where it holds
    choices only or cannot be read; none without a text."""
    if find_text() is None:
        return 0
    try:
        shots = read_record()["shots"]
    except PlumblineError:
        return 1
    said = [shot["said"] for shot in shots if isinstance(shot.get("said"), dict)]
    lists = [each.get(name) for each in said for name in ("notes", "intended")]
    count = sum(len(each) for each in lists if isinstance(each, list))
    return count + sum("pass" in shot for shot in shots) or 1


def _are_shots(shots: Any) -> bool:
    return isinstance(shots, list) and all(
        isinstance(shot, dict)
        and isinstance(shot.get("scene"), str)
        and isinstance(shot.get("rig"), str)
        for shot in shots
    )


def _unread(text: bpy.types.Text, what: str, expected: str) -> PlumblineError:
    return PlumblineError(
        f"The text {text.name!r}, which keeps what was said of this file, {what}, expected "
        f"{expected}: mend or delete it in the Text Editor."
    )


def write_record(data: dict[str, Any]) -> None:
    """Write the record, where it differs from what the text holds."""
    written = json.dumps(data, indent=0, ensure_ascii=False)
    text = find_text()
    if text is None:
        text = bpy.data.texts.new(NAME)
    if text.as_string() != written:
        text.from_string(written)
    _seen[0] = text.as_string()


def seen_text() -> str:
    """What the text held when we last wrote it or looked."""
    return _seen[0]


def has_changed() -> bool:
    """Whether others than we have changed the text since this was last asked: an undo, a load."""
    text = find_text()
    now = "" if text is None else text.as_string()
    changed = now != _seen[0]
    _seen[0] = now
    return changed
