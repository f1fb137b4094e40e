# SPDX-License-Identifier: GPL-3.0-or-later
"""The simulated figure: its joints, where they lie at rest, its masses and what touches the floor.

It stands 1.75 m tall with hanging arms on z = 0, looks along -Y and has its left hand at +X.
Masses are shares of the whole after Dumas & Wojtusch 2018 (men), with a share of the trunk's
for the joint in its middle, so that they are not the table that the checks reckon with.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Place = tuple[float, float, float]

HEIGHT_M, MASS_KG = 1.75, 72.0


@dataclass(frozen=True)
class Hinge:
    """An axis a joint turns about, and its range in degrees; mirrored on the right side.

    about    x (a positive turn bends forward what stands up), y or z, in the figure's axes
    strength Nm a radian that holds a pose when the figure is stiff
    """

    about: str
    least: float
    most: float
    strength: float


@dataclass(frozen=True)
class Segment:
    """A rigid part from its joint (head) to its end (tail); metres at rest.

    mass     share of the figure's
    radius   of the capsules in `solids`, pairs of ends about which the part is solid
    """

    name: str
    parent: str
    head: Place
    tail: Place
    mass: float
    radius: float
    solids: tuple[tuple[Place, Place], ...]
    hinges: tuple[Hinge, ...]


def _trunk() -> list[Segment]:
    def across(half: float, height: float, ahead: float = 0.0) -> tuple[tuple[Place, Place], ...]:
        return (((-half, -ahead, height), (half, -ahead, height)),)

    bends = (Hinge("x", -14, 34, 500), Hinge("y", -16, 16, 500), Hinge("z", -18, 18, 400))
    neck = (Hinge("x", -40, 45, 80), Hinge("y", -35, 35, 80), Hinge("z", -60, 60, 40))
    nod = (Hinge("x", -20, 20, 60),)
    return [
        Segment("hips", "", (0, 0, 0.93), (0, 0, 1.05), 0.142, 0.09, across(0.08, 0.95), ()),
        Segment(
            "spine", "hips", (0, 0, 1.05), (0, 0, 1.22), 0.10, 0.085, across(0.07, 1.13), bends
        ),
        Segment(
            "chest", "spine", (0, 0, 1.22), (0, 0, 1.49), 0.233, 0.095, across(0.09, 1.36), bends
        ),
        Segment("neck", "chest", (0, 0, 1.49), (0, 0, 1.57), 0.011, 0.045, across(0, 1.53), neck),
        Segment(
            "head", "neck", (0, 0, 1.57), (0, 0, 1.75), 0.056, 0.09, across(0, 1.66, 0.01), nod
        ),
    ]


def _leg(side: str, x: float) -> list[Segment]:
    hip = (Hinge("x", -120, 20, 600), Hinge("y", -45, 25, 600), Hinge("z", -40, 40, 300))
    knee = (Hinge("x", 6, 145, 500),)
    ankle = (Hinge("x", -25, 50, 500), Hinge("y", -20, 20, 300))
    edge, r = 0.025, 0.025
    sole = tuple(((x + e, 0.04, r), (x + e, -0.165, r)) for e in (-edge, edge))
    return [
        Segment(
            f"thigh.{side}",
            "hips",
            (x, 0, 0.93),
            (x, 0, 0.5),
            0.123,
            0.07,
            (((x, 0, 0.88), (x, 0, 0.54)),),
            hip,
        ),
        Segment(
            f"shin.{side}",
            f"thigh.{side}",
            (x, 0, 0.5),
            (x, 0.01, 0.075),
            0.048,
            0.045,
            (((x, 0, 0.48), (x, 0.01, 0.12)),),
            knee,
        ),
        Segment(
            f"foot.{side}",
            f"shin.{side}",
            (x, 0.01, 0.075),
            (x, -0.19, 0.02),
            0.012,
            r,
            sole,
            ankle,
        ),
    ]


def _arm(side: str, x: float) -> list[Segment]:
    shoulder = (Hinge("x", -170, 50, 100), Hinge("y", -150, 15, 100), Hinge("z", -70, 70, 60))
    elbow = (Hinge("x", -145, 0, 60),)
    wrist = (Hinge("x", -60, 60, 15), Hinge("y", -25, 25, 15))
    w = x * 1.06
    return [
        Segment(
            f"upper_arm.{side}",
            "chest",
            (x, 0, 1.43),
            (w, 0, 1.13),
            0.024,
            0.045,
            (((x, 0, 1.42), (w, 0, 1.15)),),
            shoulder,
        ),
        Segment(
            f"forearm.{side}",
            f"upper_arm.{side}",
            (w, 0, 1.13),
            (w, 0, 0.87),
            0.017,
            0.035,
            (((w, 0, 1.12), (w, 0, 0.89)),),
            elbow,
        ),
        Segment(
            f"hand.{side}",
            f"forearm.{side}",
            (w, 0, 0.87),
            (w, 0, 0.7),
            0.006,
            0.03,
            (((w, 0, 0.84), (w, 0, 0.73)),),
            wrist,
        ),
    ]


# Each follows its parent's others, as MuJoCo numbers them.
SEGMENTS: tuple[Segment, ...] = (
    *_trunk(),
    *_arm("L", 0.19),
    *_arm("R", -0.19),
    *_leg("L", 0.09),
    *_leg("R", -0.09),
)
NAMES = tuple(segment.name for segment in SEGMENTS)
PARENTS = tuple(NAMES.index(s.parent) if s.parent else -1 for s in SEGMENTS)
# Where a clip says that the figure can stand, and where its head ends: name -> joint and place.
POINTS: dict[str, tuple[str, Place]] = {
    "head_tip": ("head", (0, 0, 1.75)),
    **{
        f"{what}.{side}": (f"foot.{side}", (x, y, 0.0))
        for side, x in (("L", 0.09), ("R", -0.09))
        for what, y in (("heel", 0.04), ("ball", -0.11), ("toe", -0.165))
    },
}


HINGES = tuple(f"{segment.name}:{h.about}" for segment in SEGMENTS for h in segment.hinges)


def heads() -> Floats:
    """(J,3) the joints at rest, metres."""
    return np.array([segment.head for segment in SEGMENTS], dtype=np.float64)


def tails() -> Floats:
    """(J,3) where each segment ends at rest, metres."""
    return np.array([segment.tail for segment in SEGMENTS], dtype=np.float64)
