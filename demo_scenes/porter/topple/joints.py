# SPDX-License-Identifier: GPL-3.0-or-later
"""What the joints of the porter hold while he stands, what they give as he faints, and his skin.

Springs and dampers are per body mass; common practice, no source: they were chosen by eye, so that
he tips stiffly, gives way in the knees and lands on his seat first, and so that a per cent more or
less of each makes no check find anything in the polished pass.
"""

from dataclasses import dataclass
from math import radians

from ..bones import BALL, HEEL, TOE_TIP
from .points import SIDES, Side, of_side, seen

Pair = tuple[str, str]
LATE_S = 0.03  # by so much the right side gives way after the left one


@dataclass(frozen=True)
class Joint:
    """The second segment's turn against the first one's, radians forward from the rest pose.

    stiff, limp   spring of a body that stands, and of one that has fainted (m2/s2 per radian)
    damping       m2/s per radian
    low, high     how far it bends before it is at its limits
    slack         what it bends to as it is limp
    gives_s       when it begins to give way
    """

    name: str
    first: Pair
    second: Pair
    stiff: float
    limp: float
    damping: float
    low: float
    slack: float
    high: float
    gives_s: float


@dataclass(frozen=True)
class Skin:
    """A point of the skin that may touch the floor, fixed on the segment from one to two.

    rough   its friction on the floor: cloth slides sooner than shoes
    """

    one: str
    two: str
    place: Side
    rough: float


def _joint(
    name: str,
    segments: tuple[Pair, Pair],
    springs: tuple[float, float, float],
    degrees: tuple[float, float, float],
    gives_s: float,
) -> Joint:
    low, slack, high = (radians(each) for each in degrees)
    return Joint(name, *segments, *springs, low, slack, high, gives_s)


# name, segments, (stiff, limp, damping), degrees (low, slack, high), when it gives
_Row = tuple[str, tuple[Pair, Pair], tuple[float, float, float], tuple[float, float, float], float]
_CHEST = ("waist", "shoulder")
_TRUNK: tuple[_Row, ...] = (
    ("waist", (("hip", "waist"), _CHEST), (14.0, 1.70, 0.154), (-12.0, 4.6, 40.0), 0.995),
    ("neck", (_CHEST, ("neck", "skull")), (0.9, 0.34, 0.07), (-35.0, -11.5, 40.0), 0.05),
)
_HIP = (("hip", "waist"), ("hip", "knee"))
_KNEE = (("hip", "knee"), ("knee", "ankle"))
_ANKLE = (("knee", "ankle"), ("ankle", "ball"))
_SHOULDER = (_CHEST, ("shoulder", "elbow"))
_ELBOW = (("shoulder", "elbow"), ("elbow", "wrist"))
_WRIST = (("elbow", "wrist"), ("wrist", "fingers"))
_LIMBS: tuple[_Row, ...] = (
    ("hip", _HIP, (9.0, 0.333, 0.0494), (-120.0, -68.0, 10.0), 0.534),
    ("knee", _KNEE, (7.0, 0.030, 0.0197), (0.0, 3.3, 135.0), 0.396),
    ("ankle", _ANKLE, (4.2, 0.15, 0.030), (-22.0, 18.0, 40.0), 0.60),
    ("shoulder", _SHOULDER, (0.12, 0.45, 0.0254), (-150.0, -10.0, 45.0), 0.20),
    ("elbow", _ELBOW, (0.05, 0.078, 0.0436), (-130.0, -17.5, 5.0), 0.20),
    ("wrist", _WRIST, (0.02, 0.050, 0.0042), (-50.0, 5.0, 50.0), 0.20),
)


def _on_side(row: _Row, side: str) -> Joint:
    name, (first, second), springs, degrees, gives = row
    segments = (
        (of_side(first[0], side), of_side(first[1], side)),
        (of_side(second[0], side), of_side(second[1], side)),
    )
    late = LATE_S if side == "R" else 0.0
    return _joint(f"{name}.{side}", segments, springs, degrees, gives + late)


JOINTS: tuple[Joint, ...] = (
    *(_joint(*row) for row in _TRUNK),
    *(_on_side(row, side) for side in SIDES for row in _LIMBS),
)

_SHOE, _CLOTH = 1.2, 0.6
SKIN: tuple[Skin, ...] = (
    *(
        Skin("hip", "waist", (ahead, up), _CLOTH)
        for ahead, up in ((-0.066, 0.800), (-0.100, 0.870), (-0.106, 0.940), (-0.100, 1.030))
    ),
    *(
        Skin(*_CHEST, (ahead, up), _CLOTH)
        for ahead, up in ((-0.086, 1.150), (-0.097, 1.260), (-0.102, 1.350), (-0.098, 1.430))
    ),
    *(
        Skin("neck", "skull", (ahead, up), _CLOTH)
        for ahead, up in ((-0.094, 1.630), (-0.097, 1.680), (-0.080, 1.740))
    ),
    *(
        Skin(f"{one}.{side}", f"{two}.{side}", place, _SHOE if one == "ankle" else _CLOTH)
        for side in SIDES
        for one, two, place in (
            ("ankle", "ball", seen(HEEL)),
            ("ankle", "ball", (seen(BALL)[0], 0.0)),
            ("ankle", "ball", (seen(TOE_TIP)[0], 0.0)),
            ("knee", "ankle", (-0.055, 0.380)),
            ("elbow", "wrist", (-0.075, 1.110)),
            ("elbow", "wrist", (-0.030, 0.880)),
            ("wrist", "fingers", (-0.041, 0.780)),
            ("wrist", "fingers", (-0.018, 0.685)),
        )
    ),
)
