# SPDX-License-Identifier: GPL-3.0-or-later
"""The last reading, from which the next update goes on, held while Blender runs."""

from dataclasses import replace

from .resample import Reading

# By the numbers of scene and rig: of one alone, as a reading holds some MB. None where a second
# Blender has read it.
_last: dict[tuple[int, int], Reading | None] = {}


def keep(numbers: tuple[int, int], reading: Reading | None) -> None:
    """Hold a reading of a scene's rig, told by their numbers; None: another Blender has it."""
    _last.clear()
    _last[numbers] = reading


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
