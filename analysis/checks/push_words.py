# SPDX-License-Identifier: GPL-3.0-or-later
"""What is said of a push."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..basis.contacts import runs
from ..basis.flights import Flight
from ..event_forces import Given
from ..evidence import RawEvent, Suggestion
from ..looped import Places
from ..shoves import Shove
from ..unjudged_flights import held_text
from ..why_left import BRIEF, ELSEWHERE, FLIGHT, LASTS, LIMBS, PRESSES, RISES, STOPPED, Reason
from ..words import frame_text, frames_text, over_frames, speed_text
from .push_advice import way_text

Bools = NDArray[np.bool_]

# So many in a shot are how it moves.
HABIT = 4
# So many declared events are told one by one; under so many body weights there is nothing to tell.
MOST_GIVEN, TELLS_NOTHING = 3, 0.05


def push_event(basis: Basis, shove: Shove, advice: str, *, in_air: bool) -> RawEvent:
    """A push as an event of the body that leads.

    Its suggestion's offset leads back by what the push has moved the body at its end: against
    the push, whose direction it gives.
    """
    first, last = float(basis.frames[shove.first]), float(basis.frames[shove.last])
    way = way_text(basis, shove.force, shove.peak)
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
            advice,
            frame=float(basis.frames[shove.peak]),
            offset=-moved * shove.force / max(shove.size, 1e-9),
        ),
    )


def good_text(most: float, apart: Sequence[str] = ()) -> str:
    """What holds where nothing is wrong.

    most    body weights that are left at most
    apart   frames that are not judged, in words
    """
    what = f"Apart from {' and '.join(apart).removesuffix(',')}, what" if apart else "What"
    if most < 0.05:
        return f"{what} touches the ground can give all that moves the body: no push, no pull."
    return (
        f"{what} touches the ground can give what moves the body, but for {most:.2f} body weights "
        "at most: no push, no pull."
    )


def given_text(given: Sequence[Given]) -> str:
    """What declared events give, in a sentence; empty where none can be told."""
    told = [_given(each) for each in given[:MOST_GIVEN]]
    more = len(given) - MOST_GIVEN
    if more > 0:
        told.append(f"{more} more declared {'event is' if more == 1 else 'events are'} measured.")
    return " ".join(told)


def _given(each: Given) -> str:
    on = frames_text(*each.event.frames)
    if each.body_weights < TELLS_NOTHING:
        return f"On {on} the declared {each.event.kind} gives the body nothing to speak of."
    return (
        f"On {on} the declared {each.event.kind} gives the body {each.body_weights:.1f} body "
        f"weights, which changes its speed by {speed_text(each.speed)}."
    )


def why_untold(basis: Basis, at: int, left: float, reasons: Sequence[Reason]) -> str:
    """Why so many body weights (at sample `at`) that no contact gives are no finding."""
    why = "; and ".join(_reason(basis, at, each) for each in reasons)
    return (
        f"at frame {frame_text(float(basis.frames[at]))} the body moves by {left:.1f} body weights "
        f"more than its contacts can give, but {why}"
    )


def _reason(basis: Basis, at: int, reason: Reason) -> str:
    """One of the reasons, in words."""
    there = frame_text(float(basis.frames[reason.at]))
    much = f"{reason.left:.1f}"
    when = "come before it" if reason.at < at else "follow"
    return {
        STOPPED: (
            f"{much} the other way {when} at frame {there}, as of a body that throws itself or "
            "steps into it"
        ),
        LASTS: (
            f"that lasts (frame {there} has {much}), and a push comes and goes within a quarter of "
            "a second"
        ),
        ELSEWHERE: (
            f"frame {there} has {much} as well, and a push stands alone in its shot: mend that "
            "first, or declare what pushes there, then this one is judged"
        ),
        FLIGHT: (
            f"frame {there}, where its feet push off or land, has {much}, which is usual there: "
            "what is no larger elsewhere is not told from it"
        ),
        RISES: "it rises off the ground there",
        BRIEF: "on that frame alone, and a push acts on two or more",
        PRESSES: (
            f"its feet press with {much} body weights there, and where they do is known to some "
            "centimetres only"
        ),
        LIMBS: "its limbs swing hard there, and what they weigh is known by a table",
    }[reason.why]


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
