# SPDX-License-Identifier: GPL-3.0-or-later
"""What a bone's name says about its part: side and anatomical word, nothing else.

A name is read only where every word of it is known, once the side, numbers, an affix that most
names share and words for "bone" are gone: so twist bones, poles, targets, fingers and faces
are never taken for the limb that their names begin with.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from ..parts import is_part
from .affixes import NONE, Affixes

# Words as riggers spell them, separators and case removed. A `leg` or an `arm` may be either
# half of a limb, a `shoulder` a collar bone or an upper arm: those are settled later.
_SIDED = {
    "thigh": "thigh",
    "upleg": "thigh",
    "upperleg": "thigh",
    "legupper": "thigh",
    "femur": "thigh",
    "hip": "thigh",
    "leg": "leg?",
    "shin": "shin",
    "lowerleg": "shin",
    "lowleg": "shin",
    "leglower": "shin",
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
    "arm": "arm?",
    "upperarm": "upper_arm",
    "uparm": "upper_arm",
    "armupper": "upper_arm",
    "humerus": "upper_arm",
    "forearm": "forearm",
    "lowerarm": "forearm",
    "lowarm": "forearm",
    "armlower": "forearm",
    "elbow": "forearm",
    "hand": "hand",
    "wrist": "hand",
}
_MIDDLE = {
    "mover": "mover",
    "trajectory": "mover",
    "traj": "mover",
    "reference": "mover",
    "placement": "mover",
    "rootmotion": "mover",
    "root": "root?",
    "body": "root",
    "cog": "root",
    "torso": "root",
    "hips": "pelvis",
    "hip": "pelvis",
    "pelvis": "pelvis",
    "spine": "spine",
    "abdomen": "spine",
    "abdomenlower": "spine",
    "abdomenupper": "spine",
    "belly": "spine",
    "waist": "spine",
    "lowerback": "spine",
    "torsospine": "spine",
    "chestlower": "spine",
    "chest": "chest",
    "thorax": "chest",
    "ribcage": "chest",
    "upperchest": "chest",
    "chestupper": "chest",
    "neck": "neck",
    "necklower": "neck",
    "neckupper": "neck",
    "head": "head",
}
_WORDS = {*_SIDED, *_MIDDLE}
# A sided `hip` names the joint above the thigh where a rig has both.
_LESS_SURE = {"hip": 1}
_SIDES = {
    "l": "L",
    "left": "L",
    "lft": "L",
    "lf": "L",
    "r": "R",
    "right": "R",
    "rgt": "R",
    "rt": "R",
}
# What says "bone that moves the surface", and what says no more than "bone".
_DEFORM = {"def", "deform", "bind", "skin"}
_BONE = {"bone", "bn", "jnt", "joint", "jt"}
# The limb's own bone where another half of it twists: read, but after a plain name.
_HALF = {"bend", "stretch"}
# Tags for the middle of the body, where other bones have a side.
_CENTRE = {"x", "m", "c"}
# Words that are no affix, however many bones have them: they set controls apart from bones.
_APART = {"ik", "fk", "mch", "org", "ctrl", "ctl", "con", "control", "pole", "target", "twist"}
_TELLING = {*_WORDS, *_SIDES, *_DEFORM, *_APART, "up", "upper", "lower", "low", "fore"}
_NAMESPACE = re.compile(r"^.*[:|]")
_TOKEN = re.compile(r"[A-Z]+(?![a-z])|[A-Z]?[a-z]+|\d+|[^\x00-\x7f]+")


@dataclass(frozen=True)
class NameHint:
    """What one name says: a kind of part, a side (`L`, `R` or empty), a number if it has one.

    The kind may be `root?` (carries the body or the whole rig), `leg?`, `arm?`, `collar`, or a
    part's kind. Of names that say the same, the one with the lower rank means it more surely.
    """

    kind: str
    side: str
    number: int
    rank: int = 0


def is_filler(word: str) -> bool:
    """Whether a word says a side, a number, or no more than "bone"."""
    return word in _SIDES or word in _DEFORM or word in _BONE or word.isdecimal()


def tokens(name: str) -> tuple[str, ...]:
    """The words of a name in lower case, without what stands before a colon or a bar."""
    return tuple(word.lower() for word in _TOKEN.findall(_NAMESPACE.sub("", name)))


def is_telling(token: str) -> bool:
    """Whether a word by itself says something of a bone, so that it is no affix."""
    side, rest = _split_side((token,))
    return bool(side and rest) or token in _TELLING


def is_deform_name(name: str) -> bool:
    """Whether a name says by itself that the bone moves the surface: `DEF-spine`."""
    return not _DEFORM.isdisjoint(tokens(name))


def read_name(name: str, affixes: Affixes = NONE) -> NameHint | None:
    """Read one joint name, or return None where it says nothing about the figure."""
    words = affixes.strip(tokens(name))
    if not words:
        return NameHint("root", "", 0, rank=1) if affixes.prefix else None
    base = re.sub(r"^(DEF|def)[-_.]", "", _NAMESPACE.sub("", name))
    if is_part(base):
        kind, _, tag = base.partition(".")
        number = int(tag) if tag.isdecimal() else 0
        return NameHint("root?" if kind == "root" else kind, tag if number == 0 else "", number)
    return _from_words(words)


def _from_words(words: Sequence[str]) -> NameHint | None:
    numbers = [int(word) for word in words if word.isdecimal()]
    kept = [w for w in words if not w.isdecimal() and w not in _DEFORM and w not in _BONE]
    plain = [w for w in kept if w not in _HALF]
    rank = 2 * (len(kept) - len(plain))
    number = numbers[0] if numbers else 0
    side, rest = _split_side(plain)
    word = "".join(rest)
    if side:
        kind = _SIDED.get(word)
    else:
        kind = _MIDDLE.get(word) or _MIDDLE.get("".join(w for w in rest if w not in _CENTRE))
    if kind is None:
        return None
    return NameHint(kind, side, number, rank + _LESS_SURE.get(word, 0) * bool(side))


def _split_side(words: Sequence[str]) -> tuple[str, list[str]]:
    """The one side that a name tells, anywhere or glued to its word (lhip); else empty."""
    at = [n for n, word in enumerate(words) if word in _SIDES]
    if at:
        rest = [word for n, word in enumerate(words) if n != at[0]]
        return (_SIDES[words[at[0]]], rest) if len(at) == 1 else ("", list(words))
    joined = "".join(words)
    for mark in ("left", "right", "l", "r"):
        if joined.startswith(mark) and joined[len(mark) :] in _SIDED:
            return _SIDES[mark], [joined[len(mark) :]]
    return "", list(words)
