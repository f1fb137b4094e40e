# SPDX-License-Identifier: GPL-3.0-or-later
"""What was said, where the text was edited by hand: what can be read is read, the rest stays."""

from collections.abc import Mapping
from typing import Any

from ...analysis import PlumblineError
from ...analysis.passes import Said, said_from_json

_KINDS = {"notes": "note", "intended": "finding kept as intended"}
# More are not named one by one.
_MOST = 3


def read_said(data: Any, text: str) -> Said:
    """What was said, without single entries that cannot be read; raises PlumblineError, which
    names the text, for what has no such entries."""
    unread = _unread(data)
    if any(unread.values()):
        data = {**data, **{name: _without(data, unread, name) for name in _KINDS}}
    try:
        return said_from_json(data)
    except PlumblineError as error:
        raise PlumblineError(f"In the text {text!r} {error}") from None


def with_unread(written: Mapping[str, Any], before: Any) -> dict[str, Any]:
    """What is to be written, and the entries of before that cannot be read, as they stand."""
    unread = _unread(before)
    kept = {name: [before[name][n] for n in unread[name]] for name in _KINDS}
    return {**written, **{name: [*written.get(name, ()), *kept[name]] for name in _KINDS}}


def unread_text(data: Any, text: str, rig: str) -> str:
    """Which entries of a rig's cannot be read, a sentence; empty where all can."""
    found = [f"{_KINDS[name]} {n + 1}" for name, entries in _unread(data).items() for n in entries]
    if not found:
        return ""
    one, more = len(found) == 1, len(found) - _MOST
    named = ", ".join([*found[:_MOST], *([f"{more} more"] if more > 0 else [])])
    return (
        f"In the text {text!r} {named} of {rig!r} cannot be read, expected "
        f"{'it' if one else 'them'} as Plumbline wrote {'it' if one else 'them'}: the rest is "
        f"used, and {'it stays' if one else 'they stay'} there; mend or delete "
        f"{'it' if one else 'them'} in the Text Editor."
    )


def _unread(data: Any) -> dict[str, list[int]]:
    """By the list the places of entries that cannot be read; none where all of it can."""
    found: dict[str, list[int]] = {name: [] for name in _KINDS}
    if not isinstance(data, dict) or _is_read(data):
        return found
    for name in _KINDS:
        entries = data.get(name)
        if isinstance(entries, list):
            found[name] = [n for n, each in enumerate(entries) if not _is_read({name: [each]})]
    return found


def _without(data: Mapping[str, Any], unread: Mapping[str, list[int]], name: str) -> Any:
    if not unread[name]:
        return data.get(name, [])
    return [each for n, each in enumerate(data[name]) if n not in unread[name]]


def _is_read(data: Mapping[str, Any]) -> bool:
    try:
        said_from_json(data)
    except PlumblineError:
        return False
    return True
