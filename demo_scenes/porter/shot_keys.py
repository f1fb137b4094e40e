# SPDX-License-Identifier: GPL-3.0-or-later
"""Keys of shots that play once: values, and where a pose table says so the speed through them."""

from collections.abc import Collection, Mapping

import bpy

from .channels import channel
from .key_edits import find_curve
from .keys import key_once, set_slopes

# A key's value, or its value and its speed per second; metres or degrees.
ShotKey = float | tuple[float, float]
ShotTable = Mapping[str, Mapping[str, Mapping[int, ShotKey]]]


def key_shot(rig: bpy.types.Object, table: ShotTable, extremes: Collection[int]) -> None:
    """Key a table, control -> word -> {frame: key}; keys off the extremes are breakdowns.

    Handles are set by hand where a key states its speed, else Blender sets them.
    """
    fps = bpy.context.scene.render.fps / bpy.context.scene.render.fps_base
    for control, words in table.items():
        for word, keys in words.items():
            values = {f: key[0] if isinstance(key, tuple) else key for f, key in keys.items()}
            key_once(rig, {control: {word: values}}, extremes=extremes)
            target = channel(control, word)
            slopes = {
                frame: target.scaled(key[1]) / fps
                for frame, key in keys.items()
                if isinstance(key, tuple)
            }
            if slopes:
                set_slopes(find_curve(rig, target), slopes)
