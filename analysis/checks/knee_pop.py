# SPDX-License-Identifier: GPL-3.0-or-later
"""`knee_pop`: does a knee snap near full reach, while hip and ankle go on smoothly?"""

from ..basis import Basis
from ..declared import is_declared
from ..evidence import Evidence, RawEvent
from ..impacts import without_jolted
from ..knee_flicks import Flick, find_flicks, knees_tremble
from ..limbs import find_limbs
from ..loop import Cycle
from .contract import CheckInfo
from .limb_words import flick_says, flick_suggestion

SHORTEST = 9

INFO = CheckInfo(
    name="knee_pop",
    question="Does a knee snap near full reach, while hip and ankle go on smoothly?",
    definition=(
        "Near full reach (bent by less than 20.3 degrees a frame before and after) a few "
        "millimetres between hip and ankle move a knee by centimetres. One or two frames are left "
        "out and foretold twice: by a fourth-degree polynomial through three frames on either "
        "side, and by the straight line from the frame before to the one after. They must be off "
        "both, on the same side, by more than the limit: either in how far the knee is off the "
        "line from hip to ankle, and then off what the law of cosines makes of the reach that is "
        "foretold alike, and off in space by half of it; or in which way the knee points, the "
        "swing of the leg taken out. By more than five times the median within .75 seconds too, "
        "than 5.2 times what both knees tremble (the standard deviation that sixth differences "
        "tell), and than a quarter of what the knee goes in a frame there against hip and ankle. "
        "The hip "
        "must be off both by no more than half of that, the ankle by no more than 1.5 times. A leg "
        "that comes to its limit, or leaves it, within three frames (bent by less than .6 degrees) "
        "is left to `locked_knee`. Above 47 frames a second every second frame is looked at as "
        "well, with 1.3 times the limits; and where the foot lands within .05 seconds a knee to "
        "which one side's straight line leads (to half of it, by itself or by the reach) turns a "
        "corner and does not flick. What a fall jolts as far does not flick either. The first and "
        "last three frames are not judged."
    ),
    unit="cm",
    limit=".59 % of the height (1 cm at 1.7 m)",
    limit_in_full=(
        ".59 % of the height (1 cm at 1.7 m), or a quarter of what the knee goes in a frame there "
        "against hip and ankle, or 5.2 times what knees tremble, where that is more"
    ),
    source=(
        "leave-out residuals of local polynomials and chords, and the law of cosines; limits set "
        "on half of the quality corpus"
    ),
    stages=("spline", "polish"),
    mend="Keep the knee bent a little more there, or smooth the keys of hips, foot and pole.",
    asked_of="points",
)


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """One event for each flick, on its shin."""
    legs = [limb for limb in find_limbs(basis) if limb.joint == "knee" and limb.known.any()]
    if not legs:
        return Evidence("knee_pop", skipped="no leg is known with hip, knee and ankle")
    if len(basis.frames) < SHORTEST:
        why = f"needs {SHORTEST} frames or more, the range has {len(basis.frames)}"
        return Evidence("knee_pop", skipped=why)
    if max(int(leg.known.sum()) for leg in legs) < SHORTEST:
        return Evidence("knee_pop", skipped="no leg is known long enough without a gap")
    factor = basis.settings.factor("knee_pop")
    noise = knees_tremble(legs)
    flicks = [flick for leg in legs for flick in find_flicks(basis, leg, noise, factor)]
    told = [
        flick
        for flick in flicks
        if not is_declared(basis, flick.limb.lower, flick.first, flick.last)
    ]
    good = "" if flicks else "No knee snaps."
    events = without_jolted(basis, [_event(basis, flick) for flick in told])
    return Evidence("knee_pop", tuple(events), good=good)


def _event(basis: Basis, flick: Flick) -> RawEvent:
    return RawEvent(
        check="knee_pop",
        body=flick.limb.lower,
        first=flick.first,
        last=flick.last,
        peak=flick.peak,
        amount=basis.amount(flick.size),
        limit=basis.amount(flick.limit),
        unit=basis.unit,
        visible_m=flick.size,
        step_m=flick.step,
        says=flick_says(basis, flick),
        suggestion=flick_suggestion(basis, flick),
    )
