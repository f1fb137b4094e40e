# SPDX-License-Identifier: GPL-3.0-or-later
"""Which body of a limb moves a point that is judged for where it goes: what sticks or stops as an
eye sees it, at a hand, mostly hangs on the turns of the arm.

A first guess, from the motion alone and at once; the search for causes tries keys and knows more.
"""

import numpy as np
from numpy.typing import NDArray

from . import quaternions as quat
from .basis import Basis
from .finding import Finding
from .parts import limb_of

Floats = NDArray[np.float64]

# These name the point that an eye follows, and not the body whose own motion is off.
OF_A_POINT = ("hitch", "hard_stop", "hard_start")


def mover_of(basis: Basis, finding: Finding) -> int | None:
    """The body whose own turn changes at once by so much that it breaks the way of the finding's
    part most; None where the finding names the body to mend, or a part that is in no limb."""
    limb = limb_of(finding.owner or "") if finding.check in OF_A_POINT else ()
    part = basis.body(finding.owner or "") if limb else None
    if part is None:
        return None
    chain = [part, *(n for n in basis.ancestors(part) if basis.bodies[n].part in limb)]
    first, last = (int(np.argmin(np.abs(basis.frames - frame))) for frame in finding.frames)
    at = slice(max(first - 2, 0), last + 3)
    return max(chain, key=lambda body: _break(basis, body, part, at))


def _break(basis: Basis, body: int, part: int, at: slice) -> float:
    """Metres by which a body's own turn changes the step of a part's tip from one to the next."""
    turns = basis.own_rotations[at]
    steps = quat.multiply(quat.conjugate(turns[:-1, body]), turns[1:, body])
    ways = 2.0 * steps[:, 1:] * np.sign(steps[:, :1])  # small turns, in radians
    lever = np.linalg.norm(basis.marks[at, part, 1] - basis.positions[at, body], axis=1)
    changes = np.linalg.norm(np.diff(ways, axis=0), axis=1) * lever[1:-1]
    return float(np.nanmax(changes, initial=0.0))
