# SPDX-License-Identifier: GPL-3.0-or-later
"""What `off_arc` says."""

import numpy as np

from ..arc_edits import edits_of
from ..arc_keys import KeyMiss
from ..basis import Basis
from ..evidence import Suggestion
from ..words import direction_text, frame_text


def arc_words(basis: Basis, miss: KeyMiss) -> str:
    """The sentence for one key."""
    size = basis.size_text(miss.amount)
    return (
        f"The key of {miss.control} on frame {frame_text(miss.frame)} ({miss.group}) puts "
        f"the {{who}} {size} off the arc that its neighbours make."
    )


def arc_advice(basis: Basis, miss: KeyMiss) -> Suggestion:
    """Where the key would put its point."""
    size = basis.size_text(float(np.linalg.norm(miss.miss)))
    where = direction_text(miss.miss, basis.forward[miss.sample])
    at = frame_text(miss.frame)
    return Suggestion(
        f"Key the {miss.group} of {miss.control} on frame {at} so that it takes {{it}} {size} "
        f"further {where}, or delete that key.",
        frame=miss.frame,
        position=basis.marks[miss.sample, miss.body, miss.mark] + miss.miss,
        offset=miss.miss,
        edits=edits_of(basis.clip, miss),
    )
