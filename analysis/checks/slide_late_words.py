# SPDX-License-Identifier: GPL-3.0-or-later
"""What `slide` says of a figure that goes along with its support some frames late or early."""

import numpy as np

from ..evidence import RawEvent, Suggestion
from ..late import Late
from ..looped import Places
from ..words import direction_text, size_text


def late_event(places: Places, late: Late) -> RawEvent:
    """One event of all that a shift in time makes, told where the figure is furthest off."""
    basis = places.basis
    first, last, at = late.span(places)
    off, span = places.home(late.off[at], at), places.span(first, last, at)
    size = float(np.linalg.norm(off))
    ahead, to_story = basis.forward[places.sample(at)], basis.height.to_story
    where, back = (direction_text(each, ahead) for each in (off, -off))
    short, place, ground = size_text(size * to_story), "", basis.ground.name(late.box)
    when, shift = "", f"at frame {places.frame(at)} they belong {short} {back}."
    if late.samples is not None:
        frames, is_late = _frames(places, late.samples), late.samples > 0.0
        when, place = (" late", "behind, ") if is_late else (" early", "ahead, ")
        when = f", but {frames}{when}"
        shift = (
            f"shift their travel {frames} {'earlier' if is_late else 'later'}, which puts them "
            f"{short} {back} at frame {places.frame(at)}."
        )
    return RawEvent(
        check="slide",
        body=basis.lead,
        first=span[0],
        last=span[1],
        peak=places.sample(at),
        amount=size * to_story * 100.0,
        limit=late.limit * to_story * 100.0,
        unit="cm",
        visible_m=size,
        step_m=0.0,
        says=(
            f"Both feet slip over {ground}, frames {places.text(first, last)}: it moves, and the "
            f"figure does not go along with it in time{when}: at frame "
            f"{places.frame(at)} it is {short} {place}too far {where}."
        ),
        suggestion=Suggestion(
            f"Let body and feet go along with {ground}: {shift}",
            frame=places.number(at),
            offset=-off,
        ),
    )


def _frames(places: Places, samples: float) -> str:
    """So many frames of the scene, with a tenth where there is one."""
    frames = abs(samples) * float(places.basis.frames[1] - places.basis.frames[0])
    text = f"{frames:.1f}".removesuffix(".0")
    return f"{text} frame" if text == "1" else f"{text} frames"
