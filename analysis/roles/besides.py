# SPDX-License-Identifier: GPL-3.0-or-later
"""Bones beside the body: helpers, fingers, faces, jiggle and cloth, known by a word of theirs."""

from collections.abc import Sequence

from .names import tokens

_HELPERS = {"twist", "roll", "ik", "fk", "mch", "org", "pole", "target", "helper", "nub", "tweak"}
_CONTROLS = {"ctrl", "ctl", "con", "control", "corrective", "socket", "attach"}
_FINGERS = {"finger", "fingers", "thumb", "index", "middle", "ring", "pinky", "palm", "metacarpal"}
_FACE = {"face", "eye", "eyes", "eyelid", "lid", "brow", "eyebrow", "lash", "lip", "lips", "mouth"}
_HEAD = {"jaw", "chin", "teeth", "tongue", "cheek", "nose", "nostril", "temple", "forehead", "ear"}
_SOFT = {"jiggle", "breast", "breasts", "hair", "feather", "ponytail", "bangs", "fat", "muscle"}
_CLOTH = {"cloth", "skirt", "dress", "cape", "cloak", "coat", "sleeve", "scarf", "strap", "ribbon"}
_WORDS = _HELPERS | _CONTROLS | _FINGERS | _FACE | _HEAD | _SOFT | _CLOTH


def is_beside(name: str) -> bool:
    """Whether a bone is followed only where a user asks for it."""
    return not _WORDS.isdisjoint(tokens(name))


def body_joints(names: Sequence[str]) -> list[int]:
    """Indices of the joints that are none of these; all of them where nothing else is there."""
    kept = [n for n, name in enumerate(names) if not is_beside(name)]
    return kept or list(range(len(names)))
