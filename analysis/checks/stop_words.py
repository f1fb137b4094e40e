# SPDX-License-Identifier: GPL-3.0-or-later
"""What `hard_stop` and `hard_start` say."""

from ..basis import Basis
from ..evidence import Suggestion
from ..stop_events import DeadStop
from ..words import count_text, frame_text

# An ease takes this long, 4 frames at 24 a second; common practice, no source.
EASE_S, LEAST_EASE = 1.0 / 6.0, 3


def stop_words(basis: Basis, stop: DeadStop, *, starts: bool) -> str:
    """The sentence for what happened."""
    at = frame_text(basis.frames[stop.at])
    step = basis.size_text(stop.speed * basis.dt_s)
    against = ", against what carries it" if stop.carried else ""
    if starts:
        return (
            f"The {{who}} starts at full speed at frame {at}{against}: from rest to {step} a frame."
        )
    return f"The {{who}} stops dead at frame {at}{against}: from {step} a frame to rest."


def advice(basis: Basis, stop: DeadStop, *, starts: bool) -> Suggestion:
    """How many frames of ease, and where the point would be with it.

    Speed that changes evenly over the ease, half of it on either side of the stop, leaves the
    point an eighth of what it would go in that time short of its rest.
    """
    frames = max(round(EASE_S / basis.dt_s), LEAST_EASE)
    first = max(stop.at - frames // 2, 0)
    last = min(first + frames, len(basis.frames) - 1)
    a, b = (frame_text(basis.frames[at]) for at in (first, last))
    over = f"over {count_text(frames, 'frame')}, {a} to {b}"
    if starts:
        text = f"Let {{it}} gather speed {over}, or go back a little before it sets off."
    else:
        text = f"Let {{it}} slow down {over}, or overshoot a little and settle."
    if stop.carried:
        return Suggestion(text, frame=float(basis.frames[stop.at]))
    offset = stop.way * (frames / 8.0) * (1.0 if starts else -1.0)
    return Suggestion(
        text,
        frame=float(basis.frames[stop.at]),
        position=basis.marks[stop.at, stop.body, stop.mark] + offset,
        offset=offset,
    )
