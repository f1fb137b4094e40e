# SPDX-License-Identifier: GPL-3.0-or-later
"""`balance`: is the body held where it must tip over?

In slow moments the centre of mass, as it is and as it goes on (extrapolated by its speed, Hof,
Gazendam & Sinke 2005), is compared with what bears the figure, seen from above: soles as wide as
feet are, and all else that touches. Where both are 5 cm or more outside for .25 s or longer, a body
tips over and gains speed outwards; one that does not is held up by nothing. And where a step lands
20 cm or more short of where the body is going, it cannot stop there.
"""

import numpy as np
from numpy.typing import NDArray

from ..balance_state import Balance, find_balance
from ..basis import Basis
from ..basis.mass import NO_COM
from ..catch_steps import find_catch_steps
from ..declared import of_trunk
from ..evidence import Evidence, RawEvent
from ..loop import Cycle
from ..unbalanced import Unbalanced, find_unbalanced, judged, limit_of, out_of
from ..words import frame_text, size_text
from .balance_steps import step_event, step_text
from .balance_words import beyond_text, loads_text, says, suggestion
from .contract import CheckInfo

Bools = NDArray[np.bool_]

# Slow for less than this, and there is nothing to tell.
LEAST_SLOW_S = 0.25

INFO = CheckInfo(
    name="balance",
    question="Is the body held where it must tip over?",
    definition=(
        "In slow moments (under .3 m/s at a height of 1.7 m), the distance of the centre of mass "
        "from what touches, seen from above, soles half of .055 of the height wide to either "
        "side. A finding where it is outside, as it stands and as far as its speed carries it "
        "before it would stand over its feet, as a pendulum upside down does, and gains less than "
        "half of the speed outwards that a body gains that tips over; and where a foot lands 20 "
        "cm or more short of where the body is going by then, and it stops over its feet all the "
        "same. Not asked while it lies, is held by something that may pull, stands on what moves, "
        "or has a prop on the ground, nor of poses of stepped blocking that take off or land; "
        "withheld where it seems to lean or sit on what was not "
        "declared."
    ),
    unit="cm",
    limit="2.9 % of the height (5 cm at 1.7 m) for .25 s; a step 11.8 % (20 cm) short",
    limit_in_full=(
        "2.9 % of the height (5 cm at 1.7 m) outside for .25 s; a step that lands 11.8 % of the "
        "height (20 cm) short; strict .75, loose 1.5 times"
    ),
    source=(
        "extrapolated centre of mass: Hof, Gazendam & Sinke 2005, J Biomech 38:1-8; breadth of the "
        "foot: Drillis & Contini 1966; limits from trials on captured and keyed motion"
    ),
    stages=("blocking", "spline", "polish"),
    mend="Bring the hips back over the feet, or let the body fall, step, or rest on something.",
)


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """One event for each slow moment that is out of balance, on the body that leads, and for each
    step that lands short of a body that stops, on its foot."""
    balance = find_balance(basis)
    if balance is None:
        return Evidence("balance", skipped=NO_COM)
    if not basis.soles:
        return Evidence("balance", skipped="no feet are known, so nothing tells what bears it")
    steps = find_catch_steps(basis, balance)
    asked = judged(basis, balance)
    short = [each for each in steps if each.short and not of_trunk(basis, each.at, each.stops)]
    events = [step_event(basis, each) for each in short]
    measures = {"catch_step_m": steps[-1].margin_m * basis.height.to_story} if steps else {}
    if asked.sum() * basis.dt_s < LEAST_SLOW_S:
        why = _why_not(basis, balance)
        return Evidence("balance", tuple(events), skipped=why, measures=measures)
    moments = find_unbalanced(basis, balance, asked)
    blamed = [m for m in moments if not m.leans and not of_trunk(basis, m.first, m.last)]
    margin = -float(out_of(balance)[asked].max())
    events += [_event(basis, balance, each) for each in blamed]
    clean = not moments and not events
    good, open_ = _good(basis, balance, asked) if clean else ("", "")
    return Evidence(
        "balance",
        tuple(events),
        good=(good + step_text(basis, steps)).strip() if clean else "",
        skipped=open_ or _withheld(basis, moments),
        measures=measures | {"balance_margin_m": margin * basis.height.to_story},
    )


def _event(basis: Basis, balance: Balance, moment: Unbalanced) -> RawEvent:
    speed = float(np.hypot(*balance.speed[moment.peak]))
    return RawEvent(
        check="balance",
        body=basis.lead,
        first=moment.first,
        last=moment.last,
        peak=moment.peak,
        amount=basis.amount(moment.out_m),
        limit=basis.amount(limit_of(basis)),
        unit=basis.unit,
        visible_m=moment.out_m,
        step_m=speed * basis.dt_s,
        says=says(basis, moment),
        suggestion=suggestion(basis, moment),
    )


def _good(basis: Basis, balance: Balance, asked: Bools) -> tuple[str, str]:
    """What is good where the weight lies within the limit; or why there is nothing to tell."""
    out = out_of(balance)
    inside = asked & (out < limit_of(basis))
    beyond = beyond_text(basis, out, asked & ~inside)
    if inside.sum() * basis.dt_s < LEAST_SLOW_S:
        return "", f"where it is slow the weight is hardly ever over its feet: {beyond}"
    seconds = f"{inside.sum() * basis.dt_s:.1f} s"
    margin = -float(out[inside].max()) * basis.height.to_story
    but = f"; {beyond}" if beyond else ""
    if margin < 0.0:
        least = basis.size_text(limit_of(basis))
        off = f"is never more than {size_text(-margin)} off its feet (a finding from {least} on)"
        return f"In {seconds} of slow motion the weight {off}{but}.", ""
    stays = f"stays {size_text(margin)} or more inside what bears it"
    return f"In {seconds} of slow motion the weight {stays}{but}.", ""


def _withheld(basis: Basis, moments: tuple[Unbalanced, ...]) -> str:
    """Why moments that look out of balance are no findings; empty where there are none."""
    withheld = [moment for moment in moments if moment.leans]
    if not withheld:
        return ""
    (first, *_rest) = withheld
    begin, end = (frame_text(basis.frames[at]) for at in (first.first, first.last))
    out = basis.size_text(first.out_m)
    return (
        f"from frame {begin} to {end} the weight{loads_text(basis, first)} is {out} outside of "
        f"what is known to bear it, {first.leans}: declare what bears it"
    )


def _why_not(basis: Basis, balance: Balance) -> str:
    if not balance.bears.any():
        return "nothing touches floor or supports: declare what bears it"
    if basis.touch_points.holds.any():
        return "the body holds or leans on something wherever it is slow"
    return "the body does not stand, or move slowly, for .25 s on anything that stands still"
