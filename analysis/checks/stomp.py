# SPDX-License-Identifier: GPL-3.0-or-later
"""`stomp`: does a foot slam down where the others are put down?"""

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..basis.landings import Landing, find_landings
from ..declared import is_declared
from ..evidence import Evidence, RawEvent, Suggestion
from ..loop import Cycle
from ..words import count_text, frame_text, size_text, speed_text
from .contract import CheckInfo

Floats = NDArray[np.float64]

# A landing is compared with others that step up or down as far, to this share of the height
# (25 cm at 1.7 m), and with so many at least.
LEAST_OTHERS, LEVEL_SHARE = 6, 0.25 / 1.7
# It slams where it is so many times as fast as half of them, and so many times as fast as their
# hardest tenth (the hardest of fewer than so many).
MEDIAN_TIMES, HARDEST_TIMES, MANY, HARDEST = 1.5, 1.2, 8, 0.9
# A body that steps falls this fast by itself (share of the height a second; .3 m/s at 1.7 m).
STEP_FALL_SHARE = 0.3 / 1.7
# Slower than this share of the height a second (.35 m/s at 1.7 m) nothing slams; nor does a foot
# that comes out of a flight and is no more than that faster than the body falls.
LEAST_SHARE = 0.35 / 1.7
# A foot that trembles lands at a speed that is known so well (in its standard deviations).
UNSURE_TIMES = 2.0
# A foot that stands lower than the others by more than this (.5 cm at 1.7 m) is on its way under
# the floor, and goes so much further within so many seconds: to raise it mends that.
UNDER_SHARE, UNDER_S = 0.005 / 1.7, 0.05
# How long before it touches a foot that slams can be seen to hang back.
SEEN_S = 0.08
# It is asked to be lower where it is so by more than this (.5 cm at 1.7 m).
SEEN_SHARE = 0.005 / 1.7
# Landings that are all as hard as this (m/s at 1.7 m, beyond the fall) are told as a style.
HARD_SHARE = 1.5 / 1.7

INFO = CheckInfo(
    name="stomp",
    question="Does a foot slam down, harder than the shot's other landings?",
    definition=(
        "The speed at which the point of the sole that touches first comes down, .02 s before it "
        "is within .5 cm of the height on which it stands, between frames (or in the step to that, "
        "where it is faster); over up to .1 s where the feet tremble from frame to frame. "
        "The speed at which the body itself falls there, beyond the .3 m/s "
        "at 1.7 m of a step, is taken off: the landing of a jump is faster by right, and none is "
        "told that comes down as fast as the body falls out of the air. Compared "
        "with the shot's other landings, of both feet, that step up or down as far (to 25 cm): "
        "a step off a ledge is none on a level floor. A foot that then stands lower by more "
        "than .5 cm at 1.7 m may go that further within .05 s: it is to be raised. A sole "
        "within 1.2 cm whose lowest point hardly moves (.1 m/s) touches too: it rolls on what "
        "bears it. Landings that are all alike are a style."
    ),
    unit="m/s",
    limit="1.5 times the median of such landings, and .35 m/s at 1.7 m; six of them or more",
    limit_in_full=(
        "1.5 times the median of such landings, and 1.2 times their hardest tenth (of fewer "
        "than eight, the hardest); .35 m/s at 1.7 m at least, out of a flight beyond the speed at "
        "which the body falls; six landings or more; what the noise of feet that tremble leaves "
        "unknown of a speed (2 standard deviations) is allowed besides"
    ),
    source="common practice, no source; limits from trials on keyed and captured walks",
    stages=("spline", "polish"),
    mend="Bring the foot down a frame or two earlier, and let it slow down into the floor.",
)


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """One event for each landing that is harder than the others, on its foot."""
    if not basis.soles:
        return Evidence("stomp", skipped="no foot is known, and only feet can stomp")
    landings = find_landings(basis)
    if not landings:
        return Evidence("stomp", skipped="no foot lands in this range")
    speeds = np.array([each.speed for each in landings])
    measures = {"touch_down_m_s": float(np.median(speeds)) * basis.height.to_story}
    own = speeds - np.array([_falls(basis, each) for each in landings])
    others = [_others(basis, landings, n) for n in range(len(landings))]
    judged = [n for n, alike in enumerate(others) if len(alike) >= LEAST_OTHERS]
    if not judged:
        why = f"{count_text(len(landings), 'landing')}, too few {{}}to tell how hard is usual"
        kind = "" if len(landings) <= LEAST_OTHERS else "that step up or down alike "
        return Evidence("stomp", skipped=why.format(kind), measures=measures)
    found = [
        _event(basis, landings[n], [landings[m] for m in others[n]], limit, usual)
        for n in judged
        for limit, usual in [_limit(basis, own[others[n]], landings[n])]
        if landings[n].speed > limit + _goes_under(basis, landings, n, others[n])
    ]
    events = tuple(e for e in found if not is_declared(basis, e.body or 0, e.first, e.last))
    good = "" if events else _good(basis, [landings[n] for n in judged], len(landings))
    return Evidence("stomp", events, good=good, habit=_habit(basis, own), measures=measures)


def _falls(basis: Basis, landing: Landing) -> float:
    """How fast the body falls beyond what it does in a step, m/s."""
    return max(landing.fall - STEP_FALL_SHARE * basis.height.scene_m, 0.0)


def _others(basis: Basis, landings: tuple[Landing, ...], n: int) -> list[int]:
    """Which of the other landings step up or down as far as this one."""
    near = LEVEL_SHARE * basis.height.scene_m
    return [
        m
        for m, other in enumerate(landings)
        if m != n and abs(other.rise - landings[n].rise) <= near
    ]


def _limit(basis: Basis, others: Floats, landing: Landing) -> tuple[float, float]:
    """How fast a landing may be, and what is usual for one with its fall, m/s."""
    many = len(others) >= MANY
    hardest = float(np.quantile(others, HARDEST) if many else others.max())
    median, falls = float(np.median(others)), _falls(basis, landing)
    least = landing.flown + LEAST_SHARE * basis.height.scene_m
    over = max(MEDIAN_TIMES * median, HARDEST_TIMES * hardest) * basis.settings.factor("stomp")
    unsure = UNSURE_TIMES * landing.unsure
    return max(falls + over, least) + unsure, max(falls + median, 0.0)


def _goes_under(basis: Basis, landings: tuple[Landing, ...], n: int, others: list[int]) -> float:
    """How much faster a foot is that is put down under what bears the others, m/s."""
    usual = float(np.median([landings[m].level for m in others]))
    under = usual - landings[n].level
    return under / UNDER_S if under > UNDER_SHARE * basis.height.scene_m else 0.0


def _hangs(landing: Landing, others: list[Landing], most: int) -> tuple[int, float]:
    """How many samples before it touches (of so many) a foot is too high by most, and metres.

    That is, over where the others are so long before they touch, and never to be under the floor.
    """
    hangs = [
        float(landing.above[-1 - ago]) - max(float(np.median(seen)), 0.0)
        for ago in range(1, min(most, len(landing.above) - 1) + 1)
        for seen in [[each.above[-1 - ago] for each in others if len(each.above) > ago] or [0.0]]
    ]
    at = int(np.argmax(hangs))
    return at + 1, max(hangs[at], 0.0)


def _suggestion(basis: Basis, at: int, ago: int, lower: float) -> Suggestion:
    """To bring a foot that touches at a sample down sooner, or to slow it down alone."""
    if lower < SEEN_SHARE * basis.height.scene_m:
        return Suggestion("Let {it} slow down into the floor.", frame=float(basis.frames[at]))
    frame = basis.frames[at - ago]
    return Suggestion(
        f"Have {{it}} {size_text(lower * basis.height.to_story)} lower at frame "
        f"{frame_text(frame)}, and let it slow down into the floor.",
        frame=float(frame),
        offset=np.array([0.0, 0.0, -lower]),
    )


def _event(
    basis: Basis, landing: Landing, others: list[Landing], limit: float, usual: float
) -> RawEvent:
    to_story, at, body = basis.height.to_story, landing.at, landing.plant.body
    frames = max(round(SEEN_S / basis.dt_s), 1)
    times = landing.speed / max(usual, 1e-9)
    says = (
        f"The {{who}} slams down at frame {frame_text(basis.frames[at])}: it lands at "
        f"{speed_text(landing.speed * to_story)}, {times:.1f} times as fast as the shot's "
        f"other landings ({speed_text(usual * to_story)})."
    )
    return RawEvent(
        check="stomp",
        body=body,
        first=max(at - frames, 0),
        last=at,
        peak=at,
        amount=landing.speed * to_story,
        limit=limit * to_story,
        unit="m/s",
        visible_m=(landing.speed - usual) * SEEN_S,
        step_m=landing.speed * basis.dt_s,
        says=says,
        suggestion=_suggestion(basis, at, *_hangs(landing, others, frames)),
    )


def _good(basis: Basis, judged: list[Landing], every: int) -> str:
    to_story = basis.height.to_story
    hardest = max(each.speed for each in judged) * to_story
    usual = float(np.median([each.speed for each in judged])) * to_story
    compared = f" ({len(judged)} of them compared)" if len(judged) < every else ""
    return (
        f"{count_text(every, 'landing')}{compared}, none slams: at {speed_text(usual)} as a rule, "
        f"at {speed_text(hardest)} at most."
    )


def _habit(basis: Basis, own: Floats) -> str:
    """A sentence where every landing is hard."""
    if float(np.median(own)) < HARD_SHARE * basis.height.scene_m:
        return ""
    speed = speed_text(float(np.median(own)) * basis.height.to_story)
    return f"Feet come down hard all through, at {speed}: a style."
