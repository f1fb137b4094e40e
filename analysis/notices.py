# SPDX-License-Identifier: GPL-3.0-or-later
"""What was declared for a clip and is of no use to its check: sentences for people.

None of it stops a check, nor stands in its JSON, which holds answers: it goes where warnings go.
"""

from collections.abc import Sequence

from .basis import Basis
from .declared import is_there
from .meta import Event, Prop
from .parts import label, split_part
from .words import count_text, frame_text, frames_text

# Where a sampler leaves sentences about declared events that it could not read.
UNREAD_EVENTS = "unread_events"
# Of a list that is all wrong, more of them would tell nothing new.
_MOST = 3


def notices_of(basis: Basis) -> tuple[str, ...]:
    """One sentence each: what was found, what was expected, what to do."""
    unread = basis.clip.meta.extra.get(UNREAD_EVENTS)
    told = [each for each in unread if isinstance(each, str)] if isinstance(unread, list) else []
    told += _outside(basis)
    told += _of_no_part(basis)
    told += [_held(basis, prop) for prop in basis.clip.meta.props if _is_misheld(basis, prop)]
    return tuple(told)


def first_few(sentences: Sequence[str]) -> list[str]:
    """The first sentences; of more, how many there are besides."""
    more = len(sentences) - _MOST
    if more < 1:
        return list(sentences)
    return [*sentences[:_MOST], f"{more} more {'is' if more == 1 else 'are'} as wrong."]


def _outside(basis: Basis) -> list[str]:
    """Events that no checked frame touches, in one sentence."""
    frames = basis.clip.frames
    first, last, step = float(frames[0]), float(frames[-1]), float(frames[1] - frames[0])
    # They reach a frame beyond their own, see `declared`.
    events = [
        event
        for event in basis.clip.meta.events
        if event.frames[1] < first - step or event.frames[0] > last + step
    ]
    if not events:
        return []
    one = len(events) == 1
    listed = ", ".join(_event(event) for event in events[:_MOST])
    more = f" and {count_text(len(events) - _MOST, 'other')}" if len(events) > _MOST else ""
    return [
        f"The declared {'event' if one else 'events'} {listed}{more} {'lies' if one else 'lie'} "
        f"outside of what was checked, expected frames from {frame_text(first)} to "
        f"{frame_text(last)}: "
        f"nothing is excused by {'it' if one else 'them'}; correct {'its' if one else 'their'} "
        "frames, or check the range that holds them."
    ]


def _of_no_part(basis: Basis) -> list[str]:
    """Events on a part that the figure lacks."""
    parts = [body.part for body in basis.bodies if body.part is not None]
    expected = "one of its parts" if parts else "none, since none of its parts is known"
    mend = "name one of them" if parts else "leave the part out, for the whole figure"
    return first_few(
        [
            f"The declared event {_event(event)} is on {event.part}, which {_name(basis)} does "
            f"not have, expected {expected}: nothing is excused by it; {mend}."
            for event in basis.clip.meta.events
            if not is_there(basis, event)
        ]
    )


def _is_misheld(basis: Basis, prop: Prop) -> bool:
    return prop.held_by is not None and basis.body(prop.held_by) is None


def _held(basis: Basis, prop: Prop) -> str:
    hands = [body.part for body in basis.bodies if split_part(body.part or "")[0] == "hand"]
    return (
        f"meta.props says that {prop.name!r} is held by {prop.held_by!r}, which {_name(basis)} "
        f"does not have, expected one of its parts, such as {hands[0] if hands else 'hand.R'}: "
        "what holds it is taken from the joint that it hangs on; name the part that holds it."
    )


def _event(event: Event) -> str:
    """`(hit, frames 20 to 24, left hand)`."""
    whom = "whole body" if event.part is None else label(event.part)
    return f"({event.kind}, {frames_text(*event.frames)}, {whom})"


def _name(basis: Basis) -> str:
    return basis.clip.meta.name or "the figure"
