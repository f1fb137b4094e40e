# SPDX-License-Identifier: GPL-3.0-or-later
"""What `stuck_turn` says: a sentence for what happened, and one for what to do."""

from collections.abc import Mapping
from dataclasses import dataclass

from ..basis import Basis
from ..parts import label, split_part
from ..words import count_text, frame_text


@dataclass(frozen=True)
class Told:
    """A body stands from sample `first` to `last` and has caught up at `end`.

    frame   the body whose axes it stands in, None for the world; own: what it hangs on
    burst   degrees that it catches up
    """

    body: int
    frame: int | None
    own: bool
    first: int
    last: int
    end: int
    burst: float


def told_in_words(basis: Basis, told: Told) -> tuple[str, str]:
    """The sentence for what happened, and one for what to do."""
    a, b, c = (frame_text(basis.frames[at]) for at in (told.first, told.last, told.end))
    says = (
        f"The {{who}} keeps its orientation {_where(basis, told)} from frame {a} to {b} and then "
        f"turns {told.burst:.0f} degrees by frame {c}."
    )
    text = f"Let {{it}} turn evenly from frame {a} to {c}: delete the flat keys, or ease them"
    if told.frame is None:
        return says, f"{text}, or look for what holds it in the world there."
    return says, f"{text}."


def _where(basis: Basis, told: Told) -> str:
    if told.frame is None:
        return "in the world"
    return f"{'on' if told.own else 'against'} the {_name(basis, told.frame)}"


def habit_text(basis: Basis, habits: Mapping[int, int]) -> str:
    """One sentence for the bodies that stick all along, and how often; empty for none."""
    if not habits:
        return ""
    parts = [f"the {_name(basis, body)} ({count_text(n, 'time')})" for body, n in habits.items()]
    named = parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"
    verb = "turns" if len(parts) == 1 else "turn"
    return f"{named[0].upper()}{named[1:]} {verb} in jerks all along: taken for a style."


def _name(basis: Basis, body: int) -> str:
    each = basis.bodies[body]
    named = each.part is not None and split_part(each.part)[0] != "prop"
    return label(each.part) if named and each.part else each.name
