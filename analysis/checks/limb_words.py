# SPDX-License-Identifier: GPL-3.0-or-later
"""What `locked_knee` and `knee_pop` say."""

import numpy as np

from ..basis import Basis
from ..evidence import Suggestion
from ..hips_down import hips_drop, stands
from ..knee_flicks import Flick
from ..locks import Lock
from ..words import direction_text, frame_text, size_text


def lock_says(basis: Basis, lock: Lock) -> str:
    """`The right knee locks straight, frames 34 to 38, while ...`."""
    first, last = (frame_text(basis.frames[at]) for at in (lock.first, lock.last))
    limb = lock.limb
    mover = "hips" if limb.joint == "knee" else "shoulder"
    end = limb.end_name.split()[-1]
    beyond = ""
    if lock.beyond is not None:
        size = size_text(lock.beyond * basis.height.to_story)
        beyond = f"; the {end} is wanted {size} out of reach"
    return (
        f"The {limb.name} locks straight, frames {first} to {last}, while {mover} and {end} move "
        f"on{beyond}: it snaps by {size_text(lock.snap * basis.height.to_story)} in a frame."
    )


def lock_suggestion(basis: Basis, lock: Lock) -> Suggestion:
    """How far hips or foot must give way."""
    first, last = (frame_text(basis.frames[at]) for at in (lock.first, lock.last))
    limb = lock.limb
    far = lock.beyond
    if limb.joint == "knee":
        far = hips_drop(basis, limb, lock.first, lock.last)
    size = "" if far is None else f" by {size_text(far * basis.height.to_story)} or a little more"
    if limb.joint == "knee":
        text = f"Lower the hips{size or ' a little'} from frame {first} to {last}"
        if not stands(basis, limb, lock.first, lock.last):
            text += ", or bring the foot nearer"
    else:
        text = f"Bring the hand nearer{size} from frame {first} to {last}, or turn the chest to it"
    return Suggestion(f"{text}: the {limb.joint} stays bent.", frame=float(basis.frames[lock.peak]))


def flick_says(basis: Basis, flick: Flick) -> str:
    """`The right knee snaps 2.3 cm forward at frame 34 ...`."""
    limb, frame = flick.limb, frame_text(basis.frames[flick.peak])
    size = size_text(flick.size * basis.height.to_story)
    where = direction_text(flick.offset, basis.forward[flick.peak])
    bent = np.degrees(limb.bend[max(flick.first - 1, 0)])
    returns = "and returns" if "back" in where.split() else "and back"
    return (
        f"The {limb.name} snaps {size} {where} at frame {frame} {returns}, while hip and ankle go "
        f"on smoothly: the leg is nearly straight there ({bent:.0f} degrees)."
    )


def flick_suggestion(basis: Basis, flick: Flick) -> Suggestion:
    """What to smooth: the pole where the knee leaves the leg's plane, else hips and foot."""
    frame = frame_text(basis.frames[flick.peak])
    text = (
        f"Smooth the keys of the knee's pole, or of the thigh's turn, around frame {frame}."
        if flick.aside
        else f"Lower the hips a little around frame {frame}, or smooth their keys and the foot's: "
        "bent by 20 degrees or more the knee is calm."
    )
    return Suggestion(
        text,
        frame=float(basis.frames[flick.peak]),
        position=flick.limb.paths[flick.peak, 1] - flick.offset,
        offset=-flick.offset,
    )
