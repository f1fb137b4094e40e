# SPDX-License-Identifier: GPL-3.0-or-later
"""`hard_stop`: does a point stop dead, without ease, overshoot or settling?"""

from ..basis import Basis
from ..evidence import Evidence
from ..loop import Cycle
from .contract import CheckInfo
from .stop_evidence import stops_or_starts

INFO = CheckInfo(
    name="hard_stop",
    question="Does a point stop dead, without ease, overshoot or settling?",
    definition=(
        "A point stops where its steps fall under 3 % of the fastest of the last quarter of a "
        "second, and under 1.5 % of the height a second, for two frames at 24 a second, four at "
        "least. It stops dead "
        "where its speed drops to nothing by 1.25 times more than it ever dropped within two "
        "frames before, from 15 % of that pace at least, after three steps that led on and a "
        "quarter of a second whose other steps have a fifth of its speed in the mean. Root, "
        "pelvis, chest, head, hands, raised feet, props and bodies without a part are followed "
        "in the world, hands and head also as what carries them sees them. Left out is what "
        "hits the ground, a support or the own body and stays there, declared events, the last "
        "four frames, four beside a gap of the part or of what carries it (eight at 60), and "
        "what is off again at full speed within .2 s (it sticks). Five hard moments or more, 70 % "
        "of all in which something comes to rest, are the shot's style."
    ),
    unit="cm/s",
    limit="12 % of the height a second",
    source="speed against the recent peak, its drop against those before; limits from trials",
    stages=("spline", "polish"),
    mend="Ease into the stop over a few frames, or let it overshoot a little and settle.",
    asked_of="points",
    spaces=("world", "camera"),
)


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """Dead stops of every body."""
    return stops_or_starts(basis, cycle, "hard_stop", starts=False)
