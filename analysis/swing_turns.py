# SPDX-License-Identifier: GPL-3.0-or-later
"""Swings that do not slow at their turns: the body from side to side, an arm, a prop.

What swings to and fro is slow at the extremes, sideways too: the leg must first stop the body and
then push it back. Judged is even spacing alone, never a long stay: a hold is a hold.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .evidence import RawEvent
from .loop import Cycle
from .looped import Places, lay_out
from .memory import recalled
from .swing_paths import SwingPath, find_paths, sides_of
from .swing_push import OVER_S, Push, push_of
from .swing_shape import SINE_SHARE, Turn, find_turns, is_even_way, off_a_sine
from .swing_words import Swung, swing_event
from .touch import meets

Floats = NDArray[np.float64]

# Of the time, what the outer quarters of both ways must have: less is a finding. Each way by itself
# may have a little more, and both are even to this share of them: a body's, and a limb's.
LEAST_SHARE, EACH_SHARE = 0.29, 0.32
EVEN_BODY, EVEN_LIMB = 0.07, 0.06
# Where a way is short, or a limb's comes out of a stand or goes into one, both must be this much
# more even.
LED_TIMES = 0.6
# A turn that shares its way with one that is found is found from less on: its ways may be uneven
# by so many times as much, and each have this share of the time.
BESIDE_TIMES, BESIDE_SHARE = 2.0, 0.36
# A tremble makes even ways uneven by this much of it; one of more than so much of a way hides them.
TREMBLES, MOST_TREMBLE = 1.5, 0.015
# A ball turns quicker than a foot could push it where that takes, over twice the time in which a
# turn is told, so much of its weight and so many times what the foot can give (clean ones: .38 of
# the weight and .7 times; a pop takes that for one frame alone).
QUICK_G, QUICK_TIMES, QUICK_S = 0.4, 1.5, 2.0 * OVER_S
# So many turns of two parts or more, and this share of all turns: that is how the shot is done.
HABIT_TURNS, HABIT_SHARE = 8, 0.75


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
        quick = [each.at for each in turns if _is_too_quick(seen, path, each, factor)]
        even = [
            each
            for each in turns
            if each.at in quick or _is_even(each, path, basis.lead, factor, beside=True)
        ]
        even = [each for each in even if not _is_caused(seen, places, path, each)]
        swings = (_found(each, path, basis.lead, factor, quick) for each in _swings(even))
        found += [(path, each) for each in swings if each]
    found = _without_carried(basis, found)
    count = sum(len(turns) for _path, turns in found)
    measures = {"swing_share": float(np.mean([t.share for t in every]))} if every else {}
    parts = len({path.body for path, _turns in found})
    if count >= HABIT_TURNS and parts > 1 and count >= HABIT_SHARE * len(every):
        says = f"{count} of {len(every)} turns of swings do not slow: taken for the shot's style."
        return SwingTurns((), len(every), says, "", measures)
    events = tuple(_event(basis, seen, places, path, turns) for path, turns in found)
    good = "" if events else _good([each.share for each in every])
    return SwingTurns(events, len(every), "", good, measures)


def _once(length: int, turn: Turn) -> bool:
    """Whether a turn stands for its repeats in the other rounds of a loop."""
    return length <= turn.at < 2 * length


def _turns(basis: Basis, path: SwingPath) -> list[Turn]:
    """All turns of a path, where it is known."""
    return [
        each
        for each in recalled(basis.memory, find_turns, path.path, basis.dt_s, path.least_m)
        if path.known[each.first : each.last + 1].all()
    ]


def _is_even(
    turn: Turn, path: SwingPath, lead: int, factor: float, *, beside: bool = False
) -> bool:
    """Whether a swing does not slow at its turn; beside: as what is told beside one that does."""
    even = EVEN_BODY if path.body == lead else EVEN_LIMB
    if not beside and (turn.short or (turn.led and path.body != lead)):
        even *= LED_TIMES
    even += TREMBLES * min(turn.tremble, MOST_TREMBLE)
    each = BESIDE_SHARE if beside else EACH_SHARE
    return (
        turn.share < _least(factor)
        and max(turn.shares) < each
        and turn.uneven < even * (BESIDE_TIMES if beside else 1.0)
    )


def _is_too_quick(basis: Basis, path: SwingPath, turn: Turn, factor: float) -> bool:
    """Whether a ball, whose other spacing is not asked about here, turns quicker than a foot that
    is planted outside of it could push."""
    if not basis.clip.is_ball or turn.share >= _least(factor):
        return False
    push = push_of(basis, turn.at, path.path, sides_of(basis), over_s=QUICK_S)
    return push is not None and push.needed > factor * max(QUICK_G, QUICK_TIMES * push.given)


def _least(factor: float) -> float:
    """The share of its time that a swing has near its turn at the least."""
    return SINE_SHARE - factor * (SINE_SHARE - LEAST_SHARE)


def _found(
    swing: Sequence[Turn], path: SwingPath, lead: int, factor: float, quick: Sequence[int]
) -> list[Turn]:
    """The turns of a swing that are even by themselves, or on one of the quick samples, and those
    beside them."""
    even = [
        n for n, each in enumerate(swing) if each.at in quick or _is_even(each, path, lead, factor)
    ]
    near = {beside for n in even for beside in (n - 1, n, n + 1)}
    return [each for n, each in enumerate(swing) if n in near]


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
        if groups and each.begins <= groups[-1][-1].ends:
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
    first, last = places.span(*_span(path, turns), worst.at)
    # Between two turns the whole way is told, which goes further than what is judged of it.
    ways = [(a.at, b.at) for a, b in pairwise(turns)] or [(worst.first, worst.at)]
    told = [off_a_sine(path.path, *way) for way in ways]
    far, length, way = max((*each, way) for each, way in zip(told, ways, strict=True))
    swung = Swung(
        body=path.body,
        is_body=path.body == basis.lead,
        turns=tuple(turns),
        worst=worst,
        push=_push(seen, path, worst),
        span=(first, last),
        least=LEAST_SHARE,
        led=any(turn.led for turn in turns),
        off_m=max(far, *(turn.off_m for turn in turns)),
        way_m=length,
        way_frames=way[1] - way[0],
    )
    return swing_event(basis, places, swung)


def _span(path: SwingPath, turns: Sequence[Turn]) -> tuple[int, int]:
    """The samples of a swing: of its outer ways all that is even, or what was judged of them."""
    start, end = turns[0], turns[-1]
    whole = [
        is_even_way(path.path, *way, EVEN_BODY)
        for way in ((start.begins, start.at), (end.at, end.ends))
    ]
    return (
        min(start.begins, start.first) if whole[0] else start.first,
        max(end.ends, end.last) if whole[1] else end.last,
    )


def _good(shares: Sequence[float]) -> str:
    """What holds: of the turns that are slow, as those that are sharp are no fault, but no good."""
    slow = [100.0 * share for share in shares if share >= LEAST_SHARE]
    if not slow:
        return ""
    part = f"{min(slow):.0f} %"
    if round(min(slow)) != round(max(slow)):
        part = f"{min(slow):.0f} to {max(slow):.0f} %"
    many, are = (f"{len(slow)} of {len(shares)} turns of swings", "are slow")
    if len(slow) == len(shares):
        many = f"{len(shares)} turns of swings"
    if len(shares) == 1:
        many, are = "1 swing turns", "slowly"
    return f"{many} {are}: {part} of the time near the extremes; even spacing gives 25 %."
