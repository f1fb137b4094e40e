# SPDX-License-Identifier: GPL-3.0-or-later
"""What the last hand back of a ball came to, while Blender runs and as long as it stands."""

from collections.abc import Sequence

import bpy

from ..facts import KEYS

# By the ball's number: the keys that its rig had afterwards, as text, and the sentences.
_told: dict[int, tuple[str, tuple[str, ...]]] = {}


def keep_told(sphere: bpy.types.Object, sentences: Sequence[str]) -> None:
    """Keep what is to be read in the panel."""
    _told[sphere.session_uid] = str(sphere.get(KEYS, "")), tuple(sentences)


def told_after(sphere: bpy.types.Object) -> tuple[str, ...]:
    """The sentences; none before, and none where that was undone or another bake has come."""
    keys, sentences = _told.get(sphere.session_uid, ("", ()))
    return sentences if keys == str(sphere.get(KEYS, "")) else ()


def forget() -> None:
    """Forget all."""
    _told.clear()
