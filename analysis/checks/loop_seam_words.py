# SPDX-License-Identifier: GPL-3.0-or-later
"""What `loop_seam` says: what is off at the seam, how to mend it, that it closes."""

import numpy as np

from ..basis import Basis
from ..evidence import Suggestion
from ..seam import Seam
from ..words import frame_text, size_text, speed_text

# Of the height (2 mm at 1.7 m): a gap, or a change of travel in a frame, worth telling.
SEEN_SHARE = 0.002 / 1.7


def good_sentence(basis: Basis, seam: Seam) -> str:
    """That nothing breaks, and what travel was taken out to say so."""
    way = float(np.linalg.norm(seam.shift)) * basis.height.to_story
    travel = f", its travel of {size_text(way)} a round taken out" if way else ""
    return f"The loop closes{travel}: no part breaks more over the seam than it does elsewhere."


def sentence(basis: Basis, seam: Seam, gap: float, speed: float) -> str:
    """What is off at the seam, in metres and m/s; a gap too small to see is left out."""
    to_story = basis.height.to_story
    changes = []
    if gap >= SEEN_SHARE * basis.height.scene_m:
        changes.append(f"lands {size_text(gap * to_story)} off its path")
    if speed * basis.dt_s >= SEEN_SHARE * basis.height.scene_m or not changes:
        changes.append(f"changes speed by {speed_text(speed * to_story)} at once")
    change = " and ".join(changes)
    last, first = _ends(basis, seam)
    return f"The loop jolts from frame {last} to frame {first}: the {{who}} {change}."


def suggest(basis: Basis, seam: Seam, body: int) -> Suggestion:
    """The pose that the frame after the last must have: the first pose, one loop on."""
    after = _after(basis, seam)
    text = (
        f"Give the {{who}} at frame {frame_text(after)}, just after the loop, its pose of frame "
        f"{frame_text(basis.frames[0])}, and let its curves run through both alike: a Cycles "
        "modifier, or the same slopes."
    )
    return Suggestion(text, frame=after, position=seam.carry(basis.positions[0, body]))


def lack_in_words(basis: Basis, seam: Seam) -> tuple[str, Suggestion]:
    """That a frame is missing, and what to do."""
    last, first = _ends(basis, seam)
    after = _after(basis, seam)
    says = f"A frame is missing: from frame {last} to frame {first} everything goes two steps."
    text = f"End the playing range one frame later, at frame {frame_text(after)}."
    return says, Suggestion(text, frame=after)


def _ends(basis: Basis, seam: Seam) -> tuple[str, str]:
    return frame_text(basis.frames[seam.length - 1]), frame_text(basis.frames[0])


def _after(basis: Basis, seam: Seam) -> float:
    return float(basis.frames[seam.length - 1] + basis.frames[1] - basis.frames[0])
