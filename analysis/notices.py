# SPDX-License-Identifier: GPL-3.0-or-later
"""What was declared for a clip: sentences for people on what was used, and what was of no use.

What was of no use stops no check, nor does it stand in its JSON, which holds answers: it goes where
warnings go. What was used stands there, beside the answers that it changes.
"""

from collections.abc import Sequence

from .basis import Basis
from .basis.loads import uncounted
from .declared import is_there
from .meta import Event, Prop
from .parts import label, split_part
from .plain_text import one_line
from .words import capital, count_text, frame_text, frames_text

# Where a sampler leaves sentences about what was declared and could not be used: events (and what
# else stands on objects), masses, corrected parts; and about strips that it could not read.
UNREAD_EVENTS, UNREAD_MASSES, UNREAD_STRIPS = "unread_events", "unread_masses", "unread_strips"
UNREAD_PARTS = "unread_parts"
# The same about cameras whose picture is taken otherwise than it is.
UNREAD_CAMERAS = "unread_cameras"
_UNREAD = (UNREAD_EVENTS, UNREAD_MASSES, UNREAD_PARTS, UNREAD_STRIPS)
# Of a list that is all wrong, more of them would tell nothing new.
_MOST = 3


def notices_of(basis: Basis) -> tuple[str, ...]:
    """One sentence each: what was found, what was expected, what to do."""
    told = [each for key in _UNREAD for each in _unread(basis, key)]
    told += _unread(basis, UNREAD_CAMERAS) if basis.settings.space == "camera" else []
    told += _misspelt(basis)
    told += _outside(basis)
    told += _of_no_part(basis)
    told += [_held(basis, prop) for prop in basis.clip.meta.props if _is_misheld(basis, prop)]
    told += uncounted(basis)
    return tuple(told)


def _unread(basis: Basis, key: str) -> list[str]:
    told = basis.clip.meta.extra.get(key)
    return [each for each in told if isinstance(each, str)] if isinstance(told, list) else []


def _misspelt(basis: Basis) -> list[str]:
    """Keys of the clip's meta that look like one that is read; others are somebody's own."""
    return first_few(
        [
            f"meta has the key {one_line(name)!r}, expected {key!r}: it is not read; rename it, or "
            "leave it where it is a note of your own."
            for name, key in basis.clip.meta.misspelt().items()
        ]
    )


def declared_text(basis: Basis) -> str:
    """One sentence on the declared events that were heeded; empty without any.

    What they excuse is no finding, yet `good` tells amounts of the whole range.
    """
    events = [
        event
        for event in dict.fromkeys(basis.clip.meta.events)
        if is_there(basis, event) and not _is_outside(basis, event)
    ]
    return f"What comes of {_listed(events)} is not blamed." if events else ""


def first_few(sentences: Sequence[str]) -> list[str]:
    """The first sentences; of more, how many there are besides."""
    more = len(sentences) - _MOST
    if more < 1:
        return list(sentences)
    return [*sentences[:_MOST], f"{more} more {'is' if more == 1 else 'are'} as wrong."]


def _is_outside(basis: Basis, event: Event) -> bool:
    """Whether no checked frame touches it; it reaches a frame beyond its own, see `declared`."""
    frames = basis.clip.frames
    step = float(frames[1] - frames[0])
    return bool(event.frames[1] < frames[0] - step or event.frames[0] > frames[-1] + step)


def _outside(basis: Basis) -> list[str]:
    """Events that no checked frame touches, in one sentence."""
    first, last = float(basis.clip.frames[0]), float(basis.clip.frames[-1])
    events = [event for event in basis.clip.meta.events if _is_outside(basis, event)]
    if not events:
        return []
    one = len(events) == 1
    return [
        f"{capital(_listed(events))} {'lies' if one else 'lie'} outside of what was checked, "
        f"expected frames from {frame_text(first)} to {frame_text(last)}: "
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


def _listed(events: Sequence[Event]) -> str:
    """`the declared events (hit, frame 20, head), (pull, frame 30, head)`."""
    listed = ", ".join(_event(event) for event in events[:_MOST])
    more = f" and {count_text(len(events) - _MOST, 'other')}" if len(events) > _MOST else ""
    return f"the declared {'event' if len(events) == 1 else 'events'} {listed}{more}"


def _event(event: Event) -> str:
    """`(hit, frames 20 to 24, left hand)`, `(hit by 'hook', frame 20, head)`."""
    whom = "whole body" if event.part is None else label(event.part)
    by = "" if event.source is None else f" by {one_line(event.source)!r}"
    return f"({event.kind}{by}, {frames_text(*event.frames)}, {whom})"


def _name(basis: Basis) -> str:
    return basis.clip.meta.name or "the figure"
