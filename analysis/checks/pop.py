# SPDX-License-Identifier: GPL-3.0-or-later
"""`pop`: does a point leave its own path for a frame or two, or go on elsewhere at once?"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ..basis import SIDE, Basis
from ..declared import is_struck
from ..ends import Ends
from ..evidence import Evidence, RawEvent, Suggestion
from ..impacts import without_jolted
from ..leave_out import NEARBY, REACH
from ..loop import Cycle
from ..pop_own import own_pops
from ..pops import Pop, find_pops
from ..steps_aside import StepAside, find_steps
from ..switch_jumps import switch_jumps
from ..words import frame_text
from .contract import CheckInfo
from .pop_switches import switch_event, without_switches
from .pop_words import Told, pole_words, told_in_words

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# What off-step poses on twos are compared with: what is too small to be seen (1 cm at 1.7 m).
SEEN_SHARE = 0.006
OWN_SHARE = 0.6
# A shift moves all three marks alike: the joint tells it unless another shows clearly more.
PREFERRED = np.array([1.1, 1.05, 1.0])
# Among widths that explain an event almost equally well, the narrowest is meant.
NARROW_SHARE = 0.6

INFO = CheckInfo(
    name="pop",
    question="Does a point leave its own path for a frame or two, or go on elsewhere at once?",
    definition=(
        "One to three frames are left out and predicted by a fourth-degree polynomial through "
        "three frames on either side. What is off by more than can be overlooked (a size, and a "
        "share of what the point travels in a frame nearby) must stand out from what is left "
        "nearby once those frames are repaired, and from the median within .75 seconds; or the "
        "body, or one that carries it, must do so against what it hangs on, where fast motion "
        "hides less. The frames must be off the path before them and off the path after them by "
        "about the same, each continued straight or as a parabola, whichever foretold its own "
        "last frame, or the body plainly so against what it hangs on: a corner, a hard stop and a "
        "move that takes two frames are no pops. Above "
        "47 frames a second every second frame is looked at as well, so that a stray key's bump "
        "of a frame at 24 is found at 60. A point that goes on elsewhere from one frame to the "
        "next, and then as before, is told too; what falls short of its path so is left to "
        "`hitch`. Where a property or an influence goes half of its way or more within two frames, "
        "what it drives may jump by less, .6 % of the height; a switch that is matched does not. "
        "Each body is followed by its joint, its tip and a point to its side, so a turn "
        "shows as much as a shift. The first and the last three frames are judged in loops only. "
        "Nothing pops where a hit, pull, catch or freeze is declared, or as far as a fall jolts it."
    ),
    unit="cm",
    limit=(
        "at 1.7 m 1.3 cm, limbs and props 2.2, over two or three frames 4.5; more in rough motion"
    ),
    limit_in_full=(
        "one frame: .76 % of the height (1.3 cm at 1.7 m), of limbs and props 1.32 % (2.2 cm), "
        "over two or three frames: 2.65 % (4.5 cm); and .4 of what the point travels in a frame, "
        "of thighs and shins twice that (knees swing out near full reach); and 5 times (8 times "
        "for two or three) the root mean square of what is left, and 2.7 (2.4) times the median, "
        "unless the body is off by itself: by 5.1 (9) and 4.25 (3.75) times those; a leg next to "
        "its foot's landing or leaving 1.25 times as much, where both leave at once for a flight "
        "1.6, every second frame 1.5, frames further apart than .05 s (on twos) 1.6 times; for "
        ".2 s at most; where one side does not foretell its own last frame, a single frame 3.3 "
        "times the largest that is left; a step: twice the size, larger than what the point "
        "travels in a frame nearby, .68 of what it travels in five frames beyond that (a quick "
        "move eases in or out), ten times what the point trembles (the standard deviation that "
        "sixth differences tell), and of limbs on twos than what goes 5 m/s at 1.7 m (a punch); "
        "at a switch 2.5 times the root mean square of what the path does so nearby"
    ),
    source="residuals of local polynomials; limits set on half of the corpus, with noise as well",
    stages=("spline", "polish"),
    mend="Delete or move the stray key, or smooth the handles around it.",
    asked_of="points",
    spaces=("world", "camera"),
)


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """Pops of every body; evidence: each body's own motion where it pops."""
    ends = Ends(basis, cycle)
    shortest = 2 * REACH[1] + 3
    if ends.length < shortest:
        why = f"needs {shortest} frames or more, the range has {ends.length}"
        return Evidence("pop", skipped=why)
    known = ~_near_gaps(basis)
    if not known.any():
        return Evidence("pop", skipped="no part is known long enough without a gap")
    steps = find_steps(basis, ends, known)
    found: list[Pop | StepAside] = [*find_pops(basis, ends, known), *steps]
    events = [
        _event(basis, ends, each)
        for body in range(len(basis.bodies))
        for each in _without_overlap([other for other in found if other.body == body])
    ]
    switches = switch_jumps(basis, basis.settings.factor("pop"))
    events = without_switches(events, switches) + [switch_event(basis, e) for e in switches]
    free = [e for e in events if not is_struck(basis, e.body or 0, e.first, e.last)]
    told = without_jolted(basis, free)
    if not told:
        return Evidence("pop", good="" if events else _good(basis, ends))
    return Evidence("pop", tuple(told), own_pops(basis, ends, steps, switches))


def _good(basis: Basis, ends: Ends) -> str:
    first, last = (frame_text(basis.frames[at]) for at in ends.judged)
    known = "" if basis.valid.all() else ", as far as it is known"
    return f"No point leaves its path from frame {first} to {last}{known}."


def _near_gaps(basis: Basis) -> Bools:
    """(T,B) frames that are not judged: gaps, and all whose neighbours lie in one."""
    gap = ~basis.valid
    spread = gap.copy()
    for shift in range(1, max(REACH.values()) + NEARBY + 1):
        spread[shift:] |= gap[:-shift]
        spread[:-shift] |= gap[shift:]
    return spread


def _without_overlap(found: Sequence[Pop | StepAside]) -> list[Pop | StepAside]:
    """One body's events, of those that overlap the clearest; in time's order."""
    kept: list[Pop | StepAside] = []
    for best in sorted(found, key=lambda each: -_clear(each)):
        if any(_overlap(best, other) for other in kept):
            continue
        same = [
            each
            for each in found
            if _overlap(best, each) and _clear(each) >= NARROW_SHARE * _clear(best)
        ]
        kept.append(min(same, key=lambda each: (each.last - each.first, -_clear(each))))
    return sorted(kept, key=lambda each: each.first)


def _clear(found: Pop | StepAside) -> float:
    return float(found.ratio * PREFERRED[found.mark])


def _overlap(a: Pop | StepAside, b: Pop | StepAside) -> bool:
    """Events one frame apart are one event: repairing one takes most of the other away."""
    return a.first <= b.last + 1 and b.first <= a.last + 1


def _event(basis: Basis, ends: Ends, found: Pop | StepAside) -> RawEvent:
    """The event and its sentence."""
    path, shift = ends.path(found.body, found.mark)
    if isinstance(found, Pop):
        worst = int(np.argmax(np.linalg.norm(found.offset, axis=-1)))
        peak, offset = found.first + worst * found.stride, found.offset[worst]
        home = ends.frame_after(found.last)
    else:
        peak, offset, home = found.last, found.offset, None
    told = Told(
        body=found.body,
        first=found.first,
        last=found.last,
        peak=peak,
        offset=offset,
        moved=path[peak + shift] - path[max(peak + shift - 1, 0)],
        twist_deg=_twist_deg(basis, found.body, offset) if found.mark == SIDE else 0.0,
        home=home,
    )
    return _raw(basis, found.body, found.mark, told, found.limit)


def _raw(basis: Basis, body: int, mark: int, told: Told, limit: float) -> RawEvent:
    size = float(np.linalg.norm(told.offset))
    says, text = told_in_words(basis, told)
    return RawEvent(
        check="pop",
        body=body,
        first=told.first,
        last=told.last,
        peak=told.peak,
        amount=basis.amount(size),
        limit=basis.amount(limit),
        unit=basis.unit,
        visible_m=size,
        step_m=_step(basis.marks[:, body, mark], told.peak),
        says=says,
        point=basis.mark_name(body, mark),
        suggestion=Suggestion(
            text,
            frame=float(basis.frames[told.peak]),
            position=basis.marks[told.peak, body, mark] - told.offset,
            offset=-told.offset,
            own_text=pole_words(basis, told),
        ),
    )


def _twist_deg(basis: Basis, body: int, offset: Floats) -> float:
    """The twist of a body that moves the point to its side by an offset."""
    chord = float(np.linalg.norm(offset)) / (2.0 * float(np.linalg.norm(basis.offsets[body, SIDE])))
    return float(np.degrees(2.0 * np.arcsin(min(chord, 1.0))))


def _step(path: Floats, peak: int) -> float:
    """Mean travel of a point per frame around a peak, the peak itself left out."""
    first, last = max(peak - 3, 0), min(peak + 3, len(path) - 1)
    steps = np.linalg.norm(np.diff(path[first : last + 1], axis=0), axis=-1)
    keep = np.ones(len(steps), dtype=bool)
    keep[max(peak - first - 1, 0) : peak - first + 1] = False
    return float(steps[keep].mean()) if keep.any() else float(steps.mean())
