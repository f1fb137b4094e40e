# SPDX-License-Identifier: GPL-3.0-or-later
"""What `hard_stop` and `hard_start` return: one is the other played backwards."""

from dataclasses import replace

from ..basis import Basis
from ..ends import Ends
from ..evidence import Evidence, OwnMotion, RawEvent
from ..loop import Cycle
from ..moment import body_of
from ..own_breaks import own_motion
from ..stop_events import SLOW_SHARE, DeadStop, FoundStops, find_dead_stops
from ..stop_points import judged_points
from ..stops import ONE_FRAME_S, rest_steps
from ..words import frame_text
from .stop_words import advice, stop_words

# So many moments of rest, and this share of them hard: that is how the shot is done.
HABIT_MOMENTS, HABIT_SHARE = 5, 0.7
# Bodies that stop so many samples apart stop at one moment.
TOGETHER = 1


def stops_or_starts(basis: Basis, cycle: Cycle, check: str, *, starts: bool) -> Evidence:
    """The evidence of either check; a shot that does so all the time has a style instead."""
    ends = Ends(basis, cycle)
    shortest = rest_steps(basis.dt_s) + 4
    if ends.length < shortest:
        why = f"needs {shortest} frames or more, the range has {ends.length}"
        return Evidence(check, skipped=why)
    if not judged_points(basis, ends).any():
        return Evidence(check, skipped="no part is known long enough without a gap")
    found = find_dead_stops(basis, ends, check, starts=starts)
    share = found.hard_moments / found.moments if found.moments else 0.0
    measures = {f"{check}_share": share} if found.moments else {}
    if found.hard_moments >= HABIT_MOMENTS and share >= HABIT_SHARE:
        return Evidence(check, habit=_habit(found, starts=starts), measures=measures)
    raw = [_event(basis, check, stop, starts=starts) for stop in found.stops]
    good = "" if raw else _good(basis, found, starts=starts)
    own = own_motion(basis, ends) if raw else None
    events = _with_carriers(basis, raw, own) if own else ()
    return Evidence(check, events, own, good=good, measures=measures)


def _with_carriers(basis: Basis, events: list[RawEvent], own: OwnMotion) -> tuple[RawEvent, ...]:
    """The events; what hangs on a body that stops at the same moment only stops with it.

    Such a body has no motion of its own there, and shows no more than what carries it does.
    """
    told = []
    for event in events:
        above = basis.ancestors(body_of(event))
        carry = [e for e in events if e.body in above and abs(e.peak - event.peak) <= TOGETHER]
        if carry:
            span = slice(max(event.peak - TOGETHER, 0), event.peak + TOGETHER + 1)
            for values in (own.metres, own.any_metres, own.turn):
                values[span, event.body] = 0.0
            least = min(event.visible_m, max(each.visible_m for each in carry))
            event = replace(event, visible_m=least)
        told.append(event)
    return tuple(told)


def _event(basis: Basis, check: str, stop: DeadStop, *, starts: bool) -> RawEvent:
    limit = basis.settings.factor(check) * SLOW_SHARE * basis.height.scene_m
    return RawEvent(
        check=check,
        body=stop.body,
        first=stop.at,
        last=stop.at,
        peak=stop.at,
        amount=basis.amount(stop.speed),
        limit=basis.amount(limit),
        unit=f"{basis.unit}/s",
        # What the eye misses: the way that it would have gone on in a 24th of a second.
        visible_m=stop.speed * ONE_FRAME_S,
        step_m=stop.speed * basis.dt_s,
        says=stop_words(basis, stop, starts=starts),
        point=basis.mark_name(stop.body, stop.mark),
        suggestion=advice(basis, stop, starts=starts),
    )


def _habit(found: FoundStops, *, starts: bool) -> str:
    share = f"{found.hard_moments} of {found.moments}"
    if starts:
        return f"Most moves start at full speed ({share}): taken for the shot's style."
    return f"Most moves stop dead ({share}): taken for the shot's style."


def _good(basis: Basis, found: FoundStops, *, starts: bool) -> str:
    first, last = (frame_text(basis.frames[at]) for at in (0, -1))
    what = "starts at full speed from rest" if starts else "stops dead"
    known = "" if basis.valid.all() else ", as far as it is known"
    return f"Nothing {what} from frame {first} to {last}{known}."
