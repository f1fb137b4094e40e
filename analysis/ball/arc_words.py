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
    """`From 12, where it leaves, to 24, where it lands: 48 % of the time near the top, falls at
    1.02 g, lands 3.0 cm short of where its take-off carries it.`"""
    told = [] if share is None else [f"{100.0 * share:.0f} % of the time near the top"]
    if not stretch.free:
        told = [f"on the ground, rises {basis.size_text(stretch.rise)}", *told]
    if fall_g is not None:
        told.append(f"falls at {fall_g:.2f} g")
    if kept is not None:
        told.append(f"keeps {100.0 * kept:.0f} % of its height")
    if ideal.missed is not None:
        told.append(_landing(basis, ideal.missed, stretch))
    if not told:
        told = [f"in the air, rises {basis.size_text(stretch.rise)}"]
    frames = _flown(basis, *ends) if stretch.flight is not None else _frames(basis, *ends)
    return f"{frames}: {', '.join(told)}."


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
    """`Turns to the left at 34: 26 % of the time near the turn, eased ones have 33 %; it takes 1.2
    times its weight sideways, and the right foot, 12.0 cm outside, can give 0.1.`"""
    out = stretch.sign > 0
    at = frame_text(round(basis.frame_at(stretch.top[0])))
    if axis == SIDE:
        near = "" if share is None else f": {_near(share)}, eased ones have 33 %"
        return f"Turns to the {'right' if out else 'left'} at {at}{near}{_push(basis, push, foot)}."
    size = basis.size_text(abs(stretch.top[1]))
    near = "" if share is None else f": {_near(share)}"
    return f"Furthest {'ahead' if out else 'back'} at {at}, {size} off steady travel{near}."


def _near(share: float) -> str:
    return f"{100.0 * share:.0f} % of the time near the turn"


def _push(basis: BallBasis, push: Push | None, foot: str) -> str:
    """Whether what bears it there can push it back; empty where next to nothing is needed."""
    if push is None or push.needed < GENTLE_G:
        return ""
    if push.outside_m is None:
        return "; nothing that bears it stands outside to push it back"
    who = f"the {foot}" if foot else "what bears it"
    where = basis.size_text(push.outside_m / basis.height.to_story)
    if push.needed < CLEARLY * push.given:
        return f"; {who}, {where} outside, pushes it back"
    gives = f"{push.given:{'.1f' if push.given >= 0.1 else '.2f'}}"
    takes = f"it takes {push.needed:.1f} times its weight sideways"
    return f"; {takes}, and {who}, {where} outside, can give {gives}"


def _frames(basis: BallBasis, first: float, last: float) -> str:
    a, b = (frame_text(round(basis.frame_at(at))) for at in (first, last))
    return f"Frames {a} to {b}"


def _flown(basis: BallBasis, first: float, last: float) -> str:
    """As `gravity` tells a flight, whose other checks tell the frames in the air between these."""
    a, b = (frame_text(round(basis.frame_at(at))) for at in (first, last))
    return f"From {a}, where it leaves, to {b}, where it lands"
