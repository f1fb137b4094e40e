# SPDX-License-Identifier: GPL-3.0-or-later
"""Clean sets of shots with several flights each: hops one after the other.

poses      hops of the puppet whose centre of mass follows a free path in the air; half of them
           with the noise of a capture
captured   a captured jump (half A), or a kick in the air (half B), played there and back again

In half of the shots every flight has its own height. A figure s times as tall moves sqrt(s) times
as slow (Froude's law), so that falls stay right. `Case.reported` is the set alone.
"""

from dataclasses import replace
from functools import cache

import numpy as np

from analysis import Clip

from .case import HALVES, Case
from .hop_poses import posed_shot
from .hops_captured import there_and_back, with_noise

POSES, CAPTURED = 40, 12
# Backwards, a foot lands as fast as it left, and the kick's knee snaps where it turns back.
FAULTY = ("stomp", "knee_pop")


def hops_24() -> list[Case]:
    """Shots of three to five flights, 24 frames a second."""
    return list(_hops(24.0))


def hops_30() -> list[Case]:
    """The same kinds of shots, others of them, at 30 frames a second."""
    return list(_hops(30.0))


@cache
def _hops(fps: float) -> tuple[Case, ...]:
    which, found = f"hops_{fps:g}", []
    for n in range(POSES):
        rng = np.random.default_rng([31, int(fps), n])
        clip = posed_shot(rng, fps, varied=n % 4 > 1)
        clip = with_noise(clip, rng) if n % 8 > 3 else clip
        name = f"{which}/poses.{n:02}"
        found.append(Case(name, "hops", which, "AB"[n % 2], _named(clip, name)))
    for n in range(CAPTURED):
        source = ("jump", "spinkick")[n % 2]
        rng = np.random.default_rng([37, int(fps), n])
        clip = there_and_back(source, rng, fps, varied=n % 4 > 1)
        name = f"{which}/{source}.{n:02}"
        case = Case(name, source, which, HALVES[source], _named(clip, name), faulty=FAULTY)
        found.append(case)
    return tuple(found)


def _named(clip: Clip, name: str) -> Clip:
    return replace(clip, meta=replace(clip.meta, name=name, cycle=False))
