# SPDX-License-Identifier: GPL-3.0-or-later
"""What `gravity` says of topples: against an even rod and a pendulum, in frames."""

import math
from dataclasses import replace

from .basis import Basis
from .declared import of_trunk
from .evidence import Evidence, RawEvent, Suggestion
from .free_fall import GRAVITY
from .topple import Topple, find_topples
from .words import count_text, frame_text, frames_text

# A topple that gains speed by this factor more slowly than a rod, or faster than a pendulum, is
# held, or pushed; by more than so many standard errors of the fit.
FACTOR, ERRORS = 1.4, 2.5


def with_topples(basis: Basis, flights: Evidence) -> Evidence:
    """What was found of flights, and beside it what is found of topples."""
    topples = find_topples(basis)
    if not topples:
        why = basis.height.why_no_scale
        unsaid = flights.skipped and why and not basis.flights
        return replace(flights, skipped=f"{flights.skipped}; {why}") if unsaid else flights
    asked = [each for each in topples if not of_trunk(basis, each.first, each.last)]
    factor = 1.0 + (FACTOR - 1.0) * basis.settings.factor("gravity")
    wrong = [t for t in asked if _is_held(t, factor) or _is_pushed(t, factor)]
    told = [each for each in asked if each.even]
    untold = [each for each in asked if not each.even and each not in wrong]
    good = flights.good
    if told and not wrong and not untold:
        good = " ".join(each for each in (good, _good(basis, told)) if each)
    # Without a flight there is still an answer.
    skipped = flights.skipped if basis.flights else ""
    return replace(
        flights,
        events=(*flights.events, *(_event(basis, each, factor) for each in wrong)),
        good=good,
        skipped=skipped or (_why_untold(basis, untold[0]) if untold else ""),
        measures={**flights.measures, **_measures(topples[-1])},
    )


def _is_held(topple: Topple, factor: float) -> bool:
    """Whether it falls more slowly than a rod.

    One that does not gain speed as one fall does, also by its time alone: it takes longer than a
    rod can that begins at rest where this one leans already.
    """
    slow = topple.of_rod < 1.0 / factor and 1.0 - topple.of_rod > ERRORS * topple.error
    if topple.even:
        return slow
    return topple.took_s > math.sqrt(factor) * (topple.rod_s if slow else topple.most_s)


def _is_pushed(topple: Topple, factor: float) -> bool:
    return (
        topple.even and topple.of_pendulum > factor and topple.of_rod - 1.0 > ERRORS * topple.error
    )


def _measures(topple: Topple) -> dict[str, float]:
    return {
        "topple_s": topple.took_s,
        "topple_rod_s": topple.rod_s,
        "topple_pendulum_s": topple.pendulum_s,
    }


def _why_untold(basis: Basis, topple: Topple) -> str:
    first, last = float(basis.frames[topple.first]), float(basis.frames[topple.last])
    took, needs = _frames(basis, topple)
    return (
        f"the body topples {_leans(topple)} on {frames_text(first, last)}, but does not gain speed "
        f"as one fall does, so its {count_text(took, 'frame')} are not blamed (one of its height "
        f"needs {needs})"
    )


def _good(basis: Basis, topples: list[Topple]) -> str:
    if len(topples) > 1:
        return f"{count_text(len(topples), 'topple')}, none slower than a rod falls over."
    (topple,) = topples
    took, needs = _frames(basis, topple)
    return (
        f"The body topples {_leans(topple)} in {count_text(took, 'frame')}; "
        f"one of its height needs {needs}."
    )


def _event(basis: Basis, topple: Topple, factor: float) -> RawEvent:
    first, last = (frame_text(basis.frames[at]) for at in (topple.first, topple.last))
    held = _is_held(topple, factor)
    took, needs = _frames(basis, topple)
    right = round((topple.rod_s if held else topple.pendulum_s) / _frame_s(basis))
    share = _of_rod(topple) if held else topple.of_pendulum
    limit = 1.0 - 1.0 / factor if held else factor - 1.0
    how = "it hangs" if held else "it is pushed down"
    change = f"take out {took - right}" if took > right else f"add {right - took}"
    slow = "let it gain speed as it falls, slow at first" if held else "let it start slower"
    same = took == right
    return RawEvent(
        check="gravity",
        body=basis.lead,
        first=topple.first,
        last=topple.last,
        peak=(topple.first + topple.last) // 2,
        amount=abs(share - 1.0) * GRAVITY,
        limit=limit * GRAVITY,
        unit="m/s2",
        visible_m=abs(topple.late_rad) * topple.length_m,
        step_m=0.0,
        says=(
            f"From frame {first} to {last} the {{who}} topples {_leans(topple)} in "
            f"{count_text(took, 'frame')}; a body of this height needs {needs}: {how}."
        ),
        suggestion=Suggestion(
            f"Keep its frames, but {slow}."
            if same
            else f"Let this fall take {count_text(right, 'frame')}: {change}, and {slow}.",
            frame=float(basis.frames[topple.first]),
        ),
    )


def _of_rod(topple: Topple) -> float:
    """How fast it gains speed, of what a rod gives; of an uneven one from its time alone."""
    return topple.of_rod if topple.even else (topple.rod_s / topple.took_s) ** 2


def _leans(topple: Topple) -> str:
    return f"from {topple.start_deg:.0f} to {topple.end_deg:.0f} degrees"


def _frame_s(basis: Basis) -> float:
    return basis.dt_s / float(basis.frames[1] - basis.frames[0])


def _frames(basis: Basis, topple: Topple) -> tuple[int, str]:
    """Frames that it takes, and that a body needs, in words."""
    frame_s = _frame_s(basis)
    fast, slow = round(topple.pendulum_s / frame_s), round(topple.rod_s / frame_s)
    return round(topple.took_s / frame_s), f"{fast}" if fast == slow else f"{fast} to {slow}"
