# SPDX-License-Identifier: GPL-3.0-or-later
"""The figure's flesh, roughly: a rod with a radius for each part that a prop could cut through.

A clip has no mesh. The radii are shares of the height, a little less than a person's: half of
the hip breadth (.191 H) and chest breadth that Winter 2009, Fig. 4.1, gives would be too much
from the front, so the trunk's are half of its depth (about .14 H). The limbs' are girths over
2 pi, the head's the mean of half its length and half its breadth and a little hair, the hand's
half the mean of its breadth and thickness: soldiers' means as anthropometric surveys have them
(from memory, no table at hand). Norms for drawn characters.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .parts import split_part

Floats = NDArray[np.float64]

_RADII = {"root": 0.070, "pelvis": 0.070, "spine": 0.065, "chest": 0.065, "neck": 0.033}
_RADII |= {"head": 0.062, "upper_arm": 0.027, "forearm": 0.023, "hand": 0.025}
_RADII |= {"thigh": 0.045, "shin": 0.031, "foot": 0.020}
# What each part's rod leads to: the joint of the first of these that there is, else its own tip.
_NEXT = {"upper_arm": ("forearm",), "forearm": ("hand",), "thigh": ("shin",), "shin": ("foot",)}
# A hand is at least so long, of the height, from the wrist to where fingers bend: rigs may end at
# the wrist (.108 H with straight fingers: Winter 2009, Fig. 4.1).
_HAND_SHARE = 0.06
# The shortest rod of a head, as a share of the height: its tip lies a radius inside its top.
_HEAD_SHARE = 0.03


@dataclass(frozen=True, eq=False)
class Flesh:
    """A part as a rod: body index, ends (T,2,3) in the world, radius in scene metres."""

    body: int
    part: str
    ends: Floats
    radius: float


def flesh_of(basis: Basis) -> list[Flesh]:
    """A rod for each part of the figure that has a thickness: trunk first, as bodies go."""
    trunk = [n for n, body in enumerate(basis.bodies) if _is_trunk(body.part)]
    found = []
    for n, body in enumerate(basis.bodies):
        kind, side = split_part(body.part or "")
        if kind not in _RADII or (body.part == "root" and basis.body("pelvis") is not None):
            continue
        radius = _RADII[kind] * basis.height.scene_m
        found.append(Flesh(n, body.part or "", _ends(basis, n, kind, side, trunk, radius), radius))
    return found


def _is_trunk(part: str | None) -> bool:
    return split_part(part or "")[0] in ("pelvis", "spine", "chest", "neck", "head")


def _ends(basis: Basis, body: int, kind: str, side: str, trunk: list[int], radius: float) -> Floats:
    start, tip = basis.positions[:, body], basis.marks[:, body, 1]
    height = basis.height.scene_m
    if kind == "head":
        reach = max(float(basis.reach[body]) - radius, _HEAD_SHARE * height)
        tip = start + _unit(tip - start) * reach
    elif kind == "hand":
        tip = start + _unit(tip - start) * max(float(basis.reach[body]), _HAND_SHARE * height)
    elif kind in _NEXT:
        next_body = basis.body(f"{_NEXT[kind][0]}.{side}")
        tip = tip if next_body is None else basis.positions[:, next_body]
    elif kind in ("root", "pelvis", "spine", "chest", "neck"):
        above = [n for n in trunk if n > body]
        tip = basis.positions[:, above[0]] if above else tip
        if kind == "chest":  # what lies on a shoulder, beside the neck, is not in the chest
            way = tip - start
            length = np.linalg.norm(way, axis=-1, keepdims=True)
            tip = start + _unit(way) * np.maximum(length - radius, 0.0)
    return np.stack((start, tip), axis=1)


def _unit(way: Floats) -> Floats:
    return np.asarray(way / np.maximum(np.linalg.norm(way, axis=-1, keepdims=True), 1e-12))
