# SPDX-License-Identifier: GPL-3.0-or-later
"""What `stiff_prop` says: sentences for stiff swings, for what to do, and for what drags."""

from collections.abc import Sequence

from ..basis import Basis
from ..carried import Carried
from ..parts import label
from ..prop_lag import lag_s, wrist_range_deg
from ..swings import Swing, Ways
from ..words import count_text, frame_text


def stiff_text(basis: Basis, span: tuple[int, int], swing: Swing, count: int) -> str:
    """The sentence; span: first and last sample of the swing that shows it; count: swings."""
    first, last = (frame_text(basis.frames[at]) for at in span)
    give = f"{swing.give:.0f} degrees" if swing.give >= 1.0 else "less than a degree"
    if count > 1:
        return (
            f"The {{who}} never drags in {count_text(count, 'swing')}: from frame {first} to "
            f"{last} it turns {swing.turn:.0f} degrees, and the wrist gives {give}."
        )
    return (
        f"The {{who}} is stiff on the forearm through a swing of {swing.turn:.0f} degrees from "
        f"frame {first} to {last}: the wrist gives {give}."
    )


def advice_text(basis: Basis, span: tuple[int, int], drag: float, carried: Carried) -> str:
    """What to do about it; drag: degrees of a frame of a film."""
    first, last = (frame_text(basis.frames[at]) for at in span)
    hand = basis.body(f"hand.{carried.side}")
    grip = "grip" if hand is None else f"{label(basis.bodies[hand].part or '')}'s wrist"
    return (
        f"Let {{it}} trail: key the {grip} a frame or two after the forearm from frame {first} to "
        f"{last}, about {drag:.0f} degrees behind in mid-swing."
    )


def good_text(basis: Basis, seen: Sequence[tuple[Carried, Ways, int]]) -> str:
    """What holds where every swing drags."""
    told = []
    for carried, ways, count in seen:
        if count:
            late, wide = lag_s(ways, basis.dt_s), wrist_range_deg(ways)
            name = basis.bodies[carried.body].name
            told.append(
                f"the {name} gives {wide:.0f} degrees at the wrist{_after(late)} "
                f"({count_text(count, 'swing')})"
            )
    text = "; ".join(told)
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def _after(late: float | None) -> str:
    """By how much it comes after the forearm, or before it, where that can be told."""
    if late is None:
        return ""
    return f" and moves {abs(late):.2f} s {'behind' if late >= 0.0 else 'ahead of'} the forearm"
