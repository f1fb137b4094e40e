# SPDX-License-Identifier: GPL-3.0-or-later
"""What is said of a push."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..basis.contacts import runs
from ..basis.flights import Flight
from ..evidence import RawEvent, Suggestion
from ..free_fall import GRAVITY
from ..looped import Places
from ..shoves import Shove
from ..unjudged_flights import held_text
from ..words import direction_text, frame_text, frames_text, over_frames, speed_text

Bools = NDArray[np.bool_]

# So many in a shot are how it moves.
HABIT = 4
# What a standing foot gives sideways, in body weights: it presses 15 cm beside a body that is 1 m
# up (statics; the measures are common practice, no source).
FOOT_GIVES = 0.15


def push_event(basis: Basis, shove: Shove, *, in_air: bool) -> RawEvent:
    """A push as an event of the body that leads.

    Its suggestion's offset leads back by what the push has moved the body at its end: against
    the push, whose direction it gives.
    """
    first, last = float(basis.frames[shove.first]), float(basis.frames[shove.last])
    way = direction_text(shove.force, basis.forward[shove.peak])
    lasts = (shove.last - shove.first + 1) * basis.dt_s
    moved = 0.5 * shove.speed * lasts / basis.height.to_story
    why = "nothing touches it there" if in_air else "more than its contacts can give"
    return RawEvent(
        check="push",
        body=basis.lead,
        first=shove.first,
        last=shove.last,
        peak=shove.peak,
        amount=shove.size,
        limit=shove.limit,
        unit="body weights",
        visible_m=moved,
        step_m=0.0,
        says=(
            f"The {{who}} moves as if pushed {way} {over_frames(first, last)}: by {shove.size:.1f} "
            f"body weights, which changes its speed by {speed_text(shove.speed)}: {why}."
        ),
        suggestion=Suggestion(
            _advice(basis, shove, first, last, in_air=in_air),
            frame=float(basis.frames[shove.peak]),
            offset=-moved * shove.force / max(shove.size, 1e-9),
        ),
    )


def _advice(basis: Basis, shove: Shove, first: float, last: float, *, in_air: bool) -> str:
    """Ways out, in frames: to spread it, to step, to declare it."""
    step = float(basis.frames[1] - basis.frames[0])
    declare = f"declare what pushes it on {frames_text(first, last)} as an event"
    if in_air:
        return f"Let the body go on evenly over the floor until it lands, or {declare}."
    needs = int(np.ceil(shove.speed / (FOOT_GIVES * GRAVITY) / basis.dt_s * step))
    has = round(last - first + step)
    if needs <= has:
        return f"Let a foot step to where it can give that, or {declare}."
    return (
        f"A standing foot gives about {FOOT_GIVES:.2f} body weights: spread this change over "
        f"{needs} frames, it has {has}, let a foot step into it, or {declare}."
    )


def good_text(most: float, apart: str = "") -> str:
    """What holds where nothing is wrong.

    most    body weights that are left at most
    apart   frames that are not judged, in words
    """
    what = f"Apart from {apart}, what" if apart else "What"
    if most < 0.05:
        return f"{what} touches the ground can give all that moves the body: no push, no pull."
    return (
        f"{what} touches the ground can give what moves the body, but for {most:.2f} body weights "
        "at most: no push, no pull."
    )


def why_untold(basis: Basis, at: int, left: float) -> str:
    """Why so many body weights (at sample `at`) that no contact gives are no finding."""
    return (
        f"at frame {frame_text(float(basis.frames[at]))} the body moves by {left:.1f} body weights "
        "more than its contacts can give, but not as a push does: it lasts, comes again in the "
        "shot, or is stopped again by the body itself"
    )


def habit_text(basis: Basis, found: Sequence[Shove]) -> str:
    """One sentence for a shot that moves like that throughout."""
    sizes = [each.size for each in found]
    at = ", ".join(frame_text(basis.frames[each.peak]) for each in found[:HABIT])
    more = " and more" if len(found) > HABIT else ""
    return (
        f"The body moves faster than its feet can make it, {len(found)} times (frames {at}{more}), "
        f"by {min(sizes):.1f} to {max(sizes):.1f} body weights: a style, not a fault."
    )


def why_partly(
    basis: Basis,
    held: Sequence[Flight],
    unsure: Bools,
    hands: Bools,
    *,
    nothing: bool,
    short: bool,
) -> str:
    """Why a part of the range, or all of it, is not judged."""
    if held:
        return held_text(Places(basis), held)
    if unsure.any():
        told = _first_run(basis, unsure)
        return f"on {told} the figure holds on to a support, which may pull it any way"
    if hands.any():
        return f"on {_first_run(basis, hands)} hands alone bear the figure: how they hold is unsure"
    if nothing and short:
        return "the figure is in the air throughout, in flights under .28 s: too short to tell"
    return "" if not nothing else "nothing is known long enough of what bears the figure"


def _first_run(basis: Basis, state: Bools) -> str:
    """`frames 12 to 20`: the first stretch on which something holds."""
    first, last = runs(state)[0]
    return frames_text(float(basis.frames[first]), float(basis.frames[last]))
