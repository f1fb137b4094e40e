# SPDX-License-Identifier: GPL-3.0-or-later
"""What a bone's name says about its part: side and anatomical word, nothing else."""

import re
from dataclasses import dataclass

from ..parts import is_part

# Words as riggers spell them, separators and case removed. A sided `hip` is the hip joint,
# so it is the thigh; `shoulder` may be a collar bone or an upper arm and is settled later.
_SIDED = {
    "thigh": "thigh",
    "upleg": "thigh",
    "upperleg": "thigh",
    "hip": "thigh",
    "femur": "thigh",
    "shin": "shin",
    "leg": "shin",
    "lowerleg": "shin",
    "lowleg": "shin",
    "calf": "shin",
    "knee": "shin",
    "shank": "shin",
    "foot": "foot",
    "ankle": "foot",
    "toe": "toe",
    "toes": "toe",
    "toebase": "toe",
    "ball": "toe",
    "shoulder": "shoulder",
    "shldr": "shoulder",
    "clavicle": "collar",
    "collar": "collar",
    "collarbone": "collar",
    "upperarm": "upper_arm",
    "uparm": "upper_arm",
    "arm": "upper_arm",
    "humerus": "upper_arm",
    "forearm": "forearm",
    "lowerarm": "forearm",
    "lowarm": "forearm",
    "elbow": "forearm",
    "hand": "hand",
    "wrist": "hand",
}
_MIDDLE = {
    "mover": "mover",
    "trajectory": "mover",
    "root": "root?",
    "body": "root",
    "cog": "root",
    "torso": "root",
    "hips": "pelvis",
    "hip": "pelvis",
    "pelvis": "pelvis",
    "spine": "spine",
    "abdomen": "spine",
    "waist": "spine",
    "torsospine": "spine",
    "chest": "chest",
    "thorax": "chest",
    "upperchest": "chest",
    "neck": "neck",
    "head": "head",
}
_NAMESPACE = re.compile(r"^.*[:|]")
_DEFORM = re.compile(r"^(DEF|def)[-_.]")
_SIDE_AFTER = re.compile(
    r"^(?P<base>.+?)[._\- ](?P<side>L|R|l|r|left|right|Left|Right)(?P<more>\.\d+)?$"
)
_SIDE_BEFORE = re.compile(r"^(?P<side>Left|Right|left|right|L|R|l|r)(?P<gap>[._\- ]?)(?P<base>.+)$")
_NUMBER = re.compile(r"[._\- ]?(\d+)$")


@dataclass(frozen=True)
class NameHint:
    """What one name says: a kind of part, a side (`L`, `R` or empty), a number if it ends in one.

    The kind may be `root?` (carries the body or the whole rig), `collar`, or a part's kind.
    """

    kind: str
    side: str
    number: int


def is_deform_name(name: str) -> bool:
    """Whether a name says by itself that the bone moves the surface: `DEF-spine`."""
    return _DEFORM.match(_NAMESPACE.sub("", name)) is not None


def read_name(name: str) -> NameHint | None:
    """Read one joint name, or return None where it says nothing about the figure."""
    base = _DEFORM.sub("", _NAMESPACE.sub("", name))
    if is_part(base):
        kind, _, tag = base.partition(".")
        number = int(tag) if tag.isdecimal() else 0
        return NameHint("root?" if kind == "root" else kind, tag if number == 0 else "", number)
    return _sided(base) or _middle(base)


def _sided(base: str) -> NameHint | None:
    """A name with a side before or after its word: thigh.L, LeftUpLeg, lhip, thigh_l."""
    for pattern in (_SIDE_AFTER, _SIDE_BEFORE):
        match = pattern.match(base)
        if match is None:
            continue
        word, number = _word(match["base"])
        kind = _SIDED.get(word)
        if kind is not None and _really_sided(match.groupdict(), match["base"]):
            return NameHint(kind, match["side"][0].upper(), number)
    return None


def _really_sided(groups: dict[str, str | None], base: str) -> bool:
    """`L` glued to a word is a side only before a capital (LHip, lHip) or all in lower case."""
    side, gap = groups["side"] or "", groups.get("gap")
    if gap is None or gap or len(side) > 1:
        return True
    return base[0].isupper() or (side.islower() and base.islower())


def _middle(base: str) -> NameHint | None:
    word, number = _word(base)
    kind = _MIDDLE.get(word)
    return None if kind is None else NameHint(kind, "", number)


def _word(base: str) -> tuple[str, int]:
    """The bare word in lower case, and the number it ends in (0 if none)."""
    number = _NUMBER.search(base)
    stem = base[: number.start()] if number else base
    return re.sub(r"[^a-z]", "", stem.lower()), int(number[1]) if number else 0
