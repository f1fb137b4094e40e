# SPDX-License-Identifier: GPL-3.0-or-later
"""From joint names and the rest pose to parts."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from ..parts import SIDES, fix_rank, limb_of, parents_of
from .names import NameHint, is_deform_name, read_name
from .topology import parts_from_shape
from .tree import depths, is_below

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
) -> Roles:
    """Guess which joints play which parts.

    names, parents   (J,) joint names and parent indices (-1 for none)
    rest_positions   (J,3) metres, Z up; needed to judge a rig by its shape
    deform           (J,) True for joints that move the body's surface, where known

    Rigify is known by its bones; then names decide where they tell enough of a figure (a
    hub and both legs, or both arms); else the shape of the rest pose; else nothing.
    """
    rigify = _rigify(set(names))
    if rigify:
        return Roles(MappingProxyType(rigify), "names")
    named = _from_names(names, parents, deform)
    if _tells_enough(named):
        return Roles(MappingProxyType(_in_order(named)), "names")
    if rest_positions is not None:
        shaped = parts_from_shape(names, parents, np.asarray(rest_positions))
        if shaped:
            return Roles(MappingProxyType(_in_order(shaped)), "topology")
    return Roles(MappingProxyType({}), "none")


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
    names: Sequence[str], parents: Sequence[int], deform: Sequence[bool] | None
) -> dict[str, tuple[str, ...]]:
    hints = [read_name(name) for name in names]
    candidates: dict[str, list[int]] = {}
    for index, hint in enumerate(hints):
        if hint is not None:
            candidates.setdefault(_spelt(hint), []).append(index)
    _settle_shoulders(candidates, parents)
    _settle_root(candidates)
    found = _settled(candidates, names, parents, deform)
    if "root" not in found and "pelvis" in found:
        found["root"] = found["pelvis"]
    return found


def _settled(
    candidates: dict[str, list[int]],
    names: Sequence[str],
    parents: Sequence[int],
    deform: Sequence[bool] | None,
) -> dict[str, tuple[str, ...]]:
    """One joint a part, of several with fitting names.

    What moves the surface comes before controls; then what hangs on the limb's upper part,
    so that a knee's pole is no shin; then what is nearest to the tree's root.
    """
    depth = depths(parents)
    chosen: dict[str, int] = {}

    def control(index: int) -> tuple[bool, bool]:
        return (deform is not None and not deform[index], not is_deform_name(names[index]))

    def preference(part: str, index: int) -> tuple[tuple[bool, bool], int, int, int]:
        uppers = [chosen[upper] for upper in limb_of(part) if upper in chosen][::-1]
        off = next((n for n, upper in enumerate(uppers) if is_below(parents, index, upper)), 9)
        return (control(index), off, depth[index], index)

    spine = sorted(candidates.pop("spine", []), key=lambda i: (depth[i], i))
    best = min(map(control, spine), default=None)
    spine = [i for i in spine if control(i) == best]
    for part in sorted(candidates, key=_from_the_body_outwards):
        chosen[part] = min(candidates[part], key=lambda index: preference(part, index))
    found: dict[str, tuple[str, ...]] = {part: (names[i],) for part, i in chosen.items()}
    return {**found, **_spine_parts([names[i] for i in spine], "chest" in found)}


def _from_the_body_outwards(part: str) -> int:
    limb = limb_of(part)
    return limb.index(part) if part in limb else 0


def _spelt(hint: NameHint) -> str:
    if hint.kind in ("prop", "chain"):
        return f"{hint.kind}.{hint.number}"
    return f"{hint.kind}.{hint.side}" if hint.side else hint.kind


def _settle_shoulders(candidates: dict[str, list[int]], parents: Sequence[int]) -> None:
    """A `shoulder` is the collar bone where an upper arm follows it, else the upper arm."""
    for side in SIDES:
        shoulder = candidates.pop(f"shoulder.{side}", [])
        collar = candidates.pop(f"collar.{side}", [])
        if shoulder and f"upper_arm.{side}" not in candidates:
            candidates[f"upper_arm.{side}"] = shoulder
            shoulder = []
        if collar or shoulder:
            candidates[f"shoulder.{side}"] = collar or shoulder


def _settle_root(candidates: dict[str, list[int]]) -> None:
    """A bone called `root` is the mover where the hips or another body control exist besides."""
    root = candidates.pop("root?", [])
    if not root:
        return
    if "root" in candidates or "pelvis" in candidates:
        candidates.setdefault("mover", root)
    else:
        candidates["root"] = root


def _spine_parts(spine: list[str], has_chest: bool) -> dict[str, tuple[str, ...]]:
    """Number the spine upwards; without a bone called chest, its last one is the chest."""
    if spine and not has_chest:
        *lower, chest = spine
    else:
        lower, chest = spine, ""
    parts: dict[str, tuple[str, ...]] = {
        f"spine.{n}": (name,) for n, name in enumerate(lower, start=1)
    }
    if chest:
        parts["chest"] = (chest,)
    return parts


def _tells_enough(parts: Mapping[str, tuple[str, ...]]) -> bool:
    """A hub and at least one complete pair of limbs: less is better judged by shape."""
    legs = all(f"{kind}.{side}" in parts for kind in ("thigh", "shin") for side in SIDES)
    arms = all(f"{kind}.{side}" in parts for kind in ("upper_arm", "forearm") for side in SIDES)
    return "root" in parts and (legs or arms)


def _in_order(parts: dict[str, tuple[str, ...]]) -> dict[str, tuple[str, ...]]:
    return dict(sorted(parts.items(), key=lambda item: (item[0] != "mover", fix_rank(item[0]))))
