# SPDX-License-Identifier: GPL-3.0-or-later
"""What `gravity` says of topples: against an even rod and a pendulum, in frames."""

import math
from dataclasses import dataclass, replace

from .basis import Basis
from .declared import of_trunk
from .evidence import Evidence, RawEvent, Suggestion
from .free_fall import GRAVITY
from .tippings import find_foldings
from .topple import Topple, find_topples
from .topple_stand import Stand
from .words import count_text, frame_text, frames_text

# A topple that gains speed by this factor more slowly than a rod, or faster than a pendulum, is
# held, or pushed; by more than so many standard errors of the fit.
FACTOR, ERRORS = 1.4, 2.5


def with_topples(basis: Basis, flights: Evidence) -> Evidence:
    """What was found of flights, and beside it what is found of topples."""
    topples = find_topples(basis)
    if not topples:
        unsaid = flights.skipped and not basis.flights
        return replace(flights, skipped=_why_none(basis, flights.skipped)) if unsaid else flights
    asked = [each for each in topples if not of_trunk(basis, *each.ends)]
    factor = 1.0 + (FACTOR - 1.0) * basis.settings.factor("gravity")
    wrong = [t for t in asked if _is_held(t, factor) or _is_pushed(t, factor)]
    told = [each for each in asked if each.even]
    untold = [each for each in asked if not each.even and each not in wrong]
    good = flights.good
    if told and not wrong and not untold:
        good = " ".join(each for each in (good, _good(basis, told)) if each)
    # Without a flight there is still an answer.
    skipped = [flights.skipped] if basis.flights and flights.skipped else []
    skipped += [_why_untold(basis, untold[0])] if untold else []
    return replace(
        flights,
        events=(*flights.events, *(_event(basis, each, factor) for each in wrong)),
        good=good,
        skipped="; ".join(skipped),
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
    """Whether it gains speed faster than a pendulum, or is faster than its drop from a stand can
    make it."""
    if topple.stand is not None and topple.stand.of_drop > factor:
        return True
    return (
        topple.even and topple.of_pendulum > factor and topple.of_rod - 1.0 > ERRORS * topple.error
    )


def _measures(topple: Topple) -> dict[str, float]:
    return {
        "topple_s": topple.took_s,
        "topple_rod_s": topple.rod_s,
        "topple_pendulum_s": topple.pendulum_s,
    }


def _why_none(basis: Basis, no_flights: str) -> str:
    """Why no topple is told of a range without flights."""
    if basis.height.why_no_scale:
        return f"{no_flights}; {basis.height.why_no_scale}"
    folding = find_foldings(basis)
    if not folding:
        return no_flights
    first, last = (float(basis.frames[at]) for at in (folding[0].turns, folding[0].lands))
    return (
        f"the body goes down over its feet on {frames_text(first, last)}, but bends on its way: "
        "only stiff ones are timed"
    )


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


@dataclass(frozen=True)
class _Wrong:
    """A topple that is blamed: over which samples, what it takes and needs, how far it is off.

    right   frames that it is to take
    timed   whether it takes long enough, or not too long, and only its speed is off on its way
    """

    first: int
    last: int
    leans: str
    took: int
    needs: str
    right: int
    how: str
    off_rad: float
    timed: bool
    stood: bool


def _event(basis: Basis, topple: Topple, factor: float) -> RawEvent:
    held = _is_held(topple, factor)
    told = _wrong(basis, topple, held)
    first, last = (frame_text(basis.frames[at]) for at in (told.first, told.last))
    share = _of_rod(topple) if held else _of_pendulum(topple)
    limit = 1.0 - 1.0 / factor if held else factor - 1.0
    return RawEvent(
        check="gravity",
        body=basis.lead,
        first=told.first,
        last=told.last,
        peak=(told.first + told.last) // 2,
        amount=abs(share - 1.0) * GRAVITY,
        limit=limit * GRAVITY,
        unit="m/s2",
        visible_m=abs(told.off_rad) * topple.length_m,
        step_m=0.0,
        says=(
            f"From frame {first} to {last} the {{who}} topples {told.leans} in "
            f"{count_text(told.took, 'frame')}; a body of this height needs {told.needs}: "
            f"{told.how}."
        ),
        suggestion=Suggestion(_advice(told, first, held), frame=float(basis.frames[told.first])),
    )


def _wrong(basis: Basis, topple: Topple, held: bool) -> _Wrong:
    """From its stand, where it stood: what is done about it then clears all of it. One that stops
    on its way is told from where it is under way: it does not begin too slowly."""
    stand, frame_s = topple.stand, _frame_s(basis)
    stood = stand is not None and (topple.even or not held)
    of = stand if stand is not None and stood else topple
    took, right = (round(each / frame_s) for each in (of.took_s, _right_s(of, held)))
    timed = took <= right if held else took >= right
    how = "it hangs" if held else "it is pushed down"
    return _Wrong(
        first=of.first,
        last=of.last,
        leans=_leans(of),
        took=took,
        needs=_needs_text(of, frame_s) + (" from its stand" if stood else ""),
        right=right,
        how=f"in time, but {how} on its way" if timed else how,
        off_rad=_off_rad(of, held),
        timed=timed,
        stood=stood,
    )


def _right_s(of: Topple | Stand, held: bool) -> float:
    """The time that is right with the least change: the rod's is the slowest."""
    return of.rod_s if held else of.pendulum_s


def _off_rad(of: Topple | Stand, held: bool) -> float:
    if isinstance(of, Stand):
        return of.off_rod_rad if held else of.off_pendulum_rad
    return of.late_rad if held else of.early_rad


def _advice(told: _Wrong, first: str, held: bool) -> str:
    if told.timed:
        return (
            "Keep its frames, but let it gain speed all the way: slow at first, fast as it lands."
        )
    slow = "let it gain speed as it falls, slow at first" if held else "let it start slower"
    more = told.right - told.took
    change = f"add {more}" if more > 0 else f"take out {-more}"
    this = f"From where it leaves its stand (frame {first}) let" if told.stood else "Let"
    return f"{this} this fall take {count_text(told.right, 'frame')}: {change}, and {slow}."


def _of_rod(topple: Topple) -> float:
    """How fast it gains speed, of what a rod gives; of an uneven one from its time alone."""
    return topple.of_rod if topple.even else (topple.rod_s / topple.took_s) ** 2


def _of_pendulum(topple: Topple) -> float:
    """How fast it gains speed, of what a pendulum gives; of an uneven one from its drop alone."""
    drop = topple.stand.of_drop if topple.stand else 0.0
    return max(topple.of_pendulum, drop) if topple.even else drop


def _leans(topple: Topple | Stand) -> str:
    return f"from {topple.start_deg:.0f} to {topple.end_deg:.0f} degrees"


def _frame_s(basis: Basis) -> float:
    return basis.dt_s / float(basis.frames[1] - basis.frames[0])


def _frames(basis: Basis, topple: Topple) -> tuple[int, str]:
    """Frames that it takes, and that a body needs, in words."""
    frame_s = _frame_s(basis)
    return round(topple.took_s / frame_s), _needs_text(topple, frame_s)


def _needs_text(topple: Topple | Stand, frame_s: float) -> str:
    fast, slow = round(topple.pendulum_s / frame_s), round(topple.rod_s / frame_s)
    return f"{fast}" if fast == slow else f"{fast} to {slow}"
