# SPDX-License-Identifier: GPL-3.0-or-later
"""The centre of mass as shares of joints and tips: what a chain of constraints can follow."""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from ..errors import PlumblineError
from .body_marks import JOINT, TIP
from .mass import body_centre

if TYPE_CHECKING:
    from .core import Basis


@dataclass(frozen=True)
class MassPoint:
    """A point of a joint's bone, and how much of the centre of mass it makes up.

    joint     its name
    along_m   how far along the bone from the joint, metres
    share     of the whole; the shares of all points are 1
    """

    joint: str
    along_m: float
    share: float


def mass_points(basis: "Basis") -> tuple[MassPoint, ...] | None:
    """The points whose weighted mean the body's centre of mass is, without what it carries, one a
    joint; None where there is no centre of mass.

    Raises PlumblineError for a table of masses that asks for heels, which lie beside all bones.
    """
    if basis.settings.masses == "de_leva":
        raise PlumblineError(
            "the masses of de Leva reach from heel to toe, expected segments that end at joints: "
            "take those of Winter."
        )
    shares = _shares(basis)
    if shares is None:
        return None
    found = []
    for n, body in enumerate(basis.bodies):
        at_joint, at_tip = shares[n]
        if at_joint + at_tip > 0.0:
            along = float(basis.offsets[n, TIP, 1]) * at_tip / (at_joint + at_tip)
            found.append(MassPoint(body.name, along, float(at_joint + at_tip)))
    return tuple(found)


def _shares(basis: "Basis") -> "np.ndarray[tuple[int, int], np.dtype[np.float64]] | None":
    """(B,2) what joint and tip of each body count for.

    The centre is a weighted mean, so it is asked for where one point alone is 1 and all others 0.
    """
    count = len(basis.bodies)
    each = np.eye(2 * count).reshape(2 * count, count, 2)
    marks = np.zeros((2 * count, count, 3, 3))
    marks[:, :, JOINT, 0], marks[:, :, TIP, 0] = each[..., 0], each[..., 1]
    unit = replace(basis, positions=marks[:, :, JOINT])
    vars(unit)["marks"] = marks  # a cached property: as if it had been worked out
    centre = body_centre(unit)
    return None if centre is None else centre[:, 0].reshape(count, 2)
