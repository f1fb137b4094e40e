# SPDX-License-Identifier: GPL-3.0-or-later
"""Words that mean one thing in one rig and another in the next, settled by what else is there.

All functions change a table of candidates: a part, or a word still open, -> joint indices.
"""

from collections.abc import Mapping, Sequence

from ..parts import SIDES
from .tree import is_below

Candidates = dict[str, list[int]]


def settle_limbs(candidates: Candidates, numbers: Mapping[int, int]) -> None:
    """Which half a `leg` or an `arm` is, and whether a `shoulder` is a collar bone.

    numbers   the number in each joint's name
    """
    for side in SIDES:
        _settle_half(candidates, numbers, f"leg?.{side}", f"thigh.{side}", f"shin.{side}")
        _settle_half(candidates, numbers, f"arm?.{side}", f"upper_arm.{side}", f"forearm.{side}")
        _settle_shoulder(candidates, side)


def _settle_half(
    candidates: Candidates, numbers: Mapping[int, int], word: str, upper: str, lower: str
) -> None:
    """The half that no other name plays; where neither is named, two numbers are both."""
    found = candidates.pop(word, [])
    if not found:
        return
    if upper in candidates:
        candidates.setdefault(lower, []).extend(found)
    elif lower in candidates or len(counted := sorted({numbers[n] for n in found})) < 2:
        candidates[upper] = found
    else:
        candidates[upper] = [n for n in found if numbers[n] == counted[0]]
        candidates[lower] = [n for n in found if numbers[n] == counted[1]]


def _settle_shoulder(candidates: Candidates, side: str) -> None:
    """A `shoulder` is the collar bone where an upper arm follows it, else the upper arm."""
    shoulder = candidates.pop(f"shoulder.{side}", [])
    collar = candidates.pop(f"collar.{side}", [])
    if shoulder and f"upper_arm.{side}" not in candidates:
        candidates[f"upper_arm.{side}"] = shoulder
        shoulder = []
    if collar or shoulder:
        candidates[f"shoulder.{side}"] = collar or shoulder


def settle_hub(candidates: Candidates, parents: Sequence[int]) -> None:
    """What carries the body: of hips above hips the upper; a torso below the hips is spine."""
    hips = candidates.get("pelvis", [])
    inner = [n for n in hips if any(is_below(parents, n, other) for other in hips)]
    if inner and "root" not in candidates:
        candidates["root"] = [n for n in hips if n not in inner]
        candidates["pelvis"] = hips = inner
    for kind, instead in (("root", "spine"), ("mover", "")):
        found = candidates.pop(kind, [])
        low = [n for n in found if any(is_below(parents, n, hip) for hip in hips)]
        if kept := [n for n in found if n not in low]:
            candidates[kind] = kept
        if low and instead:
            candidates.setdefault(instead, []).extend(low)


def settle_root(candidates: Candidates, *, has_pelvis: bool) -> None:
    """A bone called `root` is the mover where the hips or another body control exist besides."""
    root = candidates.pop("root?", [])
    if not root:
        return
    if "root" in candidates or has_pelvis:
        candidates.setdefault("mover", root)
    else:
        candidates["root"] = root
