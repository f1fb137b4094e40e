# SPDX-License-Identifier: GPL-3.0-or-later
"""Swings that do not slow at their turns: the body from side to side, an arm, a prop.

What swings to and fro is slow at the extremes, sideways too: the leg must first stop the body and
then push it back. Judged is even spacing alone, never a long stay: a hold is a hold.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .evidence import RawEvent
from .loop import Cycle
from .looped import Places, lay_out
from .swing_paths import SwingPath, find_paths, sides_of
from .swing_push import Push, push_of
from .swing_shape import SINE_SHARE, Turn, find_turns
from .swing_words import Swung, swing_event
from .touch import meets

Floats = NDArray[np.float64]

# Of the time, what the outer quarters of both ways must have: less is a finding. Each way by itself
# may have a little more, and both are even to this share of them: a body's, and a limb's.
LEAST_SHARE, EACH_SHARE = 0.29, 0.32
EVEN_BODY, EVEN_LIMB = 0.07, 0.06
# A tremble makes even ways uneven by this much of it; one of more than so much of a way hides them.
TREMBLES, MOST_TREMBLE = 1.5, 0.015
# So many turns of two parts or more, and this share of all turns: that is how the shot is done.
HABIT_TURNS, HABIT_SHARE = 8, 0.75
# Turns of one part this many samples apart, or less, are one swing, as those are that share a way.
TOGETHER = 2


@dataclass(frozen=True, eq=False)
class SwingTurns:
    """events; turns: how many there are of all swings; habit, good: sentences, or empty."""

    events: tuple[RawEvent, ...]
    turns: int
    habit: str
    good: str
    measures: dict[str, float]


def find_swing_turns(basis: Basis, cycle: Cycle) -> SwingTurns:
    """The swings of a figure that turn without slowing; of a loop over its seam too."""
    looped = lay_out(basis, cycle)
    places = Places(basis, looped)
    seen = places.rounds_basis
    factor = basis.settings.factor("hang_time")
    every: list[Turn] = []
    found: list[tuple[SwingPath, list[Turn]]] = []
    for path in find_paths(seen):
        turns = [
            each for each in _turns(seen, path) if looped is None or _once(looped.length, each)
        ]
        every += turns
        even = [each for each in turns if _is_even(each, path, basis.lead, factor)]
        even = [each for each in even if not _is_caused(seen, places, path, each)]
        found += [(path, each) for each in _swings(even)]
    found = _without_carried(basis, found)
    count = sum(len(turns) for _path, turns in found)
    measures = {"swing_share": float(np.mean([t.share for t in every]))} if every else {}
    parts = len({path.body for path, _turns in found})
    if count >= HABIT_TURNS and parts > 1 and count >= HABIT_SHARE * len(every):
        says = f"{count} of {len(every)} turns of swings do not slow: taken for the shot's style."
        return SwingTurns((), len(every), says, "", measures)
    events = tuple(_event(basis, seen, places, path, turns) for path, turns in found)
    good = "" if events or not every else _good(every)
    return SwingTurns(events, len(every), "", good, measures)


def _once(length: int, turn: Turn) -> bool:
    """Whether a turn stands for its repeats in the other rounds of a loop."""
    return length <= turn.at < 2 * length


def _turns(basis: Basis, path: SwingPath) -> list[Turn]:
    """All turns of a path, where it is known."""
    return [
        each
        for each in find_turns(path.path, basis.dt_s, path.least_m)
        if path.known[each.first : each.last + 1].all()
    ]


def _is_even(turn: Turn, path: SwingPath, lead: int, factor: float) -> bool:
    """Whether a swing does not slow at its turn."""
    even = EVEN_BODY if path.body == lead else EVEN_LIMB
    even += TREMBLES * min(turn.tremble, MOST_TREMBLE)
    least = SINE_SHARE - factor * (SINE_SHARE - LEAST_SHARE)
    return turn.share < least and max(turn.shares) < EACH_SHARE and turn.uneven < even


def _is_caused(basis: Basis, places: Places, path: SwingPath, turn: Turn) -> bool:
    """Whether something else turns it: an event, what it hits, or what a foot can push."""
    if places.declared(path.body, turn.at - 1, turn.at + 1):
        return True
    if path.body != basis.lead:
        return meets(basis, path.body, turn.at)
    push = _push(basis, path, turn)
    return push is not None and push.needed <= push.given


def _push(basis: Basis, path: SwingPath, turn: Turn) -> Push | None:
    if path.body != basis.lead:
        return None
    return push_of(basis, turn.at, path.path, sides_of(basis))


def _swings(turns: Sequence[Turn]) -> list[list[Turn]]:
    """Turns in groups that share their ways."""
    groups: list[list[Turn]] = []
    for each in turns:
        if groups and each.first <= groups[-1][-1].last + TOGETHER:
            groups[-1].append(each)
        else:
            groups.append([each])
    return groups


def _without_carried(
    basis: Basis, found: list[tuple[SwingPath, list[Turn]]]
) -> list[tuple[SwingPath, list[Turn]]]:
    """Without swings of what another one carries at the time: a prop on an arm that swings."""

    def is_carried(path: SwingPath, turns: list[Turn]) -> bool:
        above = basis.ancestors(path.body)
        return any(
            other.body in above
            and turns[0].first <= theirs[-1].last
            and theirs[0].first <= turns[-1].last
            for other, theirs in found
            if other.body != basis.lead
        )

    return [each for each in found if not is_carried(*each)]


def _event(
    basis: Basis, seen: Basis, places: Places, path: SwingPath, turns: list[Turn]
) -> RawEvent:
    worst = min(turns, key=lambda each: each.share)
    first, last = places.span(turns[0].first, turns[-1].last, worst.at)
    swung = Swung(
        body=path.body,
        is_body=path.body == basis.lead,
        turns=tuple(turns),
        worst=worst,
        push=_push(seen, path, worst),
        span=(first, last),
        least=LEAST_SHARE,
    )
    return swing_event(basis, places, swung)


def _good(turns: Sequence[Turn]) -> str:
    low, high = (100.0 * f(each.share for each in turns) for f in (min, max))
    part = f"{low:.0f} %" if round(low) == round(high) else f"{low:.0f} to {high:.0f} %"
    many = "1 swing turns" if len(turns) == 1 else f"{len(turns)} turns of swings"
    slows = "slowly" if len(turns) == 1 else "are slow"
    return f"{many} {slows}: {part} of the time near the extremes; even spacing gives 25 %."
