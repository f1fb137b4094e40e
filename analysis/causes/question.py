# SPDX-License-Identifier: GPL-3.0-or-later
"""What makes this, here? The user points at a part and frames; no check has to find anything.

The same search answers it as for a finding. What a finding's drop would say is not known then: what
counts is how odd a key is and how much of the part's jerk goes without its fault.
"""

from collections.abc import Sequence

import numpy as np

from ..basis import Basis, Body, build_basis
from ..cause import Cause
from ..errors import PlumblineError
from ..pipeline import Examination
from ..trials import Posed, Trial, patched
from ..words import frame_text
from .again import Outcome
from .asking import Plan, planned
from .candidates import candidates
from .effect import shares
from .groups import groups_of
from .places import Place
from .pose_keys import PoseKeys
from .rank import causes_of_places

# Of the joints that a control moves, the first that goes this share as far as the furthest.
FOLLOWS = 0.9


def ask(examination: Examination, joint: str, first_frame: float, last_frame: float) -> Plan:
    """Plan what to ask the rig about a part, or a followed joint, over scene frames.

    The plan has one place, without a finding. Raises PlumblineError for a part or a joint that is
    not followed, and for frames outside of the shot.
    """
    basis = examination.basis
    place = _place(basis, joint, first_frame, last_frame)
    groups = groups_of(basis.clip)
    found = candidates(basis, groups, PoseKeys(groups), place)
    return planned(basis, [(place, found)], ())


def asked_outcome(examination: Examination, trial: Trial, posed: Posed) -> Outcome:
    """Where the figure stands with a trial answered; no check is asked of it."""
    basis = examination.basis
    return Outcome(build_basis(patched(basis.clip, trial, posed), basis.settings), ())


def weigh_asked(
    examination: Examination, plan: Plan, outcomes: Sequence[Outcome | None]
) -> tuple[Cause, ...]:
    """The causes of what was asked, the largest share first; shares add up to one.

    outcomes   one for each of the plan's trials; None for what was not, or could not be, posed
    """
    (causes,) = causes_of_places(examination, plan, outcomes)
    return causes


def followed_body(basis: Basis, control: str, above: Sequence[str] = ()) -> Body | None:
    """The followed joint that is asked about where the user picks a control of the rig, or None.

    Itself; else the first of those that go along with it wholly; else the nearest of the bones
    `above` it, the nearest first, that is followed. The root is above everything: it is no answer.
    """
    judged = [n for n, body in enumerate(basis.bodies) if body.judged]
    followed = {basis.bodies[n].name: basis.bodies[n] for n in reversed(judged)}
    if control in followed:
        return followed[control]
    drives = {name for c in basis.clip.meta.curves if c.control == control for name in c.drives}
    along = shares(basis, control, tuple(drives))
    most = max((along[n] for n in judged), default=0.0)
    if most > 0.0:
        return next(basis.bodies[n] for n in judged if along[n] >= FOLLOWS * most)
    bent = [basis.bodies[n] for n in judged if basis.bodies[n].name in drives]
    near = [followed[name] for name in above if name in followed]
    return next(iter([*bent, *(body for body in near if body.part != "root")]), None)


def _place(basis: Basis, joint: str, first_frame: float, last_frame: float) -> Place:
    named = [n for n, body in enumerate(basis.bodies) if joint in (body.title, body.name)]
    if not named:
        known = ", ".join(body.title for body in basis.bodies)
        raise PlumblineError(
            f"{joint!r} is not followed, expected one of {known}: ask about one of these."
        )
    begin, end = float(basis.frames[0]), float(basis.frames[-1])
    if last_frame < begin or first_frame > end or last_frame < first_frame:
        raise PlumblineError(
            f"frames {frame_text(first_frame)} to {frame_text(last_frame)} are not in the shot, "
            f"expected some from {frame_text(begin)} to {frame_text(end)}: ask about these."
        )
    first, last = (int(np.argmin(np.abs(basis.frames - f))) for f in (first_frame, last_frame))
    return Place(None, named[0], first, last)
