# SPDX-License-Identifier: GPL-3.0-or-later
"""What the last hand back of a ball came to, while Blender runs and as long as it stands."""

from collections.abc import Sequence

import bpy

from ..facts import KEYS, PATH

# By the ball's number: what the ball kept of its rig afterwards, and the sentences.
_told: dict[int, tuple[int, tuple[str, ...]]] = {}


def keep_told(sphere: bpy.types.Object, sentences: Sequence[str]) -> None:
    """Keep what is to be read in the panel."""
    _told[sphere.session_uid] = _kept(sphere), tuple(sentences)


def drop(sphere: bpy.types.Object) -> None:
    """Keep nothing: another hand back has begun."""
    _told.pop(sphere.session_uid, None)


def told_after(sphere: bpy.types.Object) -> tuple[str, ...]:
    """The sentences; none before, and none where that was undone or another bake has come."""
    kept, sentences = _told.get(sphere.session_uid, (0, ()))
    return sentences if sentences and kept == _kept(sphere) else ()


def forget() -> None:
    """Forget all."""
    _told.clear()


def _kept(sphere: bpy.types.Object) -> int:
    path = sphere.get(PATH)
    return hash((str(sphere.get(KEYS, "")), () if path is None else tuple(path)))
