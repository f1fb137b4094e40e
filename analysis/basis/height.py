# SPDX-License-Identifier: GPL-3.0-or-later
"""The height of the character: measured at rest, and as the story has it; and what to say where
nothing tells the latter, since weight, falls and forces mean nothing without it.
"""

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np

from ..clip import Clip
from ..quaternions import rotate
from ..roles import Roles
from ..words import size_text

# Rest heights in this range, in metres, are taken as true sizes.
TRUE_SIZE_M = (1.2, 2.2)
# A grown person's height: what a figure of unknown size is taken for where it must have one.
USUAL_M = 1.7
# What to do where that is not so.
SAY_HEIGHT = "say how tall it is in the story, in metres (Height in the panel, --height)"
# From hip-knee-ankle plus hips-to-head joints to standing height: the foot below the ankle
# and the head above its joint (Winter 2009, Fig. 4.1: .039 H and .130 H of 1 H).
_CHAIN_SHARE = 1.0 - 0.039 - 0.130
# A plain object's motion is compared with this many of its own lengths at most.
MOST_LENGTHS = 4.0
# Less of the height that the limbs say than this, and the rest pose lies down.
LYING_SHARE = 0.5


@dataclass(frozen=True)
class Height:
    """scene_m  standing height in scene metres: what sizes are compared with
    story_m  the height that the character has in the story, or None where unknown
    """

    scene_m: float
    story_m: float | None

    @property
    def to_story(self) -> float:
        """Factor from scene metres to metres at the character's height."""
        return self.story_m / self.scene_m if self.story_m else 1.0

    @property
    def person_m(self) -> float:
        """Its height in the story, metres; where unknown, a grown person's."""
        return self.story_m or USUAL_M

    @property
    def to_person(self) -> float:
        """Factor from scene metres to metres at that height."""
        return self.person_m / self.scene_m

    @property
    def why_no_scale(self) -> str:
        """Why nothing can be held against gravity, for `skipped`; empty where something can.

        How fast a body falls, topples or swings depends on its size: a figure that is modelled at
        ten times its size falls ten times as many scene metres a second, and is right.
        """
        if self.story_m is not None:
            return ""
        low, high = TRUE_SIZE_M
        told = "less than 1 mm" if self.scene_m < 0.001 else size_text(self.scene_m)
        return (
            f"the figure is {told} tall in the scene, expected {low:g} to {high:g} m, so how fast "
            f"it should fall is not known: {SAY_HEIGHT}"
        )


def find_height(
    clip: Clip,
    roles: Roles,
    asked_m: float | None = None,
    *,
    added: Collection[int] = (),
) -> Height:
    """Standing height from the rest pose, else from the limbs, else from how far it moves.

    A rest pose that lies down (less than half as high as the limbs are long) does not count.

    The story's height is what was asked for, else what the clip states, else the rest
    height where that is plausible for a person (1.2 to 2.2 m), else unknown. Joints that are
    `added` to the figure do not count.
    """
    rest, limbs = _rest_height(clip, added), _limb_height(clip, roles)
    lies = rest < LYING_SHARE * limbs
    scene = (limbs if lies else rest) or _object_size(clip)
    story = asked_m or clip.meta.height_m
    if story is None and TRUE_SIZE_M[0] <= scene <= TRUE_SIZE_M[1] and len(clip.joints) > 1:
        story = scene
    return Height(scene, story)


def _rest_height(clip: Clip, added: Collection[int]) -> float:
    if clip.rest_positions is None or len(clip.joints) < 2:
        return 0.0
    props = {prop.joint for prop in clip.meta.props}
    joints = enumerate(clip.joints)
    figure = [n for n, name in joints if name not in props and n not in added]
    points = clip.rest_positions[figure]
    if clip.rest_rotations is not None and clip.lengths is not None:
        along = np.zeros_like(points)
        along[:, 1] = clip.lengths[figure]
        points = np.concatenate((points, points + rotate(clip.rest_rotations[figure], along)))
    return float(np.ptp(points[:, 2])) if len(points) else 0.0


def _limb_height(clip: Clip, roles: Roles) -> float:
    """From joint distances over the clip: leg and trunk, scaled up for foot and head."""
    known = clip.known_joints
    joints = {part: clip.joints.index(names[0]) for part, names in roles.parts.items()}
    joints = {part: joint for part, joint in joints.items() if known[joint]}
    leg = [joints.get(f"{kind}.L", joints.get(f"{kind}.R")) for kind in ("thigh", "shin", "foot")]
    trunk = [joints.get(kind) for kind in ("root", "chest", "neck", "head")]
    if any(joint is None for joint in leg) or trunk[0] is None:
        return 0.0
    chain = [joint for joint in trunk if joint is not None]
    length = _chain_length(clip, [j for j in leg if j is not None]) + _chain_length(clip, chain)
    return length / _CHAIN_SHARE


def _chain_length(clip: Clip, chain: list[int]) -> float:
    gaps = np.linalg.norm(np.diff(clip.positions[:, chain], axis=1), axis=-1)
    known = clip.valid_mask[:, chain[1:]] & clip.valid_mask[:, chain[:-1]]
    pairs = zip(gaps.T, known.T, strict=True)
    return float(sum(np.median(gap[both]) for gap, both in pairs if both.any()))


def _object_size(clip: Clip) -> float:
    """For plain objects: the box that holds all of the motion, by its diagonal.

    Never less than the object's own length, nor more than a few of them: a cart that crosses
    the whole quay is judged as a cart.
    """
    known = clip.positions[clip.valid_mask]
    extent = float(np.linalg.norm(np.ptp(known, axis=0))) if len(known) else 0.0
    length = 0.0 if clip.lengths is None else float(clip.lengths.max())
    if length > 0.0:
        extent = min(max(extent, length), MOST_LENGTHS * length)
    return extent if extent > 0.0 else 1.0
