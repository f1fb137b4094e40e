# SPDX-License-Identifier: GPL-3.0-or-later
"""Roles as people correct them: what they say wins over what was found, and what looks wrong in it
is told."""

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from ..parts import ARM, LEG, SIDES, label, split_part
from ..words import capital

# What may be told, in the order in which a figure is read.
TELLABLE = (
    *("root", "pelvis", "spine.1", "spine.2", "spine.3", "chest", "neck", "head"),
    *(f"{kind}.{side}" for side in SIDES for kind in ARM),
    *(f"{kind}.{side}" for side in SIDES for kind in LEG),
    "mover",
)
# Hips are often both.
_SHARED = frozenset(("root", "pelvis"))
# Pairs nearer to each other than this share of the widest one tell no side.
_SAME_PLACE = 0.05


def corrected_roles(
    found: Mapping[str, str], told: Mapping[str, str], names: Sequence[str]
) -> dict[str, str]:
    """part -> joint: as found, but for what is told.

    found, told   part -> joint; told with an empty joint: the figure has no such part
    names         the joints that there are; a part that is told to be another one stays as found

    A joint that is told to play a part plays no other that was only found, but for hips that are
    root and pelvis. Where a pelvis is known and no root, the pelvis is the root. A mover alone is
    no figure.
    """
    known = {part: joint for part, joint in told.items() if not joint or joint in names}
    if not known:
        return dict(found)
    taken = {joint: part for part, joint in known.items() if joint}
    parts = {
        part: joint
        for part, joint in found.items()
        if part not in known and (joint not in taken or {part, taken[joint]} == _SHARED)
    }
    parts |= {part: joint for part, joint in known.items() if joint}
    if "root" not in parts and "root" not in known and "pelvis" in parts:
        parts["root"] = parts["pelvis"]
    return {} if set(parts) <= {"mover"} else parts


def doubts_of(parts: Mapping[str, str], places: Mapping[str, NDArray[np.float64]]) -> list[str]:
    """What looks wrong in roles, a sentence each: what was found, what to do.

    parts    part -> joint
    places   joint -> (3,) where it is at rest, in any axes
    """
    return [*_doubled(parts), *_swapped(parts, places)]


def _doubled(parts: Mapping[str, str]) -> list[str]:
    of_joint: dict[str, list[str]] = {}
    for part, joint in parts.items():
        of_joint.setdefault(joint, []).append(part)
    return [
        f"The {label(both[0])} and the {label(both[1])} are both {joint!r}, expected a bone each: "
        "correct one of them, or take it away."
        for joint, both in of_joint.items()
        if len(both) > 1 and set(both) != _SHARED
    ]


def _swapped(parts: Mapping[str, str], places: Mapping[str, NDArray[np.float64]]) -> list[str]:
    """Pairs whose left is on the side where most others have their right."""
    ways = {
        split_part(part)[0]: np.asarray(places[joint] - places[other], dtype=np.float64)
        for part, joint in parts.items()
        if part.endswith(".L")
        and joint in places
        and (other := parts.get(f"{part[:-2]}.R", "")) in places
    }
    widest = max((float(np.linalg.norm(way)) for way in ways.values()), default=0.0)
    wide = {k: w for k, w in ways.items() if np.linalg.norm(w) > _SAME_PLACE * widest}
    if len(wide) < 3:
        return []
    # Each pair against all others, so that one that is wrong does not lead the rest.
    alike = {
        kind: sum(float(np.sign(way @ other)) for other in wide.values()) - 1.0
        for kind, way in wide.items()
    }
    return [
        f"{capital(label(f'{kind}.L'))} and {label(f'{kind}.R')} seem to be swapped: the left one "
        "is where the other parts have their right. Correct them, or leave them where they cross "
        "at rest."
        for kind, count in alike.items()
        if count < 0.0
    ]


def without_other_side(parts: Mapping[str, str], told: Mapping[str, str]) -> dict[str, str]:
    """A part of which nothing is told and that no joint plays -> the same part of the other side,
    of which something is: often its joint was taken for that one."""
    other_sides = {
        f"{part[:-1]}{'R' if part.endswith('.L') else 'L'}": part
        for part, joint in told.items()
        if joint and part.endswith(tuple(f".{side}" for side in SIDES))
    }
    return {
        other: part
        for other, part in other_sides.items()
        if other not in told and not parts.get(other)
    }


def is_tellable(part: str) -> bool:
    """Whether a part may be told: those of a figure, spines of any number."""
    kind, tag = split_part(part)
    return part in TELLABLE or (kind == "spine" and tag.isdecimal() and int(tag) > 0)
