# SPDX-License-Identifier: GPL-3.0-or-later
"""Hands and feet that keep their place while the body goes on: they hold on, or stand."""

from typing import TYPE_CHECKING

import numpy as np

from ..parts import split_part
from .contacts import STILL_SHARE, runs
from .touch_points import STILL_S

if TYPE_CHECKING:
    from .core import Basis

# An end keeps its place within the first while the body goes by the second (at 1.7 m: 3 and 18 cm;
# jumps 13, a climber 25).
STAYS_SHARE, PASSES_SHARE = 0.03 / 1.7, 0.18 / 1.7
_ENDS = ("hand", "foot")


def holds_on(basis: "Basis", first: int, last: int) -> bool:
    """Whether a hand or foot is still for a while, and the body is not."""
    pace = np.linalg.norm(basis.velocities[first : last + 1], axis=-1)
    slow = pace < STILL_SHARE * basis.height.scene_m
    least = max(round(STILL_S / basis.dt_s), 2)
    alone = slow[:, ends_of(basis)] & ~slow[:, [basis.lead]]
    return any(b - a + 1 >= least for column in alone.T for a, b in runs(column))


def passes_an_end(basis: "Basis", first: int, last: int) -> bool:
    """Whether a hand or foot keeps its place while the body goes on: it holds on, or stands."""
    if basis.com is None:
        return False
    body, height = basis.com[first : last + 1], basis.height.scene_m
    for end in ends_of(basis):
        place = basis.positions[first : last + 1, end]
        for at in range(len(place)):
            gone = np.linalg.norm(place[at:] - place[at], axis=1) > STAYS_SHARE * height
            stays = int(np.argmax(gone)) if gone.any() else len(gone)
            way = np.linalg.norm(body[at : at + stays] - body[at], axis=1)
            if way.max() > PASSES_SHARE * height:
                return True
    return False


def reaches_up(basis: "Basis", first: int, last: int) -> bool:
    """Whether a hand is above the head all the time: it may hang there."""
    heads = [n for n, body in enumerate(basis.bodies) if body.part == "head"]
    hands = [n for n in ends_of(basis) if split_part(basis.bodies[n].part or "")[0] == "hand"]
    if not heads or not hands:
        return False
    height = basis.positions[first : last + 1, :, 2]
    return bool((height[:, hands] > height[:, heads[:1]]).all(axis=0).any())


def ends_of(basis: "Basis") -> list[int]:
    """The bodies that are hands and feet."""
    return [n for n, b in enumerate(basis.bodies) if split_part(b.part or "")[0] in _ENDS]
