# SPDX-License-Identifier: GPL-3.0-or-later
"""Which planted feet did not stay where they were, and why.

A leg whose foot is held by IK lets the body move over it as far as it reaches. One without moves
along with the body.
"""

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from ....analysis.basis import Basis
from ....analysis.words import frames_text

# A foot that is off by less, at the character's size, stayed.
OFF_M = 1e-3
# From this share of its length on a leg is as long as it gets.
_STRETCHED = 0.995
# A foot goes along where its way differs from the control's by no more than this share.
_ALONG = 0.02
# So many places are told for each leg.
_MOST_TOLD = 3
_NAMES = {"L": "left", "R": "right"}


@dataclass(frozen=True, eq=False)
class Moved:
    """How the figure stands on the frames (T,) of a clip after a hand back, scene metres.

    joints (T,J,3)   those of the clip; shift (T,3): how far the control was moved
    """

    joints: Any
    shift: Any


def feet_told(basis: Basis, moved: Moved) -> tuple[str, ...]:
    """A sentence for each stretch of frames on which a planted foot is off by a millimetre."""
    return tuple(said for side in _NAMES for said in _leg_told(basis, moved, side))


def _leg_told(basis: Basis, moved: Moved, side: str) -> list[str]:
    clip = basis.clip
    parts = [name for name in (f"foot.{side}", f"toe.{side}") if name in basis.roles.parts]
    joints = [clip.joint(basis.roles.parts[part][0]) for part in parts]
    plants = [plant for plant in basis.plants if plant.side == side]
    if not joints or not plants:
        return []
    ways = moved.joints[:, joints] - clip.positions[:, joints]
    off = np.linalg.norm(ways, axis=-1).max(axis=1) * basis.height.to_story
    found = []
    for plant in plants:
        at = np.arange(plant.first, plant.last + 1)
        found += [(run, off) for run in _runs(at[off[at] > OFF_M])]
    told = [_told(basis, moved, side, run, off) for run, off in found[:_MOST_TOLD]]
    if len(found) > _MOST_TOLD:
        told.append(
            f"The {_NAMES[side]} foot is off in {len(found) - _MOST_TOLD} more of its plants."
        )
    return told


def _runs(samples: Any) -> list[Any]:
    if not len(samples):
        return []
    cuts = [n for n, (a, b) in enumerate(pairwise(samples), start=1) if b > a + 1]
    return np.split(samples, cuts)


def _told(basis: Basis, moved: Moved, side: str, run: Any, off: Any) -> str:
    clip, name = basis.clip, _NAMES[side]
    worst = int(run[np.argmax(off[run])])
    span = frames_text(clip.frames[run[0]], clip.frames[run[-1]])
    far = basis.size_text(off[worst] / basis.height.to_story)
    at = f" at {clip.frames[worst]:g}" if len(run) > 1 else ""
    way = moved.shift[worst]
    held = f"foot.{side}" in clip.meta.targets
    if _is_stretched(basis, moved, side, worst) and (
        held or not _goes_along(basis, moved, side, worst)
    ):
        up = way[2] > np.linalg.norm(way[:2])
        mend = "Lower the ball" if up else "Bring the ball nearer to it"
        return (
            f"The {name} leg does not reach on {span}: its foot comes {far} short{at}. "
            f"{mend} there, or lift the heel."
        )
    if held:
        return (
            f"The {name} foot moves along on {span}, by {far}{at}: its IK is off there, or what "
            "it is pulled to moves along."
        )
    return (
        f"The {name} foot moves along on {span}, by {far}{at}, as its leg has no IK: turn the leg "
        "back there."
    )


def _goes_along(basis: Basis, moved: Moved, side: str, at: int) -> bool:
    """Whether a foot goes as far as the control, and the same way."""
    joint = basis.clip.joint(basis.roles.parts[f"foot.{side}"][0])
    way = moved.joints[at, joint] - basis.clip.positions[at, joint]
    shift = moved.shift[at]
    return bool(np.linalg.norm(way - shift) <= _ALONG * np.linalg.norm(shift))


def _is_stretched(basis: Basis, moved: Moved, side: str, at: int) -> bool:
    """Whether a leg is as long as it gets, after it was moved."""
    parts = [f"{kind}.{side}" for kind in ("thigh", "shin", "foot")]
    if not all(part in basis.roles.parts for part in parts):
        return False
    joints = [basis.clip.joint(basis.roles.parts[part][0]) for part in parts]
    rest = basis.clip.rest_positions
    if rest is None:
        return False
    length = sum(np.linalg.norm(rest[b] - rest[a]) for a, b in pairwise(joints))
    there = moved.joints[at, joints[2]] - moved.joints[at, joints[0]]
    return bool(np.linalg.norm(there) >= _STRETCHED * length)
