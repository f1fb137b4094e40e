# SPDX-License-Identifier: GPL-3.0-or-later
"""The words of a swing that does not slow at its turns."""

from dataclasses import dataclass

import numpy as np

from .basis import Basis
from .evidence import RawEvent, Suggestion
from .looped import Places
from .swing_push import Push
from .swing_shape import SINE_SHARE, Turn
from .words import size_text

UNIT = "% of the swing"
# A turn is told to need more than there is from so many times of it on.
CLEARLY = 1.5
# Nobody sets a key to less than a millimetre (story).
LEAST_TOLD_M = 0.001


@dataclass(frozen=True, eq=False)
class Swung:
    """body; is_body: whether it is what leads; turns, the worst of them and the push that takes;
    span: samples of the range; least: the limit on the share; led:
    whether it comes out of a stand or goes into one; off_m: how far it is off a sine;
    way_m, way_frames: its furthest way, and how long that takes."""

    body: int
    is_body: bool
    turns: tuple[Turn, ...]
    worst: Turn
    push: Push | None
    span: tuple[int, int]
    least: float
    led: bool
    off_m: float
    way_m: float
    way_frames: int


def swing_event(basis: Basis, places: Places, swung: Swung) -> RawEvent:
    """The event of one swing."""
    worst, peak = swung.worst, places.sample(swung.worst.at)
    factor = basis.settings.factor("hang_time")
    return RawEvent(
        check="hang_time",
        body=swung.body,
        first=swung.span[0],
        last=swung.span[1],
        peak=peak,
        amount=100.0 * (SINE_SHARE - worst.share),
        limit=100.0 * factor * (SINE_SHARE - swung.least),
        unit=UNIT,
        visible_m=swung.off_m,
        step_m=worst.step_m,
        says=_says(basis, places, swung),
        suggestion=Suggestion(_advice(basis, swung), frame=float(basis.frames[peak])),
    )


def _says(basis: Basis, places: Places, swung: Swung) -> str:
    frames = [places.frame(turn.at) for turn in swung.turns]
    turns = f"turn on frame {frames[0]}" if len(frames) == 1 else f"turns on {_listed(frames)}"
    how = "rocks to the side and back, and" if swung.is_body else "swings and"
    off = size_text(swung.off_m * basis.height.to_story)
    return (
        f"The {{who}} {how} does not slow at its {turns}: {100.0 * swung.worst.share:.0f} % of the "
        "time is near the extremes (even spacing has 25 %, eased swings have 33 % or more), "
        f"which puts it up to {off} off an eased swing{_push_text(swung.push)}."
    )


def _listed(frames: list[str]) -> str:
    """`frames 12, 20 and 28`; of many the first and the last."""
    if len(frames) > 4:
        return f"frames {frames[0]} to {frames[-1]}"
    return f"frames {', '.join(frames[:-1])} and {frames[-1]}"


def _push_text(push: Push | None) -> str:
    if push is None or push.needed < CLEARLY * push.given:
        return ""
    takes = (
        f"; to turn so sharply it must be pushed sideways with {push.needed:.1f} times its weight"
    )
    if push.outside_m is None:
        return f"{takes}, and no foot stands outside of it to push it back"
    return (
        f"{takes}, and a foot that stands {size_text(push.outside_m)} outside of it can give "
        f"{push.given:{'.1f' if push.given >= 0.1 else '.2f'}} times"
    )


def _advice(basis: Basis, swung: Swung) -> str:
    """Where a sine has the body beside its extremes, and where a third of the way's frames later:
    a quarter of the way from there."""
    whole = swung.way_m * basis.height.to_story

    def far(frames: int) -> str:
        eased = 0.5 * (1.0 - np.cos(np.pi * frames / swung.way_frames)) * whole
        even = whole * frames / swung.way_frames
        near = size_text(eased) if eased >= LEAST_TOLD_M else f"under {size_text(LEAST_TOLD_M)}"
        return f"{near} from it (evenly spaced {size_text(even)})"

    third = round(swung.way_frames / 3)
    later = f"; {third} frames before and after, {far(third)}" if third > 1 else ""
    stand = " Ease out of the stand and into it as well." if swung.led else ""
    leg = " The leg must first stop the body, then push it back." if swung.is_body else ""
    return (
        f"Ease into each extreme and out of it: 1 frame before and after, be {far(1)}{later}; "
        f"go faster between the extremes.{stand}{leg}"
    )
