# SPDX-License-Identifier: GPL-3.0-or-later
"""What `gravity` says: how strongly a flight falls, what holds, and what is not blamed."""

from collections.abc import Sequence

import numpy as np

from ..basis import Basis
from ..basis.height import SAY_HEIGHT
from ..evidence import RawEvent, Suggestion
from ..flight_standard import FACTOR, GRAVITY_TELLS, OTHERS_TELL, Standard
from ..flown import Flown, Open
from ..free_fall import GRAVITY
from ..looped import Places
from ..words import count_text
from .gravity_advice import advice

# What has a style, or one flight alone, judged.
TO_COMPARE = f"To have each flight compared with gravity, {SAY_HEIGHT}"

ALONE = "one flight alone may be meant so"

# Up to so many times as strong as it should be, what a bent pose leaves open is told in full.
MOST_TOLD = 4.0


def fall_event(places: Places, flown: Flown, standard: Standard) -> RawEvent:
    """The event of a flight that falls otherwise than it should; samples of the range."""
    basis = places.basis
    widened = basis.settings.factor("gravity")
    factor = standard.factor_of(flown, widened)
    over = factor - 1.0 if flown.told > standard.fall else 1.0 - 1.0 / factor
    gap = abs(flown.told - standard.fall)
    middle = (flown.flight.first + flown.flight.last) // 2
    first, last = places.span(flown.flight.first, flown.flight.last, middle)
    peak = places.sample(middle)
    return RawEvent(
        check="gravity",
        body=basis.lead,
        first=first,
        last=last,
        peak=peak,
        amount=gap,
        limit=standard.fall * over,
        unit="m/s2",
        # Two free paths from one take-off to one landing are this far apart half-way.
        visible_m=gap * flown.arc.seconds**2 / 8.0 / basis.height.to_story,
        step_m=0.0,
        says=_says(places, flown, standard),
        suggestion=Suggestion(advice(places, flown, standard), frame=places.number(middle)),
    )


def _says(places: Places, flown: Flown, standard: Standard) -> str:
    ratio = standard.ratio(flown)
    times = f"{ratio:.1f}" if ratio > 1.0 else f"{ratio:.2f}" if ratio >= 0.01 else "under 0.01"
    posed = ", by its highest pose," if flown.posed else ""
    right = ", as gravity has it" if standard.is_alone_right(flown) else ""
    return (
        f"In the air, {_when(places, flown)}, the {{who}} falls{posed} {times} times as fast as "
        f"{standard.told_by} ({flown.told:.1f} m/s2{right})."
    )


def _when(places: Places, flown: Flown) -> str:
    """The frames that are counted: from the last one on the ground to the first one on it again."""
    first, last = flown.leaves, flown.lands
    if not flown.flight.whole:
        return f"frames {places.text(flown.flight.first, flown.flight.last)}"
    if len(places.spans(first, last)) > 1:
        return f"from frame {places.frame(first)} over the loop's seam to {places.frame(last)}"
    leaves, lands = places.frame(first), places.frame(last)
    return f"from frame {leaves}, where it leaves, to {lands}, where it lands"


def good_text(basis: Basis, flown: Sequence[Flown]) -> str:
    """What holds, where no flight is blamed and their strength is as gravity has it."""
    how = _how(flown)
    if basis.height.story_m is None:
        return (
            f"{how} in scene metres; the character's height is not known, and all of them fall "
            "alike."
        )
    return f"{how}: gravity gives 9.8." if _right(flown) else ""


def alike_text(basis: Basis, flown: Sequence[Flown], standard: Standard | None, judged: int) -> str:
    """The habit of flights that fall alike, and not as gravity has it, of so many that are judged;
    empty elsewhere."""
    if standard is None or standard.told_by != OTHERS_TELL:
        return ""
    if basis.height.story_m is None or len(flown) < 2:
        return ""
    ratio = _median(flown) / GRAVITY
    of = f"{len(flown)} of " if judged > len(flown) else ""
    alike = "alike" if of else "all alike"
    many = f"{of}{count_text(judged, 'flight')} at {_median(flown):.1f} m/s2"
    return f"{many}, {ratio:.1f} times gravity, {alike}: a style, not a fault. {TO_COMPARE}."


def why_unblamed(basis: Basis, flown: Sequence[Flown], standard: Standard | None) -> str:
    """Why a single flight is not blamed that may well be wrong; empty elsewhere."""
    if standard is None:
        return (
            f"{_how(flown)} in scene metres; the character's height is not known, and one flight "
            f"alone tells nothing: {SAY_HEIGHT}"
        )
    if standard.alike or _right(flown) or len(flown) > 1:
        return ""
    return f"{_how(flown)}, {_median(flown) / GRAVITY:.1f} times gravity; {ALONE}. {TO_COMPARE}"


def open_text(places: Places, flown: Sequence[Flown], standard: Standard | None) -> str:
    """Which flight bent poses leave open, and between what; empty where there is none."""
    if not flown or standard is None or flown[0].open is None:
        return ""
    first, left = flown[0], flown[0].open
    has = first.lands - first.leaves
    needs = round(first.arc.needed_s(standard.target) / first.arc.seconds * has)
    more = f" ({len(flown) - 1} more alike)" if len(flown) > 1 else ""
    by_gravity = standard.told_by == GRAVITY_TELLS
    right = "gravity gives 9.8" if by_gravity else f"the others have {standard.fall:.1f}"
    leaves, lands = places.frame(first.leaves), places.frame(first.lands)
    return (
        f"the flight from frame {leaves} to {lands} falls at {_between(left, standard)}{more}, and "
        f"{right}: {_why_open(places, first, left)}. Counted from key to key it has {has} frames, "
        f"and its height needs {needs}"
    ) + _alone(left, standard)


def _between(left: Open, standard: Standard) -> str:
    """`4.6 to 18.6 m/s2`, or how little or much it is at least, where all of that is wrong."""
    # A flight without frames has no end to its fall: beyond a few times gravity no number helps.
    if left.least > standard.fall or left.most > MOST_TOLD * standard.fall:
        return f"{left.least:.1f} m/s2 or more"
    if left.most < standard.fall:
        return f"{left.most:.1f} m/s2 or less"
    return f"{left.least:.1f} to {left.most:.1f} m/s2"


def _alone(left: Open, standard: Standard) -> str:
    """Why a single flight is not blamed that is wrong however it is read."""
    right = left.least <= standard.fall <= left.most
    return "" if right or standard.factor <= FACTOR else f"; {ALONE}. {TO_COMPARE}"


def _why_open(places: Places, flown: Flown, left: Open) -> str:
    """Which poses are bent, and until when it may leave, from when on it may land."""
    why = []
    if left.leaves_by > flown.leaves:
        by = places.frame(left.leaves_by)
        why.append(f"the pose that leaves is still bent, and may leave as late as frame {by}")
    if left.lands_from < flown.lands:
        since = places.frame(left.lands_from)
        why.append(f"the one that lands is bent, and may land as early as frame {since}")
    return "; ".join(why)


def _median(flown: Sequence[Flown]) -> float:
    return float(np.median([each.told for each in flown]))


def _how(flown: Sequence[Flown]) -> str:
    return f"{count_text(len(flown), 'flight')} at {_median(flown):.1f} m/s2"


def _right(flown: Sequence[Flown]) -> bool:
    return 1.0 / FACTOR <= _median(flown) / GRAVITY <= FACTOR
