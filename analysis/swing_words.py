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


@dataclass(frozen=True, eq=False)
class Swung:
    """body; is_body: whether it is what leads; turns, the worst of them and the push that takes;
    span: samples of the range; least: the limit on the share."""

    body: int
    is_body: bool
    turns: tuple[Turn, ...]
    worst: Turn
    push: Push | None
    span: tuple[int, int]
    least: float


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
        visible_m=max(turn.off_m for turn in swung.turns),
        step_m=worst.step_m,
        says=_says(places, swung),
        suggestion=Suggestion(_advice(basis, swung), frame=float(basis.frames[peak])),
    )


def _says(places: Places, swung: Swung) -> str:
    frames = [places.frame(turn.at) for turn in swung.turns]
    turns = f"turn on frame {frames[0]}" if len(frames) == 1 else f"turns on {_listed(frames)}"
    how = "rocks to the side and back, and" if swung.is_body else "swings and"
    return (
        f"The {{who}} {how} does not slow at its {turns}: {100.0 * swung.worst.share:.0f} % of the "
        "time is near the extremes (even spacing has 25 %, eased swings have 33 % or more)"
        f"{_push_text(swung.push)}."
    )


def _listed(frames: list[str]) -> str:
    """`frames 12, 20 and 28`; of many the first and the last."""
    if len(frames) > 4:
        return f"frames {frames[0]} to {frames[-1]}"
    return f"frames {', '.join(frames[:-1])} and {frames[-1]}"


def _push_text(push: Push | None) -> str:
    if push is None or push.needed < CLEARLY * push.given:
        return ""
    if push.outside_m is None:
        return f"; it turns at {push.needed:.1f} g, and no foot outside of it pushes it back"
    return (
        f"; it turns at {push.needed:.1f} g, and a foot {size_text(push.outside_m)} outside of it "
        f"pushes {push.given:{'.1f' if push.given >= 0.1 else '.2f'}} g"
    )


def _advice(basis: Basis, swung: Swung) -> str:
    worst = swung.worst
    steps = 0.5 * (worst.last - worst.first)
    beside = 0.5 * (1.0 - np.cos(np.pi / steps)) * worst.metres
    now = worst.metres / steps
    to_story = basis.height.to_story
    leg = " The leg must first stop the body, then push it back." if swung.is_body else ""
    return (
        "Ease into the extremes and out of them: on the frames beside each "
        f"{size_text(beside * to_story)} from it, not {size_text(now * to_story)}, and faster "
        f"between.{leg}"
    )
