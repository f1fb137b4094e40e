# SPDX-License-Identifier: GPL-3.0-or-later
"""Clean set of animation on twos and threes: keyed motion at 24 fps, each pose held on purpose.

One manner in three is mixed, which is common practice (no source): the body and its feet are on
ones, so that it neither strobes nor slides, while head and arms are on twos.
"""

import numpy as np

from .captured import motions, source_of
from .case import HALVES, Case
from .keyed import SHORTEST_S, key_variant
from .posing import clip_of
from .puppet import Tracks, puppet_of

FPS = 24.0
# Frames that a pose is held, by manner.
MANNERS = {"twos": 2, "threes": 3, "mixed": 2}
_ON_ONES = ("hips", "foot", "knee")
_VARIANTS = (0, 4, 9)


def twos() -> list[Case]:
    """Keyed motion held on twos, on threes, and on twos above the hips alone."""
    found = []
    for motion in motions():
        if (motion.frame_count - 1) / motion.fps < SHORTEST_S:
            continue
        source = source_of(motion)
        for variant in _VARIANTS:
            size, keyed = key_variant(motion, FPS, variant)
            puppet = puppet_of(motion).scaled(size)
            for manner in MANNERS:
                name = f"twos/{motion.name}.{variant:02}.{manner}"
                clip = clip_of(puppet, held(keyed.tracks, manner), FPS, name=motion.name)
                found.append(Case(name, source, "twos", HALVES[source], clip))
    return found


def held(tracks: Tracks, manner: str) -> Tracks:
    """The channels with each pose shown for as many frames as the manner has it."""
    step = MANNERS[manner]

    def on_step(name: str) -> bool:
        return manner != "mixed" or not name.startswith(_ON_ONES)

    return {
        name: values[np.arange(len(values)) // step * step] if on_step(name) else values
        for name, values in tracks.items()
    }
