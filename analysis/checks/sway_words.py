# SPDX-License-Identifier: GPL-3.0-or-later
"""What `sway` says: of a stride that goes too far, of a whole walk, and of one that holds."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..evidence import RawEvent, Suggestion
from ..gait import SIDE, UP, Gait, left_of
from ..stride import to_grown
from ..sway_edits import edits_text, stride_edits
from ..sway_trend import run_up_m, walk_side_m, walk_up_m, width_m
from ..words import count_text, frame_text, size_text, speed_text

Floats = NDArray[np.float64]

# From so many times the trend on a walk or run says so; a step width from so many times.
# So many strides make a style, or a loop.
STYLE_TIMES, WIDE_TIMES, LEAST_STRIDES = 1.5, 2.0, 3
# It goes too far both up and down where the lesser is this share of the greater.
BOTH_SHARE = 0.25


@dataclass(frozen=True, eq=False)
class Swayed:
    """Strides that go too far: samples of a lap, scene metres.

    axis          SIDE or UP
    first, last   samples of the range between which the body is further out than elsewhere
    peak, off     where it is furthest out, by so much: to the left or up
    back          by how much it is out the other way at most, 0 or more
    ahead (3,)    where the stride leads
    amount, usual, limit   how far the stride goes, the others go, and it may go
    shifts        sample -> by how much the body is to move there, to the left or up
    """

    axis: int
    first: int
    last: int
    peak: int
    off: float
    back: float
    ahead: Floats
    amount: float
    usual: float
    limit: float
    shifts: Mapping[int, float]


_WORDS = {SIDE: ("sways", "from side to side"), UP: ("rises and falls by", "in a stride")}


def event_of(basis: Basis, swayed: Swayed) -> RawEvent:
    """One event of the body that leads, never major."""
    to_story = basis.height.to_story
    verb, where = _WORDS[swayed.axis]
    begin, end = (frame_text(basis.frames[sample]) for sample in (swayed.first, swayed.last))
    return RawEvent(
        check="sway",
        body=basis.lead,
        first=swayed.first,
        last=swayed.last,
        peak=swayed.peak,
        amount=swayed.amount * to_story * 100.0,
        limit=swayed.limit * to_story * 100.0,
        unit="cm",
        visible_m=abs(swayed.off),
        step_m=0.0,
        says=(
            f"From frame {begin} to {end} the {{who}} {verb} "
            f"{size_text(swayed.amount * to_story)} {where}, {swayed.amount / swayed.usual:.1f} "
            f"times as far as in the other strides ({size_text(swayed.usual * to_story)})."
        ),
        suggestion=_suggestion(basis, swayed),
        never_major=True,
    )


def _suggestion(basis: Basis, swayed: Swayed) -> Suggestion:
    size = size_text(abs(swayed.off) * basis.height.to_story)
    share = f"Bring {{it}} back to {100.0 * swayed.usual / swayed.amount:.0f} % of its way"
    axis = left_of(swayed.ahead) if swayed.axis == SIDE else np.array([0.0, 0.0, 1.0])
    if swayed.axis == SIDE:
        text = f"{share} to the sides there: about {size} on either side."
    elif swayed.back >= BOTH_SHARE * abs(swayed.off):
        other = size_text(swayed.back * basis.height.to_story)
        top, bottom = (size, other) if swayed.off > 0.0 else (other, size)
        text = f"{share} up and down there: {top} lower at the top, {bottom} higher at the bottom."
    else:
        way = "Raise" if swayed.off < 0.0 else "Lower"
        text = f"{way} {{it}} by {size} there, to where it is in the other strides."
    frame = float(basis.frames[swayed.peak])
    edits = stride_edits(basis, axis, swayed.shifts, swayed.amount)
    told = " ".join(each for each in (text, edits_text(edits)) if each)
    return Suggestion(told, frame=frame, offset=-swayed.off * axis, edits=edits)


def habit_text(basis: Basis, gait: Gait) -> str:
    """A sentence where all strides together go far beyond the trend; else empty."""
    trend = trends_of(basis, gait)
    found = mean_travel(basis, gait)
    parts = []
    for axis, words in ((SIDE, "from side to side"), (UP, "up and down")):
        usual = trend.get(axis)
        factor = 1.0 + (STYLE_TIMES - 1.0) * basis.settings.factor("sway")
        if usual is not None and found[axis] > factor * usual:
            verb = "sways" if axis == SIDE else "goes"
            parts.append(
                f"it {verb} {size_text(found[axis])} {words}, where {_whom(gait)} go about "
                f"{size_text(usual)}"
            )
    width = float(gait.widths.mean()) * basis.height.to_story
    usual = width_m(_height(basis)) * basis.height.to_story / to_grown(basis)
    if not gait.running and width > WIDE_TIMES * usual:
        parts.append(f"its steps are {size_text(width)} wide, where people's are about 10 cm")
    if not parts:
        return ""
    return f"At {_speed(basis, gait)} {' and '.join(parts)}: a style, or too much of it."


def good_text(basis: Basis, gait: Gait) -> str:
    """How it walks or runs, and that its strides are alike."""
    to_story = basis.height.to_story
    widths, found = gait.widths * to_story, mean_travel(basis, gait, com=False)
    off = np.abs(gait.travel - gait.travel.mean(axis=0)).max() * to_story
    text = (
        f"{count_text(gait.steps, 'step')} at {gait.cadence:.0f} a minute and "
        f"{_speed(basis, gait)}, step width {size_text(abs(float(widths.mean())))}"
    )
    who = "ball" if basis.clip.is_ball else "root"
    sways = f"the {who} sways {size_text(found[SIDE])} and rises and falls {size_text(found[UP])}"
    text += f" within {_within(float(np.abs(widths - widths.mean()).max()))}"
    return f"{text}; {sways}, every stride within {_within(float(off))} of that."


def _within(metres: float) -> str:
    """A spread in whole millimetres or more: less is none."""
    return size_text(metres) if metres >= 0.001 else "1 mm"


def mean_travel(basis: Basis, gait: Gait, *, com: bool = True) -> tuple[float, float]:
    """Story metres to the side and up, of the centre of mass where it is known."""
    travel = gait.travel if gait.com is None or not com else gait.com
    side, up = travel.mean(axis=0) * basis.height.to_story
    return float(side), float(up)


def trends_of(basis: Basis, gait: Gait) -> dict[int, float]:
    """SIDE, UP -> what people do at this speed, in the lengths that the report has."""
    height, back = _height(basis), basis.height.to_story / to_grown(basis)
    if gait.running:
        return {UP: run_up_m(0.5 * gait.mean("seconds")) * back}
    speed = gait.speed * to_grown(basis)
    found = {SIDE: walk_side_m(speed, height), UP: walk_up_m(speed, height)}
    return {axis: each * back for axis, each in found.items() if each is not None}


def _height(basis: Basis) -> float:
    """Metres of the figure in the story, or of a grown one."""
    return basis.height.scene_m * to_grown(basis)


def _speed(basis: Basis, gait: Gait) -> str:
    return speed_text(gait.speed * basis.height.to_story)


def _whom(gait: Gait) -> str:
    return "runners at this cadence" if gait.running else "walkers at this speed"
