# SPDX-License-Identifier: GPL-3.0-or-later
"""What `hang_time` says of a flight: how long it is near its top, and which frames to take out."""

import numpy as np

from ..air_time import Arc
from ..basis.flights import hardly_falls
from ..evidence import RawEvent, Suggestion
from ..flight_hangs import Shape
from ..flight_standard import FACTOR, Standard
from ..free_fall import GRAVITY, fit_fall
from ..hang import FREE_SHARE
from ..looped import Places
from ..top_hold import TopHold, find_top_hold
from ..words import count_text

# What goes so far over the ground while it stands at its top (2 cm at 1.7 m) travels on.
TRAVELS_SHARE = 0.02 / 1.7


def flight_event(places: Places, shape: Shape, limit: float, standard: Standard | None) -> RawEvent:
    """The event of a flight that hangs or turns sharply; samples of the range.

    limit      the share of its time that it may be off
    standard   how the shot's flights should fall, where something tells it
    """
    flight = shape.flight
    share = f"{100.0 * shape.share:.0f} %"
    middle = flight.first + round(shape.hang.apex)
    first, last = places.span(flight.first, flight.last, middle)
    of = f" of its {shape.hang.part}" if shape.hang.part else ""
    if shape.share > FREE_SHARE:
        what = f"hangs: {share} of the time{of} near the top"
    else:
        what = f"turns sharply at the top: only {share} of the time{of} near it"
    return RawEvent(
        check="hang_time",
        body=places.basis.lead,
        first=first,
        last=last,
        peak=places.sample(middle),
        amount=100.0 * abs(shape.share - FREE_SHARE),
        limit=100.0 * limit,
        unit="% of the flight",
        visible_m=shape.off_m,
        step_m=0.0,
        says=(
            f"In the air, frames {places.text(flight.first, flight.last)}, the {{who}} {what}, "
            "where gravity gives 50 %."
        ),
        suggestion=Suggestion(_advice(places, shape, of, standard), frame=places.number(middle)),
    )


def _advice(places: Places, shape: Shape, of: str, standard: Standard | None) -> str:
    hold = _too_long(places, shape, standard) if shape.share > FREE_SHARE else None
    borne = "; or declare what bears it" if _hardly_falls(places, shape) else ""
    if hold is not None:
        return f"{_take_out(places, shape, hold)}{borne}."
    frames = _step(places) * shape.hang.samples(shape.flight.samples)
    near = f"{round(shape.share * frames)} of the {frames:.0f} frames{of} lie near the top"
    if shape.share > FREE_SHARE:
        text = "Let {it} rise and fall in one even arc, with less time at the top"
    else:
        text = "Let {it} slow down into the top and speed up out of it, with more time there"
    return f"{text}: {near}, and half of them should{borne}."


def _too_long(places: Places, shape: Shape, standard: Standard | None) -> TopHold | None:
    """The frames at the top without which a flight falls as it should; None where evening it in
    its time does that as well, or nothing does."""
    basis, flight = places.rounds_basis, shape.flight
    if basis.com is None:
        return None
    size = basis.height
    # A habit of flights of unknown size is told in scene metres.
    scale, fall = (size.to_story, standard.target) if standard else (size.to_person, GRAVITY)
    heights = basis.com[flight.first - 1 : flight.last + 2, 2] * scale
    up, down = heights.max() - heights[[0, -1]]
    evened = Arc(float(up), float(down), (len(heights) - 1) * basis.dt_s).fall
    if evened > fall / FACTOR:
        return None
    found = find_top_hold(heights[1:-1], basis.dt_s, size.scene_m * scale, fall)
    return None if found is None or _step(places) < 1.0 else found


def _take_out(places: Places, shape: Shape, hold: TopHold) -> str:
    """Which frames are too many, by their numbers; of what is on twos both of each pose."""
    step = _step(places)
    count, first = round(hold.samples * step), shape.flight.first + hold.first
    last = places.number(shape.flight.first + hold.last) + step - 1.0
    if len(places.spans(first, shape.flight.first + hold.last)) > 1:
        frames = places.text(first, shape.flight.first + hold.last)
    else:
        frames = f"{places.frame(first)} to {last:g}"
    nearer = _travels(places, shape, hold)
    closer = f" and land {nearer} less far, as it goes so far on them" if nearer else ""
    return (
        f"Take out the {count_text(count, 'frame')} at the top (frames {frames}){closer}: the "
        "rest falls as it should"
    )


def _travels(places: Places, shape: Shape, hold: TopHold) -> str:
    """How far it goes over the ground on the frames that are too many; empty: it stands there."""
    basis, first = places.rounds_basis, shape.flight.first + hold.first
    if basis.com is None:
        return ""
    way = basis.com[first + hold.samples, :2] - basis.com[first, :2]
    far = float(np.linalg.norm(way))
    return places.basis.size_text(far) if far > TRAVELS_SHARE * basis.height.scene_m else ""


def _hardly_falls(places: Places, shape: Shape) -> bool:
    """Whether a flight falls so little, all in all, that something may bear it."""
    basis, flight = places.rounds_basis, shape.flight
    if basis.com is None:
        return False
    fall = fit_fall(basis.com[flight.first : flight.last + 1], basis.dt_s)
    return fall is not None and hardly_falls(basis, fall)


def _step(places: Places) -> float:
    """Frames from one sample to the next."""
    return float(places.basis.frames[1] - places.basis.frames[0])
