# SPDX-License-Identifier: GPL-3.0-or-later
"""From joint names and the rest pose to parts."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..parts import SIDES, fix_rank, limb_of, parents_of
from .affixes import Affixes, find_affixes
from .four_legs import names_four_legs, stands_on_four
from .names import NameHint, is_deform_name, is_telling, read_name, tokens
from .settle import Candidates, settle_hub, settle_limbs, settle_root
from .topology import parts_from_shape
from .tree import depths, is_below
from .trunk import trunk_parts

# The control rig that Blender's bundled Rigify makes: its deform bones are named after the
# spine, so words alone would call the hips a spine.
_RIGIFY = {
    "mover": ("root",),
    "root": ("torso",),
    "pelvis": ("DEF-spine",),
    "spine.1": ("DEF-spine.001",),
    "spine.2": ("DEF-spine.002",),
    "chest": ("DEF-spine.003",),
    "neck": ("DEF-spine.004", "DEF-spine.005"),
    "head": ("DEF-spine.006",),
}
_RIGIFY_LIMBS = {
    "shoulder": ("DEF-shoulder.{0}",),
    "upper_arm": ("DEF-upper_arm.{0}", "DEF-upper_arm.{0}.001"),
    "forearm": ("DEF-forearm.{0}", "DEF-forearm.{0}.001"),
    "hand": ("DEF-hand.{0}",),
    "thigh": ("DEF-thigh.{0}", "DEF-thigh.{0}.001"),
    "shin": ("DEF-shin.{0}", "DEF-shin.{0}.001"),
    "foot": ("DEF-foot.{0}",),
    "toe": ("DEF-toe.{0}",),
}


@dataclass(frozen=True)
class Roles:
    """parts: part -> joint names, the main one first; how they were found, in one word."""

    parts: Mapping[str, tuple[str, ...]]
    how: str


def guess_roles(
    names: Sequence[str],
    parents: Sequence[int],
    rest_positions: NDArray[np.float64] | None = None,
    *,
    deform: Sequence[bool] | None = None,
    by_shape: bool = True,
) -> Roles:
    """Guess which joints play which parts.

    names, parents   (J,) joint names and parent indices (-1 for none)
    rest_positions   (J,3) metres, Z up; needed to judge a rig by its shape
    deform           (J,) True for joints that move the body's surface, where known
    by_shape         False: by names alone, however `rest_positions` are turned

    Rigify is known by its bones; then names decide where they tell enough of a figure (a
    hub and both legs, or both arms); else the shape of the rest pose; else nothing. What its
    names or its rest pose show on four legs is no figure.
    """
    words = [tokens(name) for name in names]
    affixes = find_affixes(words, is_telling)
    if not names_four_legs(map(affixes.strip, words)):
        rigify = _rigify(set(names))
        if rigify:
            return Roles(MappingProxyType(rigify), "names")
        named = _from_names(names, affixes, parents, deform)
        if _tells_enough(named) and not _stands_on_four(named, rest_positions):
            parts = {part: tuple(names[n] for n in joints) for part, joints in named.items()}
            return Roles(MappingProxyType(_in_order(parts)), "names")
    if rest_positions is not None and by_shape:
        shaped = parts_from_shape(names, parents, np.asarray(rest_positions))
        if shaped:
            return Roles(MappingProxyType(_in_order(shaped)), "topology")
    return Roles(MappingProxyType({}), "none")


def _stands_on_four(found: Mapping[str, tuple[int, ...]], rest: NDArray[np.float64] | None) -> bool:
    if rest is None:
        return False
    return stands_on_four({part: joints[0] for part, joints in found.items()}, np.asarray(rest))


def anatomical_parents(parts: Sequence[str]) -> dict[str, str | None]:
    """For each part, the nearest part of the figure that it hangs on, among those given."""
    present = set(parts)
    return {
        part: next((above for above in parents_of(part) if above in present), None)
        for part in parts
    }


def _rigify(names: set[str]) -> dict[str, tuple[str, ...]]:
    if not {"torso", "DEF-spine", "DEF-thigh.L"} <= names:
        return {}
    table = dict(_RIGIFY)
    for kind, patterns in _RIGIFY_LIMBS.items():
        for side in SIDES:
            table[f"{kind}.{side}"] = tuple(pattern.format(side) for pattern in patterns)
    found = {part: tuple(n for n in joints if n in names) for part, joints in table.items()}
    return _in_order({part: joints for part, joints in found.items() if joints})


def _from_names(
    names: Sequence[str],
    affixes: Affixes,
    parents: Sequence[int],
    deform: Sequence[bool] | None,
) -> dict[str, tuple[int, ...]]:
    hints = {n: hint for n, name in enumerate(names) if (hint := read_name(name, affixes))}
    candidates: Candidates = {}
    for index, hint in hints.items():
        candidates.setdefault(_spelt(hint), []).append(index)
    settle_limbs(candidates, {n: hint.number for n, hint in hints.items()})
    settle_hub(candidates, parents)
    depth = depths(parents)

    def control(index: int) -> tuple[bool, bool]:
        return (deform is not None and not deform[index], not is_deform_name(names[index]))

    def sureness(index: int) -> tuple[tuple[bool, bool], int]:
        return (control(index), hints[index].rank)

    ground = {kind: candidates.pop(kind, []) for kind in ("root", "root?", "mover")}
    spine, chests = candidates.pop("spine", []), candidates.pop("chest", [])
    trunk = sorted((*spine, *chests), key=lambda n: (depth[n], n))
    best = min(map(control, trunk), default=None)
    found = _settled(candidates, parents, sureness)
    found |= trunk_parts(
        [n for n in trunk if control(n) == best],
        parents,
        chests=chests,
        arms=_begins(found, ("shoulder", "upper_arm")),
        legs=_begins(found, ("thigh",)),
        named=found,
    )
    ground = {kind: joints for kind, joints in ground.items() if joints}
    settle_root(ground, has_pelvis="pelvis" in found)
    found |= _settled(ground, parents, sureness)
    if "root" not in found and "pelvis" in found:
        found["root"] = found["pelvis"]
    return found


def _begins(found: Mapping[str, tuple[int, ...]], kinds: Sequence[str]) -> list[int]:
    """Where the limb of each side begins, by the first of `kinds` that is known."""
    begins = []
    for side in SIDES:
        known = [found[part][0] for kind in kinds if (part := f"{kind}.{side}") in found]
        begins += known[:1]
    return begins


def _settled(
    candidates: Candidates, parents: Sequence[int], sureness: Callable[[int], tuple[Any, int]]
) -> dict[str, tuple[int, ...]]:
    """One joint a part, of several with fitting names.

    What moves the surface comes before controls, and the surer word before the other; then
    what hangs on the limb's upper part, so that a knee's pole is no shin; then what is nearest
    to the tree's root.
    """
    depth = depths(parents)
    chosen: dict[str, int] = {}

    def preference(part: str, index: int) -> tuple[tuple[Any, int], int, int, int]:
        uppers = [chosen[upper] for upper in limb_of(part) if upper in chosen][::-1]
        off = next((n for n, upper in enumerate(uppers) if is_below(parents, index, upper)), 9)
        return (sureness(index), off, depth[index], index)

    for part in sorted(candidates, key=_from_the_body_outwards):
        chosen[part] = min(candidates[part], key=lambda index: preference(part, index))
    return {part: (joint,) for part, joint in chosen.items()}


def _from_the_body_outwards(part: str) -> int:
    limb = limb_of(part)
    return limb.index(part) if part in limb else 0


def _spelt(hint: NameHint) -> str:
    if hint.kind in ("prop", "chain"):
        return f"{hint.kind}.{hint.number}"
    return f"{hint.kind}.{hint.side}" if hint.side else hint.kind


def _tells_enough(parts: Mapping[str, tuple[int, ...]]) -> bool:
    """A hub and at least one complete pair of limbs: less is better judged by shape."""
    legs = all(f"{kind}.{side}" in parts for kind in ("thigh", "shin") for side in SIDES)
    arms = all(f"{kind}.{side}" in parts for kind in ("upper_arm", "forearm") for side in SIDES)
    return "root" in parts and (legs or arms)


def _in_order(parts: dict[str, tuple[str, ...]]) -> dict[str, tuple[str, ...]]:
    return dict(sorted(parts.items(), key=lambda item: (item[0] != "mover", fix_rank(item[0]))))
