# SPDX-License-Identifier: GPL-3.0-or-later
"""What `balance` says of steps that catch a falling body, or land short of it."""

from collections.abc import Sequence

import numpy as np

from ..basis import Basis
from ..catch_steps import SHORT_SHARE, CatchStep
from ..evidence import RawEvent, Suggestion
from ..words import direction_text, frame_text

_SIDES = {"L": "left", "R": "right"}


def step_event(basis: Basis, step: CatchStep) -> RawEvent:
    """A step that lands short, on its foot."""
    out = -step.margin_m
    way = np.array([*step.way, 0.0])
    lands, stops = (frame_text(basis.frames[at]) for at in (step.at, step.stops))
    told = direction_text(way, basis.forward[step.at])
    return RawEvent(
        check="balance",
        body=basis.body(f"foot.{step.side}"),
        first=step.at,
        last=step.stops,
        peak=step.at,
        amount=basis.amount(out),
        limit=basis.amount(SHORT_SHARE * basis.height.scene_m * basis.settings.factor("balance")),
        unit=basis.unit,
        visible_m=out,
        step_m=0.0,
        says=(
            f"The {{who}} lands {basis.size_text(out)} short of where the body is falling, at "
            f"frame {lands}, and yet the body stops at {stops}."
        ),
        suggestion=Suggestion(
            f"Step {basis.size_text(out)} further {told}, or take another step.",
            frame=float(basis.frames[step.at]),
            offset=out * way,
        ),
    )


def step_text(basis: Basis, steps: Sequence[CatchStep]) -> str:
    """What else is good: a body that falls, and is caught by a step, which the landing of a hop is
    not; begins with a space."""
    caught = [step for step in steps if step.margin_m >= 0.0 and not step.flown]
    if not caught:
        return ""
    last = caught[-1]
    return (
        f" The {_SIDES[last.side]} foot that lands at frame {frame_text(basis.frames[last.at])} "
        f"catches it with {basis.size_text(last.margin_m)} to spare."
    )
