# SPDX-License-Identifier: GPL-3.0-or-later
"""One sentence for an arc of a ball, to be read at a glance."""

import numpy as np

from ..basis.ball import BallBasis
from ..swing_push import Push
from ..swing_words import CLEARLY
from ..words import direction_text, frame_text
from .arc import SIDE
from .ideals import Ideal
from .stretches import Stretch

# What is missed by less than this share of the height (1 cm at 1.7 m) is hit.
HIT = 0.01 / 1.7
# Along its travel it lands short or too far, by this cosine; else beside.
ALONG = 0.7
# Less of its weight than this a body is pushed to the side by leaning alone.
GENTLE_G = 0.1


def up_text(
    basis: BallBasis,
    stretch: Stretch,
    ends: tuple[float, float],
    share: float | None,
    fall_g: float | None,
    kept: float | None,
    ideal: Ideal,
) -> str:
    """`Frames 12 to 24: 48 % of the time near the top, falls at 1.02 g, lands 3.0 cm short of
    where its take-off carries it.`"""
    told = [] if share is None else [f"{100.0 * share:.0f} % of the time near the top"]
    if not stretch.free:
        told = [f"carried, rises {basis.size_text(stretch.rise)}", *told]
    if fall_g is not None:
        told.append(f"falls at {fall_g:.2f} g")
    if kept is not None:
        told.append(f"keeps {100.0 * kept:.0f} % of its height")
    if ideal.missed is not None:
        told.append(_landing(basis, ideal.missed, stretch))
    if not told:
        told = [f"in the air, rises {basis.size_text(stretch.rise)}"]
    return f"{_frames(basis, *ends)}: {', '.join(told)}."


def _landing(basis: BallBasis, missed: np.ndarray, stretch: Stretch) -> str:
    """Where it lands against where its take-off carries it; missed (3,): level, scene metres."""
    far = float(np.linalg.norm(missed))
    if far < HIT * basis.height.scene_m:
        return "lands where its take-off carries it"
    first, last = int(stretch.begins[0]), int(stretch.ends[0])
    travel = basis.positions[last, 0] - basis.positions[first, 0]
    cosine = float(missed[:2] @ travel[:2]) / max(far * float(np.linalg.norm(travel[:2])), 1e-12)
    size = basis.size_text(far)
    if cosine < -ALONG:
        return f"lands {size} short of where its take-off carries it"
    if cosine > ALONG:
        return f"lands {size} further than its take-off carries it"
    way = direction_text(missed, basis.forward[last])
    return f"lands {size} {way} of where its take-off carries it"


def turn_text(
    basis: BallBasis,
    stretch: Stretch,
    axis: str,
    share: float | None,
    push: Push | None,
    foot: str,
) -> str:
    """`Turns to the left at 34: 26 % near the turn, 33 % is a sine; the right foot stands 12.0 cm
    outside and could push half as hard.`"""
    out = stretch.sign > 0
    at = frame_text(round(basis.frame_at(stretch.top[0])))
    if axis == SIDE:
        near = "" if share is None else f": {100.0 * share:.0f} % near the turn, 33 % is a sine"
        return f"Turns to the {'right' if out else 'left'} at {at}{near}{_push(basis, push, foot)}."
    size = basis.size_text(abs(stretch.top[1]))
    near = "" if share is None else f": {100.0 * share:.0f} % near the turn"
    return f"Furthest {'ahead of' if out else 'behind'} even travel at {at}, by {size}{near}."


def _push(basis: BallBasis, push: Push | None, foot: str) -> str:
    """Whether what bears it there can push it back; empty where next to nothing is needed."""
    if push is None or push.needed < GENTLE_G:
        return ""
    if push.outside_m is None:
        return "; nothing that bears it stands outside to push it back"
    who = f"the {foot} stands" if foot else "what bears it is"
    where = basis.size_text(push.outside_m / basis.height.to_story)
    if push.needed < CLEARLY * push.given:
        return f"; {who} {where} outside and pushes it back"
    return f"; {who} {where} outside and could push {_times(push.given / push.needed)} as hard"


def _times(share: float) -> str:
    """`half`, `a third`, `.15 times`."""
    for words, exact in (
        ("two thirds", 2 / 3),
        ("half", 0.5),
        ("a third", 1 / 3),
        ("a quarter", 0.25),
    ):
        if abs(share / exact - 1.0) < 0.12:
            return words
    return f"{share:.1f} times" if share >= 0.1 else f"{share:.2f} times"


def _frames(basis: BallBasis, first: float, last: float) -> str:
    a, b = (frame_text(round(basis.frame_at(at))) for at in (first, last))
    return f"Frames {a} to {b}"
