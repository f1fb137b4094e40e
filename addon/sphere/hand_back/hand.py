# SPDX-License-Identifier: GPL-3.0-or-later
"""Hands the ball's path back to the control: tried on a copy, then written in one go."""

from dataclasses import replace

import bpy

from ...sampling.key_text import key_text
from ..edited import note_keys
from ..facts import keep_path
from .asked import BALL, ask
from .handed import Handed
from .home import ACTION, make_home
from .solving import write_channels
from .trying import tried


def hand_back(
    scene: bpy.types.Scene,
    sphere: bpy.types.Object,
    rig: bpy.types.Object,
    *,
    keys: str = BALL,
    into: str = ACTION,
    rotation: bool = False,
) -> Handed:
    """Let the control on which a ball was put go as the ball goes.

    keys       BALL: where the ball has keys, curved as the ball's; EVERY: linear, on every frame
    into       ACTION: in place of the keys in the ball's range; STRIP: into a new one above all
    rotation   whether the control turns as the ball turns

    Raises PlumblineError, one sentence, where that cannot be: nothing was changed then. What is
    written was written to a copy before, by the same functions, and measured there.
    """
    asked = ask(scene, sphere, rig, keys=keys, into=into, rotation=rotation)
    found = tried(asked)
    data = rig.animation_data
    active = None if data is None else data.action
    home = make_home(rig, asked.control, into, asked.span, asked.looked_at)
    write_channels(home, asked.control, found.channels)
    rig.update_tag()
    if len(found.frames):  # the rig goes as the ball: it has not moved on since
        keep_path(sphere, found.frames, found.places, key_text(rig))
    note_keys(sphere)
    below = active.name if active is not None and home.strip else ""
    return replace(found.handed, strip=home.strip, below=below)
