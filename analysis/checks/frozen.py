# SPDX-License-Identifier: GPL-3.0-or-later
"""`frozen`: does the body's main control stand dead while the limbs move?"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..basis.contacts import runs
from ..declared import of_figure
from ..evidence import Evidence, RawEvent, Suggestion
from ..loop import Cycle
from ..parts import label
from ..words import direction_text, frame_text
from .contract import CheckInfo

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Heights a second: slower than this at all its points, the root is dead (.9 cm/s at 1.7 m);
# faster than this, a limb's end travels, on the whole and in each third of the time.
DEAD_SPEED, TRAVELS, STILL_TRAVELS = 0.005, 0.15, 0.1
# And it gets so far from where it was, a share of the height (14 cm).
GETS_FAR = 0.08
# Seconds: so long the root is dead, and over so long its pace is taken at any frame rate.
LEAST_S, PACE_S = 0.45, 1.0 / 24.0
# Of all the time in which limbs travel: more than this, and the root's rest is the shot's habit.
HABIT_SHARE = 0.75
# Nearer than this share of the height to what bears it, the root sits or lies (10 cm).
RESTS_SHARE = 0.06
# What tells how it came and went: so many seconds beside the stretch. Smaller than this share of
# the height (1 cm) is not told.
BESIDE_S, SEEN_SHARE = 0.25, 0.006
# What the eye misses of the root is no less than this share of what the limbs do.
MISSED_SHARE = 0.1
ENDS = ("hand", "foot", "head")

INFO = CheckInfo(
    name="frozen",
    question="Does the body's main control stand dead while the limbs move?",
    definition=(
        "The root is dead where its joint, its tip and a point to its side all move by less "
        "than half a per cent of the height a second. Where that lasts for .45 s or more, and a "
        "hand, a foot or the head travels meanwhile (15 % of the height a second, 10 % in each "
        "third of the time, and 8 % of the height away from where it was), the body is frozen. "
        "A hold in which all rests is none, nor is a root that sits or lies within 6 % of the "
        "height of the floor or of what bears weight. Where it is dead in more than three "
        "quarters of the time in which limbs travel, that is the shot's habit. Frames of "
        "declared events are left out."
    ),
    unit="s",
    limit="dead for .45 s",
    source="common practice, no source; limits from trials on captured and keyed motion",
    stages=("spline", "polish"),
    mend="Let the root carry the move: shift weight, turn, or drift a little under the limbs.",
)


@dataclass(frozen=True)
class _Stretch:
    """The root is dead on samples first..last, meanwhile the end `shown` travels most."""

    first: int
    last: int
    seconds: float
    shown: int
    travel: float


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """Stretches in which the root is frozen; no body but the root is off in them."""
    root, ends = _root(basis), _ends(basis)
    if root is None or not ends:
        return Evidence("frozen", skipped="needs a root, and hands, feet or a head, without gaps")
    least = LEAST_S * basis.settings.factor("frozen")
    grain = max(round(PACE_S / basis.dt_s), 1)
    if basis.dt_s * (len(basis.frames) - 1) < max(least, basis.dt_s * (grain + 1)):
        return Evidence("frozen", skipped=f"needs {least:.2g} s or more")
    dead = _paces(basis, basis.marks[:, [root]], grain)[:, 0] < DEAD_SPEED
    limbs = _limbs(basis, root, ends)
    lively = (_paces(basis, limbs, grain) >= TRAVELS).any(axis=1)
    share = float(np.mean(dead[lively])) if lively.any() else 0.0
    measures = {"root_dead_pct": 100.0 * share}
    if share > HABIT_SHARE:
        habit = f"The root stands still for {100 * share:.0f} % of the time in which limbs move."
        return Evidence("frozen", habit=habit, measures=measures)
    events = []
    for first, last in runs(dead & ~_rests(basis, root)[:-grain]):
        stretch = _stretch(basis, limbs, ends, first, last + grain)
        long = stretch.seconds >= least and _travels(basis, limbs, stretch, grain)
        if long and not of_figure(basis, stretch.first, stretch.last):
            events.append(_event(basis, root, stretch, least))
    good = "The root never stands dead while limbs move." if lively.any() and not events else ""
    return Evidence("frozen", tuple(events), good=good, measures=measures)


def _root(basis: Basis) -> int | None:
    """The body's main control, if it is known throughout."""
    found = basis.body("root")
    found = basis.body("pelvis") if found is None else found
    return found if found is not None and bool(np.all(basis.valid[:, found])) else None


def _ends(basis: Basis) -> list[int]:
    """Hands, feet and head, those that are known throughout."""
    parts = [(body.part or "").partition(".")[0] for body in basis.bodies]
    known = np.all(basis.valid, axis=0)
    return [n for n, part in enumerate(parts) if part in ENDS and known[n]]


def _limbs(basis: Basis, root: int, ends: list[int]) -> Floats:
    """(T,E,2,3) joint and tip of every end, from the root on."""
    return np.asarray(basis.marks[:, ends, :2] - basis.positions[:, root, None, None])


def _paces(basis: Basis, points: Floats, grain: int) -> Floats:
    """(T - grain, E) heights a second of the faster of each end's points (T,E,N,3)."""
    gone = np.linalg.norm(points[grain:] - points[:-grain], axis=-1).max(axis=-1)
    return np.asarray(gone / (grain * basis.dt_s) / basis.height.scene_m)


def _rests(basis: Basis, root: int) -> Bools:
    """(T,) whether the root lies or sits on something that is known to bear weight."""
    above = basis.ground.clearance(basis.positions[:, [root]])[:, 0]
    return np.asarray(above < RESTS_SHARE * basis.height.scene_m)


def _stretch(basis: Basis, limbs: Floats, ends: list[int], first: int, last: int) -> _Stretch:
    gone = np.linalg.norm(limbs[first : last + 1] - limbs[first], axis=-1).max(axis=(0, 2))
    most = int(np.argmax(gone))
    return _Stretch(first, last, (last - first) * basis.dt_s, ends[most], float(gone[most]))


def _travels(basis: Basis, limbs: Floats, stretch: _Stretch, grain: int) -> bool:
    """Whether an end goes on travelling all the while."""
    paces = _paces(basis, limbs[stretch.first : stretch.last + 1], grain)
    thirds = np.array_split(paces, 3)
    goes_on = min(float(third.mean(axis=0).max()) for third in thirds) >= STILL_TRAVELS
    far = stretch.travel >= GETS_FAR * basis.height.scene_m
    return goes_on and far and float(paces.mean(axis=0).max()) >= TRAVELS


def _event(basis: Basis, root: int, stretch: _Stretch, least: float) -> RawEvent:
    a, b = (frame_text(basis.frames[at]) for at in (stretch.first, stretch.last))
    end = label(basis.bodies[stretch.shown].part or "")
    went = basis.size_text(stretch.travel)
    away = _missing(basis, root, stretch)
    size = float(np.linalg.norm(away))
    middle = (stretch.first + stretch.last) // 2
    text = f"Let {{it}} carry the move between frames {a} and {b}"
    if size >= SEEN_SHARE * basis.height.scene_m:
        way = direction_text(away, basis.forward[middle])
        text += (
            f": half way it would be {basis.size_text(size)} further {way} at "
            f"{frame_text(basis.frames[middle])}"
        )
    return RawEvent(
        check="frozen",
        body=root,
        first=stretch.first,
        last=stretch.last,
        peak=middle,
        amount=stretch.seconds,
        limit=least,
        unit="s",
        visible_m=max(size, MISSED_SHARE * stretch.travel),
        step_m=0.0,
        says=(
            f"The {{who}} stands dead from frame {a} to {b} while the limbs go on: "
            f"the {end} gets {went} away."
        ),
        suggestion=Suggestion(
            f"{text}.",
            frame=float(basis.frames[middle]),
            position=basis.positions[middle, root] + away,
            offset=away,
        ),
    )


def _missing(basis: Basis, root: int, stretch: _Stretch) -> Floats:
    """(3,) metres from where the root stands to half way between where it was a moment before
    and where it is a moment after; zero where the range does not show that."""
    many = round(BESIDE_S / basis.dt_s)
    before, after = stretch.first - many, stretch.last + many
    if before < 0 or after >= len(basis.frames):
        return np.zeros(3)
    path = basis.positions[:, root]
    return np.asarray(0.5 * (path[before] + path[after]) - path[stretch.first])
