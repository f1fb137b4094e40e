# SPDX-License-Identifier: GPL-3.0-or-later
"""What `gravity` says: how strongly a flight falls, and both ways out, in frames and in height."""

from collections.abc import Sequence

import numpy as np

from ..basis import Basis
from ..basis.flights import HELD_G
from ..basis.height import SAY_HEIGHT
from ..evidence import RawEvent, Suggestion
from ..flight_standard import FACTOR, GRAVITY_TELLS, Standard
from ..flown import Flown
from ..free_fall import GRAVITY
from ..looped import Places
from ..words import count_text, size_text


def fall_event(places: Places, flown: Flown, standard: Standard) -> RawEvent:
    """The event of a flight that falls otherwise than it should; samples of the range."""
    basis = places.basis
    widened = basis.settings.factor("gravity")
    factor = standard.factor_of(flown, widened)
    over = factor - 1.0 if flown.fall > standard.fall else 1.0 - 1.0 / factor
    gap = abs(flown.fall - standard.fall)
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
        suggestion=Suggestion(_advice(basis, flown, standard), frame=places.number(middle)),
    )


def _says(places: Places, flown: Flown, standard: Standard) -> str:
    ratio = standard.ratio(flown)
    times = f"{ratio:.1f}" if ratio > 1.0 else f"{ratio:.2f}"
    posed = ", by its highest pose," if flown.posed else ""
    return (
        f"In the air, {_when(places, flown)}, the {{who}} falls{posed} {times} times as fast as "
        f"{standard.told_by} ({flown.fall:.1f} m/s2)."
    )


def _when(places: Places, flown: Flown) -> str:
    """The frames that are counted: from the last one on the ground to the first one on it again."""
    first, last = flown.leaves, flown.lands
    if not flown.flight.whole:
        return f"frames {places.text(flown.flight.first, flown.flight.last)}"
    if len(places.spans(first, last)) > 1:
        return f"from frame {places.frame(first)} over the loop's seam to {places.frame(last)}"
    leaves, lands = places.frame(first), places.frame(last)
    between = f"from frame {leaves}, where it leaves, to {lands}, where it lands"
    has = round(flown.arc.seconds / places.basis.dt_s)
    # Between two poses that are held a leg may stretch for a while before it leaves.
    return between if has == last - first else f"{has} of the frames {places.text(first, last)}"


def _advice(basis: Basis, flown: Flown, standard: Standard) -> str:
    """Both ways out: other timing for this height, or another height for this timing."""
    if not flown.flight.whole:
        stretch, share = np.sqrt(standard.ratio(flown)), 1.0 / standard.ratio(flown)
        return f"Give this flight {stretch:.2f} times its frames, or {share:.2f} of its height."
    arc = flown.arc
    step = float(basis.frames[1] - basis.frames[0])
    fps = step / basis.dt_s
    has, needs = round(arc.seconds * fps), round(arc.needed_s(standard.target) * fps)
    rise_m = arc.rise_m(standard.target)
    if needs == has and rise_m > 0.0:
        return f"Let it rise {size_text(rise_m)} instead of {size_text(arc.up_m)}."
    # Even without a rise the way down may take longer than it has: then time alone helps.
    ways = [f"{'add' if needs >= has else 'take out'} {max(abs(needs - has), 1)}"]
    ways += [f"let it rise {size_text(rise_m)}"] if 0.0 < rise_m <= _most_m(basis, flown) else []
    ways += ["declare what bears it"] if flown.fall < HELD_G * GRAVITY else []
    return (
        f"{_way(arc.up_m, arc.down_m)} {count_text(needs, 'frame')} in the air at {fps:g} fps, "
        f"it has {has}: {', or '.join(ways)}."
    )


def _most_m(basis: Basis, flown: Flown) -> float:
    """As high as a rise is advised: a person rises by less than its height; scene metres."""
    return max(basis.height.scene_m, flown.arc.up_m)


def _way(up_m: float, down_m: float) -> str:
    """`55 cm need`, or where it lands elsewhere `Up 55 cm and down 20 cm need`."""
    if f"{100.0 * up_m:.0f}" == f"{100.0 * down_m:.0f}":
        return f"A rise of {size_text(up_m)} needs"
    return f"Up {size_text(up_m)} and down {size_text(down_m)} needs"


def good_text(basis: Basis, flown: Sequence[Flown]) -> str:
    """What holds, where no flight is blamed and their strength is as gravity has it."""
    how = _how(flown)
    if basis.height.story_m is None:
        return (
            f"{how} in scene metres; the character's height is not known, and all of them fall "
            "alike."
        )
    return f"{how}: gravity gives 9.8." if _right(flown) else ""


def alike_text(basis: Basis, flown: Sequence[Flown], standard: Standard | None) -> str:
    """The habit of flights that fall alike, and not as gravity has it; empty elsewhere."""
    if standard is None or not standard.alike or standard.told_by == GRAVITY_TELLS:
        return ""
    if basis.height.story_m is None or len(flown) < 2:
        return ""
    ratio = _median(flown) / GRAVITY
    return f"{_how(flown)}, {ratio:.1f} times gravity, all alike: a style, not a fault."


def why_unblamed(basis: Basis, flown: Sequence[Flown], standard: Standard | None) -> str:
    """Why a single flight is not blamed that may well be wrong; empty elsewhere."""
    if standard is None:
        return (
            f"{_how(flown)} in scene metres; the character's height is not known, and one flight "
            f"alone tells nothing: {SAY_HEIGHT}"
        )
    if standard.alike or _right(flown) or len(flown) > 1:
        return ""
    return (
        f"{_how(flown)}, {_median(flown) / GRAVITY:.1f} times gravity; one flight alone may be "
        + ("meant so")
    )


def _median(flown: Sequence[Flown]) -> float:
    return float(np.median([each.fall for each in flown]))


def _how(flown: Sequence[Flown]) -> str:
    return f"{count_text(len(flown), 'flight')} at {_median(flown):.1f} m/s2"


def _right(flown: Sequence[Flown]) -> bool:
    return 1.0 / FACTOR <= _median(flown) / GRAVITY <= FACTOR
