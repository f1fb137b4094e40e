# SPDX-License-Identifier: GPL-3.0-or-later
"""The text that keeps our record in the file: found by what it holds, whatever its name is.

    {
    "plumbline_record": 1,
    "choices": {scene's name: {...}},
    "shots": [{"scene": name, "rig": full name, "said": {...}, "pass": {...}, "opened": "..."}]
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
# How a record begins, however somebody has spaced it since; others may have written above it.
_BEGINS = re.compile(r'^\s*\{\s*"' + MARK + r'"\s*:', re.MULTILINE)
_ENOUGH, _LINES = 200, 20
# What is left of ours where somebody emptied it: one of these under our name.
_EMPTIED = ("", "[]", "{}")

# What the text held when we last wrote it or looked.
_seen = [""]


def find_text() -> bpy.types.Text | None:
    """Our text; None where the file has none. Texts of the user's own are none of ours."""
    ranks = {text: _rank(text) for text in bpy.data.texts if text.library is None}
    found = [text for text, rank in ranks.items() if rank is not None]
    return min(found, key=lambda text: (ranks[text], text.name != NAME, text.name), default=None)


def _rank(text: bpy.types.Text) -> int | None:
    """0 for a text that begins as a record, 1 under our name for one that has other lines above
    it, 2 for an emptied one; None for one of the user's own."""
    if _BEGINS.match(_head(text, 3)):
        return 0
    if text.name.partition(".")[0] != NAME:
        return None
    if _BEGINS.search(_head(text, _LINES)):
        return 1
    emptied = text.name == NAME and len(text.lines) < _LINES
    return 2 if emptied and text.as_string().strip() in _EMPTIED else None


def _head(text: bpy.types.Text, lines: int) -> str:
    return "\n".join(line.body[:_ENOUGH] for line in text.lines[:lines])


def _around(held: str) -> tuple[str, str, str]:
    """What others wrote above a record, the record, and what is below it."""
    begins = _BEGINS.search(held)
    start = held.index("{", begins.start()) if begins else 0
    try:
        _data, end = json.JSONDecoder().raw_decode(held, start)
    except (ValueError, RecursionError):
        end = len(held)
    return held[:start], held[start:end], held[end:]


def read_record() -> dict[str, Any]:
    """What the text holds; an empty record where the file has none.

    Raises PlumblineError for a text that cannot be read: it then must not be written either.
    """
    text = find_text()
    if text is None:
        return {MARK: VERSION, "choices": {}, "shots": []}
    held = text.as_string()
    if held.strip() in _EMPTIED:
        raise _unread(text, "is empty", "what Plumbline wrote there")
    try:
        data = json.loads(_around(held)[1])
    except (ValueError, RecursionError):
        raise _unread(text, "is cut or changed", "whole JSON") from None
    if not isinstance(data, dict) or data.get(MARK) != VERSION:
        do = "open the file with that version, or update Plumbline"
        raise _unread(text, "was written by another version", f"one of version {VERSION}", do)
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


def _unread(
    text: bpy.types.Text,
    what: str,
    expected: str,
    do: str = "mend, rename or delete it in the Text Editor",
) -> PlumblineError:
    return PlumblineError(
        f"The text {text.name!r}, which keeps what was said of this file, {what}, expected "
        f"{expected}: {do}."
    )


def write_record(data: dict[str, Any]) -> None:
    """Write the record, where it differs from what the text holds; what others wrote above and
    below it stays."""
    written = json.dumps(data, indent=0, ensure_ascii=False)
    text = find_text()
    if text is None:
        text = bpy.data.texts.new(NAME)
    else:
        above, _record, below = _around(text.as_string())
        written = f"{above}{written}{below}"
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
