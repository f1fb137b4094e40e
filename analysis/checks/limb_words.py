# SPDX-License-Identifier: GPL-3.0-or-later
"""What `locked_knee` and `knee_pop` say."""

from ..basis import Basis
from ..evidence import Suggestion
from ..limbs import Limb
from ..locks import Lock
from ..words import frame_text, size_text


def lock_says(basis: Basis, lock: Lock) -> str:
    """`The right knee locks straight, frames 34 to 38, while ...`."""
    first, last = (frame_text(basis.frames[at]) for at in (lock.first, lock.last))
    limb = lock.limb
    mover = "hips" if limb.joint == "knee" else "shoulder"
    end = limb.end_name.split()[-1]
    beyond = ""
    if lock.beyond is not None:
        size = size_text(lock.beyond * basis.height.to_story)
        beyond = f"; the {end} is wanted about {size} out of reach"
    return (
        f"The {limb.name} locks straight, frames {first} to {last}, while {mover} and {end} move "
        f"on{beyond}: it snaps by {size_text(lock.snap * basis.height.to_story)} in a frame."
    )


def lock_suggestion(basis: Basis, lock: Lock) -> Suggestion:
    """How far hips or foot must give way."""
    first, last = (frame_text(basis.frames[at]) for at in (lock.first, lock.last))
    size = ""
    if lock.beyond is not None:
        size = f" by {size_text(lock.beyond * basis.height.to_story)} or a little more"
    limb = lock.limb
    if limb.joint == "knee":
        text = f"Lower the hips{size} from frame {first} to {last}, or bring the foot nearer"
    else:
        text = f"Bring the hand nearer{size} from frame {first} to {last}, or turn the chest to it"
    return Suggestion(f"{text}: the {limb.joint} stays bent.", frame=float(basis.frames[lock.peak]))


def knee_of(limb: Limb) -> str:
    """`right knee`: what a sentence calls the joint."""
    return limb.name
