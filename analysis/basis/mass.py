# SPDX-License-Identifier: GPL-3.0-or-later
"""Segment masses and the centre of mass.

Three tables by choice. Shares of the body's mass, and where a segment's centre of mass lies on
the way from its near end to its far end:

winter   Winter 2009, Biomechanics and Motor Control of Human Movement, 4th ed., Table 4.1
         (after Dempster 1955)
de_leva  de Leva 1996, J Biomech 29:1223-1230, Table 4, men; the centres of hand (.79 from wrist
         to third knuckle) and head (.50 from crown to neck) are from memory
dumas    Dumas & Wojtusch 2018, Handbook of Human Motion, Tables 1 to 10, men, as PyPI's
         center-of-mass 1.0.1 carries them (its torso: Dumas et al. 2007); along the segments
         alone
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ..once import once
from ..parts import SIDES
from .loads import counted_loads, unknown_share, weighed
from .soles import heel_path

if TYPE_CHECKING:
    from .core import Basis

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Why there is no centre of mass, for those who need it.
NO_COM = "the centre of mass is not known: trunk and both legs are needed"
# Less of the body's mass than this, and what is known is no figure's centre of mass.
LEAST_KNOWN = 0.6
# A gap in so much of the body's mass or less (a hand and its forearm) is bridged.
MOST_BRIDGED = 0.03


@dataclass(frozen=True)
class Segment:
    """mass   share of the body's mass; at: share of the way from the near to the far end."""

    mass: float
    at: float


WINTER = {
    "head": Segment(0.081, 0.35),  # at the ear: a third of the way from the skull's joint up
    "trunk": Segment(0.497, 0.50),
    "upper_arm": Segment(0.028, 0.436),
    "forearm": Segment(0.016, 0.430),
    "hand": Segment(0.006, 0.506),
    "thigh": Segment(0.100, 0.433),
    "shin": Segment(0.0465, 0.433),
    "foot": Segment(0.0145, 0.500),
}
DE_LEVA = {
    "head": Segment(0.0694, 0.50),
    "trunk": Segment(0.4346, 0.5690),  # .4310 from the shoulders down to the hips
    "upper_arm": Segment(0.0271, 0.5772),
    "forearm": Segment(0.0162, 0.4574),
    "hand": Segment(0.0061, 0.79),
    "thigh": Segment(0.1416, 0.4095),
    "shin": Segment(0.0433, 0.4395),
    "foot": Segment(0.0137, 0.4415),
}
# A torso of 477 mm, its centre 42.0 % below its upper end, on a pelvis that is 76 mm high from hips
# to torso (.338 of a width of 224 mm, from memory), its centre 26 mm below the torso: .333 and .142
# of the mass. Feet have their centre half-way from ankle to ball, and a fifth under that.
DUMAS = {
    "head": Segment(0.067, 0.534),
    "trunk": Segment(0.475, 0.474),
    "upper_arm": Segment(0.024, 0.482),
    "forearm": Segment(0.017, 0.417),
    "hand": Segment(0.006, 0.839),
    "thigh": Segment(0.123, 0.429),
    "shin": Segment(0.048, 0.410),
    "foot": Segment(0.012, 0.502),
}
_BY_NAME = {"winter": WINTER, "de_leva": DE_LEVA, "dumas": DUMAS}
# Where each segment of a limb ends: at the joint of the next part, else at its own tip.
_NEXT = {"upper_arm": "forearm", "forearm": "hand", "thigh": "shin", "shin": "foot"}
_LIMB = ("upper_arm", "forearm", "hand", "thigh", "shin", "foot")


def centre_of_mass(basis: "Basis") -> Floats | None:
    """(T,3) metres, world, with what is held and has a known mass, see `loads`; None where trunk
    or legs are not known, or too little is."""
    body = body_centre(basis)
    loads = counted_loads(basis)
    return None if body is None else weighed(basis, loads, body, [load.path for load in loads])


def com_rate(basis: "Basis", derived: Callable[[Floats, int], Floats], n: int) -> Floats | None:
    """(T,3) the n-th derivative of the centre of mass, without the jump as a load is let go.

    derived   differentiates a path (T,3) n times
    """
    loads = counted_loads(basis)
    if basis.com is None or all(load.throughout for load in loads):
        return None if basis.com is None else derived(basis.com, n)
    body = body_centre(basis)
    paths = [derived(load.path, n) for load in loads]
    return None if body is None else weighed(basis, loads, derived(body, n), paths)


def body_centre(basis: "Basis") -> Floats | None:
    """(T,3) the centre of mass of the body alone, as `centre_of_mass`.

    Segments that are missing are left out, and the rest counts for the whole.
    """
    if basis.body("thigh.L") is None or basis.body("thigh.R") is None:
        return None
    placed = _placed(basis, _BY_NAME[basis.settings.masses])
    if "trunk" not in placed:
        return None
    mass = sum(segment.mass for segment, _path in placed.values())
    if mass < LEAST_KNOWN:
        return None
    total = sum((segment.mass * path for segment, path in placed.values()), np.zeros(3))
    return np.asarray(total / mass)


@once
def mass_known(basis: "Basis") -> Bools:
    """(T,) False where more of the mass than that of a hand and its forearm lies in a gap."""
    table = _BY_NAME[basis.settings.masses]
    bridged = unknown_share(basis)
    for kind, segment in table.items():
        for parts in _moved_by(basis, kind):
            bodies = [body for part in parts if (body := basis.body(part)) is not None]
            bridged += np.where(basis.valid[:, bodies].all(axis=1), 0.0, segment.mass)
    return bridged <= MOST_BRIDGED


def _moved_by(basis: "Basis", kind: str) -> list[list[str]]:
    """The parts that place a kind of segment, for each segment of that kind."""
    if kind == "head":
        return [["head"]]
    if kind == "trunk":
        arms = [f"upper_arm.{side}" for side in SIDES]
        upper = arms if all(basis.body(part) is not None for part in arms) else ["neck", "chest"]
        return [[*(f"thigh.{side}" for side in SIDES), *upper]]
    return [[f"{part}.{side}" for part in (kind, _NEXT.get(kind, kind))] for side in SIDES]


def _placed(basis: "Basis", table: dict[str, Segment]) -> dict[str, tuple[Segment, Floats]]:
    """Each known segment with the path (T,3) of its centre of mass."""
    return {
        name: (segment, near + segment.at * (far - near))
        for name, (segment, near, far) in _ends(basis, table).items()
    }


def segment_rods(basis: "Basis") -> tuple[Floats, Floats, Floats]:
    """The known segments as even rods: shares of their mass (S,), which add up to 1, where on the
    way from the near to the far end their centres lie (S,), and both ends (S,2,T,3)."""
    known = list(_ends(basis, _BY_NAME[basis.settings.masses]).values())
    mass = np.array([segment.mass for segment, _near, _far in known])
    at = np.array([segment.at for segment, _near, _far in known])
    return mass / mass.sum(), at, np.array([(near, far) for _segment, near, far in known])


def _ends(basis: "Basis", table: dict[str, Segment]) -> dict[str, tuple[Segment, Floats, Floats]]:
    """Each known segment with the paths (T,3) of its near and its far end."""
    ends: dict[str, tuple[Segment, tuple[Floats, Floats] | None]] = {
        "head": (table["head"], _head(basis)),
        "trunk": (table["trunk"], _trunk(basis)),
    }
    for kind in _LIMB:
        for side in SIDES:
            ends[f"{kind}.{side}"] = (table[kind], _limb(basis, kind, side))
    return {name: (segment, *two) for name, (segment, two) in ends.items() if two is not None}


def _joint(basis: "Basis", part: str) -> Floats | None:
    body = basis.body(part)
    return None if body is None else basis.positions[:, body]


def _tip(basis: "Basis", part: str) -> Floats | None:
    body = basis.body(part)
    return None if body is None else basis.marks[:, body, 1]


def _both(basis: "Basis", kind: str) -> Floats | None:
    """Midway between the joints of both sides."""
    left, right = _joint(basis, f"{kind}.L"), _joint(basis, f"{kind}.R")
    return None if left is None or right is None else 0.5 * (left + right)


def _head(basis: "Basis") -> tuple[Floats, Floats] | None:
    """From the skull's joint (other tables than Winter's: from the neck) to the crown."""
    low, high = _joint(basis, "head"), _tip(basis, "head")
    if basis.settings.masses != "winter":
        neck = _joint(basis, "neck")
        low = low if neck is None else neck
    return None if low is None or high is None else (low, high)


def _trunk(basis: "Basis") -> tuple[Floats, Floats] | None:
    """From between the hips to between the shoulders, else to the neck or the chest's tip."""
    hips, shoulders = _both(basis, "thigh"), _both(basis, "upper_arm")
    for upper in (shoulders, _joint(basis, "neck"), _tip(basis, "chest")):
        if hips is not None and upper is not None:
            return hips, upper
    return None


def _limb(basis: "Basis", kind: str, side: str) -> tuple[Floats, Floats] | None:
    near, part = _joint(basis, f"{kind}.{side}"), f"{kind}.{side}"
    far = _joint(basis, f"{_NEXT[kind]}.{side}") if kind in _NEXT else None
    if far is None:
        far = _tip(basis, part)
    if kind == "foot":
        toe = _joint(basis, f"toe.{side}")
        far = far if toe is None else toe
        if basis.settings.masses == "de_leva":  # from the heel to the tip of the toes
            foot, tip = basis.body(part), _tip(basis, f"toe.{side}")
            near = near if foot is None else heel_path(basis, foot)
            far = far if tip is None else tip
    return None if near is None or far is None else (near, far)
