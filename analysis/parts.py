# SPDX-License-Identifier: GPL-3.0-or-later
"""The parts of a figure: their names, their order for mending, the words for them.

A part is an anatomical role that a joint plays. `root` carries the body; `mover` is the
ground bone of a travelling rig, straight and even by design, never judged as a body.
"""

SIDES = ("L", "R")
LEG = ("thigh", "shin", "foot", "toe")
ARM = ("shoulder", "upper_arm", "forearm", "hand")
TRUNK = ("mover", "root", "pelvis", "spine", "chest", "neck", "head")

# Fixing order: mend the body first, then outwards; what hangs on a part comes after it.
_ORDER = (
    "mover",
    "root",
    "pelvis",
    "spine",
    "chest",
    "neck",
    "head",
    *LEG,
    *ARM,
    "prop",
    "chain",
    "camera",
)
_LABELS = {
    "root": "root",
    "mover": "mover",
    "pelvis": "pelvis",
    "spine": "spine",
    "chest": "chest",
    "neck": "neck",
    "head": "head",
    "shoulder": "shoulder",
    "upper_arm": "upper arm",
    "forearm": "forearm",
    "hand": "hand",
    "thigh": "thigh",
    "shin": "shin",
    "foot": "foot",
    "toe": "toe",
    "prop": "prop",
    "chain": "chain",
    "camera": "camera",
}
_APART = ("mover", "prop", "chain", "camera")
# The part that each hangs on in the anatomical tree; numbered parts hang on their lower number.
_HANGS_ON = {
    "root": "mover",
    "pelvis": "root",
    "spine": "pelvis",
    "chest": "spine",
    "neck": "chest",
    "head": "neck",
    "shoulder": "chest",
    "upper_arm": "shoulder",
    "forearm": "upper_arm",
    "hand": "forearm",
    "thigh": "pelvis",
    "shin": "thigh",
    "foot": "shin",
    "toe": "foot",
}


def split_part(part: str) -> tuple[str, str]:
    """Split a part into its kind and its side or number: `hand.L` -> (`hand`, `L`)."""
    kind, _, tag = part.partition(".")
    return kind, tag


def is_part(name: str) -> bool:
    """Say whether `name` is spelt as a part: a known kind, a side or number where it has one."""
    kind, tag = split_part(name)
    if kind in LEG or kind in ARM:
        return tag in SIDES
    if kind in ("spine", "prop", "chain"):
        return tag.isdecimal() and int(tag) > 0
    return kind in _LABELS and tag == ""


def is_spelt(name: str) -> bool:
    """Whether a part is spelt as reports do: `spine.1`, not `spine.001`."""
    kind, tag = split_part(name)
    return is_part(name) and (not tag.isdecimal() or name == f"{kind}.{int(tag)}")


def is_apart(part: str) -> bool:
    """Whether a part is none of the body's own, so that it may be where no body could."""
    return split_part(part)[0] in _APART


def fix_rank(part: str | None) -> tuple[int, int, str]:
    """Sort key of the fixing order: body outwards; unknown parts last, whole figure first."""
    if part is None:
        return (-1, 0, "")
    kind, tag = split_part(part)
    rank = _ORDER.index(kind) if kind in _ORDER else len(_ORDER)
    return (rank, int(tag) if tag.isdecimal() else 0, part)


def label(part: str) -> str:
    """Words for a part in a sentence, without article: `hand.L` -> `left hand`."""
    kind, tag = split_part(part)
    if kind not in _LABELS:
        return part
    if tag in SIDES:
        return f"{'left' if tag == 'L' else 'right'} {_LABELS[kind]}"
    return f"{_LABELS[kind]} {tag}".strip()


def parents_of(part: str) -> list[str]:
    """Parts that `part` may hang on, nearest first (`spine.2` -> `spine.1`, `pelvis`, ...)."""
    kind, tag = split_part(part)
    found = []
    if kind == "spine" and tag.isdecimal():
        found += [f"spine.{n}" for n in range(int(tag) - 1, 0, -1)]
    upper = _HANGS_ON.get(kind)
    while upper is not None:
        found += _spellings(upper, tag)
        upper = _HANGS_ON.get(upper)
    return found


def _spellings(kind: str, tag: str) -> list[str]:
    """All parts of a kind that a part with side or number `tag` could hang on."""
    if kind in LEG or kind in ARM:
        return [f"{kind}.{tag}"]
    if kind == "spine":
        return [f"spine.{n}" for n in range(9, 0, -1)]
    return [kind]


def limb_of(part: str) -> tuple[str, ...]:
    """The limb that a part belongs to, from the body outwards; empty for all other parts."""
    kind, tag = split_part(part)
    for chain in (LEG, ARM):
        if kind in chain:
            return tuple(f"{name}.{tag}" for name in chain)
    return ()
