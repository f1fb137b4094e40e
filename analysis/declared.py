# SPDX-License-Identifier: GPL-3.0-or-later
"""What the animator declared to happen from outside: hits, pulls, catches, loads, freezes."""

from .basis import Basis
from .meta import Event
from .parts import limb_of, split_part


def is_declared(basis: Basis, body: int, first: int, last: int) -> bool:
    """Whether samples first..last of a body touch a declared event that is about it.

    An event reaches a frame beyond its own on either side. One without a part is about the
    whole figure; one on a part is about its limb, about what hangs on it and what carries it.
    """
    step = basis.frames[1] - basis.frames[0] if len(basis.frames) > 1 else 1.0
    start, stop = basis.frames[first] - step, basis.frames[last] + step
    return any(
        event.frames[0] <= stop and event.frames[1] >= start and _about(basis, event, body)
        for event in basis.clip.meta.events
    )


def _about(basis: Basis, event: Event, body: int) -> bool:
    if event.part is None:
        return True
    part = basis.bodies[body].part
    if part is None or event.part == part or event.part in limb_of(part):
        return True
    there = basis.body(event.part)
    if there is None:
        # A prop that is no body, or a part that the rig lacks: better quiet than wrong.
        return split_part(event.part)[0] != "prop"
    return there in basis.ancestors(body) or body in basis.ancestors(there)
