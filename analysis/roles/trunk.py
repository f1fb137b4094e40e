# SPDX-License-Identifier: GPL-3.0-or-later
"""Which bones of the trunk are the pelvis, the spine, the chest, the neck and the head.

Spines are numbered in every habit, and some go on through the neck into the head. Where the
arms and legs hang says more than the numbers.
"""

from collections.abc import Collection, Sequence

from .tree import is_below


def trunk_parts(
    trunk: Sequence[int],
    parents: Sequence[int],
    *,
    chests: Collection[int],
    arms: Collection[int],
    legs: Collection[int],
    named: Collection[str],
) -> dict[str, tuple[int, ...]]:
    """Parts -> joints of a trunk, given from below upwards.

    chests   those of the trunk that are called so
    arms     where each arm begins (its shoulder or upper arm), legs alike
    named    parts that other bones play already

    The chest is the highest bone that an arm hangs on or that is called so, else the last.
    Bones above it are neck and head where no others are. The lowest is the pelvis where
    all legs hang on it and no other bone is.
    """
    parts: dict[str, tuple[int, ...]] = {}
    left = list(trunk)
    hubs = {_nearest(left, parents, leg) for leg in legs}
    if "pelvis" not in named and len(left) > 1 and hubs == {left[0]}:
        parts["pelvis"] = (left.pop(0),)
    if not left:
        return parts
    chest = _chest(left, parents, chests, arms)
    above = [bone for bone in left[left.index(chest) + 1 :] if is_below(parents, bone, chest)]
    lower = [bone for bone in left if bone != chest and bone not in above]
    parts.update({f"spine.{n}": (bone,) for n, bone in enumerate(lower, start=1)})
    parts["chest"] = (chest,)
    if above and "head" not in named:
        parts["head"] = (above.pop(),)
        if above and "neck" not in named:
            parts["neck"] = tuple(above)
    return parts


def _chest(
    trunk: Sequence[int], parents: Sequence[int], chests: Collection[int], arms: Collection[int]
) -> int:
    hung_on = {_nearest(trunk, parents, arm) for arm in arms} - {None}
    places = [n for n, bone in enumerate(trunk) if bone in hung_on or bone in chests]
    return trunk[max(places, default=len(trunk) - 1)]


def _nearest(trunk: Sequence[int], parents: Sequence[int], joint: int) -> int | None:
    """The bone of the trunk that a joint hangs on, or None."""
    at = parents[joint]
    while at >= 0 and at not in trunk:
        at = parents[at]
    return at if at >= 0 else None
