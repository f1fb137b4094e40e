# SPDX-License-Identifier: GPL-3.0-or-later
"""What the animator declared to happen from outside: hits, pulls, catches, loads, freezes.

An event reaches a frame beyond its own on either side. One without a part is about the whole
figure. One on a part is about its limb, what hangs on it, and the paths of what carries it, which
gives way; but not about what the whole figure does (`of_figure`) or the whole trunk (`of_trunk`),
unless it is on what carries that. One on a part that the figure lacks is about nothing: `notices`
tells it.
"""

from collections.abc import Callable

from .basis import Basis
from .meta import Event
from .parts import TRUNK, limb_of, split_part

# What carries everything, and what a trunk bends in: neck and head only hang on it.
_CARRIERS = ("mover", "root", "pelvis")
_BENDS = tuple(kind for kind in TRUNK if kind not in ("neck", "head"))
# A weight that is carried pulls steadily: it makes nothing jump.
_STEADY = "load"


def is_there(basis: Basis, event: Event) -> bool:
    """Whether there is what an event is on: a part of the figure, or the camera."""
    if event.part == "camera":
        return basis.clip.camera_pose is not None
    return event.part is None or basis.has_part(event.part)


def is_declared(basis: Basis, body: int, first: int, last: int) -> bool:
    """Whether samples first..last of a body touch a declared event that is about it."""
    return _any(basis, first, last, lambda event: _about(basis, event, body))


def is_struck(basis: Basis, body: int, first: int, last: int) -> bool:
    """Whether they touch one that can make the body jump: a load that is carried cannot."""
    return _any(
        basis, first, last, lambda event: event.kind != _STEADY and _about(basis, event, body)
    )


def of_figure(basis: Basis, first: int, last: int) -> bool:
    """Whether samples first..last touch a declared event that is about the whole figure: one
    without a part, or on what carries all of it. A hit on the head stops no stride."""
    return _any(basis, first, last, lambda event: _is_on(basis, event, _CARRIERS))


def of_trunk(basis: Basis, first: int, last: int) -> bool:
    """Whether they touch one that is about the trunk as a whole, from the root to the chest."""
    return _any(basis, first, last, lambda event: _is_on(basis, event, _BENDS))


def _any(basis: Basis, first: int, last: int, about: Callable[[Event], bool]) -> bool:
    step = basis.frames[1] - basis.frames[0] if len(basis.frames) > 1 else 1.0
    start, stop = basis.frames[first] - step, basis.frames[last] + step
    return any(
        event.frames[0] <= stop and event.frames[1] >= start and about(event)
        for event in basis.clip.meta.events
    )


def _is_on(basis: Basis, event: Event, kinds: tuple[str, ...]) -> bool:
    if event.part is None:
        return True
    carries = split_part(event.part)[0] in kinds or basis.body(event.part) == basis.lead
    return carries and basis.has_part(event.part)


def _about(basis: Basis, event: Event, body: int) -> bool:
    if event.part is None:
        return True
    if not basis.has_part(event.part):
        return False
    if basis.clip.is_ball:  # it carries the figure, and gives way to what hits that
        return True
    part = basis.bodies[body].part
    if part is None or event.part == part or event.part in limb_of(part):
        return True
    there = basis.body(event.part)
    return there is not None and (there in basis.ancestors(body) or body in basis.ancestors(there))
