# SPDX-License-Identifier: GPL-3.0-or-later
"""The last reading, from which the next update goes on, held while Blender runs."""

from collections.abc import Mapping
from dataclasses import replace

from ...analysis.memory import Memory
from .resample import Reading

# By the numbers of scene and rig: of one alone and, where that is a ball, of its figure, as a
# reading holds some MB. None where a second Blender has read it.
_last: dict[tuple[int, int], Reading | None] = {}
# And what judging it has worked out.
_memories: dict[tuple[int, int], Memory] = {}


def keep(
    numbers: tuple[int, int],
    reading: Reading | None,
    memory: Memory,
    beside: Mapping[tuple[int, int], Reading | None] | None = None,
) -> None:
    """Hold a reading of a scene's rig, told by their numbers, and what judging it has worked out.

    None: another Blender has read it. `beside`: what was read for it of others.
    """
    forget()
    _last.update(beside or {})
    _last[numbers], _memories[numbers] = reading, memory


def memory_of(numbers: tuple[int, int]) -> Memory:
    """What judging a scene's rig has worked out last; empty where nothing is held."""
    return _memories.get(numbers, Memory())


def last_of(numbers: tuple[int, int]) -> Reading | None:
    """The reading of a scene's rig, or None."""
    return _last.get(numbers)


def is_elsewhere(scene_uid: int, rig_uid: int) -> bool:
    """Whether a second Blender had to read a scene's rig."""
    return (scene_uid, rig_uid) in _last and _last[scene_uid, rig_uid] is None


def let_blocks_go() -> None:
    """After an undo, which may have put blocks elsewhere: what follows what is found out anew."""
    for numbers, reading in list(_last.items()):
        if reading is not None:
            _last[numbers] = replace(reading, reach=None, links=None)


def forget() -> None:
    """Hold none."""
    _last.clear()
    _memories.clear()
