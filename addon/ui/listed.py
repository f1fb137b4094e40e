# SPDX-License-Identifier: GPL-3.0-or-later
"""Counts how often what the session lists was written: what was read of it since holds still.

A redraw asks for it, and Blender's properties are slow to read one by one.
"""

_times = [0]


def note_listed() -> None:
    """Something in the session's lists was written."""
    _times[0] += 1


def times_listed() -> int:
    """How often so far."""
    return _times[0]
