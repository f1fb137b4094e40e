# SPDX-License-Identifier: GPL-3.0-or-later
"""`hard_start`: does a point start at full speed from rest, without ease or anticipation?"""

from ..basis import Basis
from ..evidence import Evidence
from ..loop import Cycle
from .contract import CheckInfo
from .stop_evidence import stops_or_starts

INFO = CheckInfo(
    name="hard_start",
    question="Does a point start at full speed from rest, without ease or anticipation?",
    definition=(
        "As `hard_stop`, with the motion played backwards: a point that lay at rest for two "
        "frames at 24 a second, four at least, has a speed at once that is 1.25 times more "
        "than it ever gains within two frames after, and 15 % of its pace in the next quarter "
        "of a second. What is left out is left out here as well, and what went straight back by "
        "1 % of the height within .6 s before, until it set off: .02 % of it or more while it "
        "rests (it was prepared). What starts only as seen by what carries it is prepared in "
        "the world as well, where that set off before it. What is jolted as trunk, head or arm "
        "hit the floor or a support starts by right, up to the speed that these lose."
    ),
    unit="cm/s",
    limit="12 % of the height a second",
    source="speed against the peak that follows, its rise against those after; limits from trials",
    stages=("spline", "polish"),
    mend="Let it gather speed over a few frames, or anticipate: a little back before it sets off.",
    asked_of="points",
    spaces=("world", "camera"),
)


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """Hard starts of every body."""
    return stops_or_starts(basis, cycle, "hard_start", starts=True)
