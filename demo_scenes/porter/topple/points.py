# SPDX-License-Identifier: GPL-3.0-or-later
"""The porter seen from the side: points with masses, and the rigid links between them.

A point is (metres ahead, metres up). Masses are shares of the body's, laid onto the points so that
their centre is the centre of mass of the segments: Winter 2009, Biomechanics and Motor Control of
Human Movement, 4th ed., Table 4.1.
"""

import numpy as np
from numpy.typing import NDArray

from ..bones import ANKLE, BALL, BONES, HIP, KNEE

Floats = NDArray[np.float64]
Side = tuple[float, float]

SIDES = ("L", "R")
_HEADS = {bone.name: bone.head for bone in BONES}
_TAILS = {bone.name: bone.tail for bone in BONES}


def seen(point: tuple[float, float, float]) -> Side:
    """A point of the rest pose from the side."""
    return (-point[1], point[2])


def _between(one: Side, two: Side, share: float) -> Side:
    return (one[0] + share * (two[0] - one[0]), one[1] + share * (two[1] - one[1]))


_LIMB: dict[str, Side] = {
    "knee": seen(KNEE),
    "ankle": seen(ANKLE),
    "ball": seen(BALL),
    "elbow": seen(_HEADS["forearm.L"]),
    "wrist": seen(_HEADS["hand.L"]),
    "fingers": seen(_TAILS["hand.L"]),
}
# The three joints of the spine bend as one in their middle, neck and head as one between theirs.
MIDDLE: dict[str, Side] = {
    "hip": seen(HIP),
    "waist": seen(_HEADS["spine.2"]),
    "shoulder": seen(_HEADS["upper_arm.L"]),
    "neck": _between(seen(_HEADS["neck"]), seen(_HEADS["head"]), 0.5),
    "skull": _between(seen(_HEADS["head"]), seen(_TAILS["head"]), 0.35),
}
REST: dict[str, Side] = {
    **MIDDLE,
    **{f"{name}.{side}": place for side in SIDES for name, place in _LIMB.items()},
}
NAMES = tuple(REST)
AT = {name: i for i, name in enumerate(NAMES)}

# mass, near point, far point, share of the way from near to far
_SEGMENTS = (
    (0.497, "hip", "shoulder", 0.5),
    (0.081, "skull", "skull", 0.0),
    *(
        (mass, near if near in MIDDLE else f"{near}.{side}", f"{far}.{side}", share)
        for side in SIDES
        for mass, near, far, share in (
            (0.028, "shoulder", "elbow", 0.436),
            (0.016, "elbow", "wrist", 0.430),
            (0.006, "wrist", "fingers", 0.506),
            (0.100, "hip", "knee", 0.433),
            (0.0465, "knee", "ankle", 0.433),
            (0.0145, "ankle", "ball", 0.500),
        )
    ),
)
_LENT = 0.04  # what is lent to the two points that carry no mass of a segment


def masses() -> Floats:
    """(P,) shares of the body's mass."""
    mass = np.zeros(len(NAMES))
    for share, near, far, at in _SEGMENTS:
        mass[AT[near]] += share * (1.0 - at)
        mass[AT[far]] += share * at
    for name, lenders in (("waist", ("hip", "shoulder")), ("neck", ("shoulder", "skull"))):
        mass[AT[name]] = _LENT
        for lender in lenders:
            mass[AT[lender]] -= 0.5 * _LENT
    return mass / mass.sum()


def rest() -> Floats:
    """(P,2) the points in the rest pose."""
    return np.array([REST[name] for name in NAMES])


def of_side(name: str, side: str) -> str:
    """The name of a limb's point on one side; points of trunk and head are on both."""
    return name if name in MIDDLE else f"{name}.{side}"


def _limbs(*pairs: tuple[str, str]) -> list[tuple[str, str]]:
    return [(of_side(one, side), of_side(two, side)) for side in SIDES for one, two in pairs]


# Rigid links; the neck's point is fixed on the chest by two.
LINKS: tuple[tuple[str, str], ...] = (
    ("hip", "waist"),
    ("waist", "shoulder"),
    ("shoulder", "neck"),
    ("waist", "neck"),
    ("neck", "skull"),
    *_limbs(
        ("hip", "knee"),
        ("knee", "ankle"),
        ("ankle", "ball"),
        ("shoulder", "elbow"),
        ("elbow", "wrist"),
        ("wrist", "fingers"),
    ),
)
