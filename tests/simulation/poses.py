# SPDX-License-Identifier: GPL-3.0-or-later
"""Poses of the simulated figure in degrees by hinge: legs that stand balanced, arms, the rest."""

from collections.abc import Callable

import numpy as np

from .segments import HINGES, SEGMENTS

Pose = dict[str, float]

# (pose, pitch in degrees) -> how far ahead the centre of mass lies, metres.
Ahead = Callable[[Pose, float], float]


def legs(hip: float, knee: float, ankle: float) -> Pose:
    """Both legs bent alike."""
    angles = {"thigh": hip, "shin": knee, "foot": ankle}
    return {f"{part}.{side}:x": angle for part, angle in angles.items() for side in "LR"}


def arms(forward: float, aside: float = 5.0, bent: float = 10.0) -> Pose:
    """Both arms raised forward and aside, elbows bent; degrees."""
    found = {}
    for side, way in (("L", -1.0), ("R", 1.0)):
        found[f"upper_arm.{side}:x"] = -forward
        found[f"upper_arm.{side}:y"] = way * aside
        found[f"forearm.{side}:x"] = -bent
    return found


def balanced(ahead: Ahead, knee: float, shin: float, at: float, others: Pose) -> tuple[Pose, float]:
    """Legs on flat feet whose hips bend until the centre of mass lies `at` metres ahead.

    knee, shin: how far the knees bend and the shins lean forward, degrees. Returns the pose and
    the pitch of the whole figure.
    """
    low, high = -130.0, 25.0
    for _ in range(20):
        hip = 0.5 * (low + high)
        pitch = shin - hip - knee
        pose = legs(hip, knee, -shin) | others
        if ahead(pose, pitch) < at:
            high = hip
        else:
            low = hip
    return pose, pitch


def anywhere(rng: np.random.Generator, share: float) -> Pose:
    """A random pose within a share of each hinge's range about its middle and rest."""
    found = {}
    ranges = [(s, h) for s in SEGMENTS for h in s.hinges]
    for name, (segment, hinge) in zip(HINGES, ranges, strict=True):
        way = -1.0 if segment.name.endswith(".R") and hinge.about != "x" else 1.0
        angle = rng.uniform(hinge.least, hinge.most)
        found[name] = way * share * float(angle)
    return found | {f"chest:{about}": 0.9 * found[f"spine:{about}"] for about in "xyz"}
