# SPDX-License-Identifier: GPL-3.0-or-later
"""`straight_run`: does a path run in a straight, even line and then turn sharply?"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..curves import Curve
from ..declared import is_declared
from ..ends import Ends
from ..evidence import Evidence, OwnMotion, RawEvent
from ..linear_keys import has_linear_keys, linear_curve
from ..linear_runs import LinearRun
from ..loop import Cycle
from ..run_paths import Track, Tracks, find_tracks
from ..straight import LEAST_STEPS, Run, arc_offset, find_runs
from ..straight_swings import straight_swings
from .contract import CheckInfo
from .straight_keys import lone_event, lone_keys
from .straight_words import run_advice, run_words

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# The smaller corner over what is left inside; turns are noisier than paths. Where the curves
# say that the keys are linear, it only has to be seen.
RATIO, TURN_RATIO, LINEAR_RATIO = 5.0, 6.0, 2.0
# Of the height: how far a run cuts off the path's swing (.4 cm at 1.7 m, .25 where it is exact),
# and how fast it is.
OFF_SHARE, EXACT_OFF_SHARE, FAST_SHARE = 0.0025, 0.0015, 0.15
# Runs that cut off less are no findings, but count for what the shot does alike.
SLIGHT_SHARE = 0.0005
# So many runs, and this share of all fast travel in them: that is how the shot is done.
HABIT_RUNS, HABIT_SHARE = 5, 0.35

INFO = CheckInfo(
    name="straight_run",
    question="Does a path run in a straight, even line and then turn sharply?",
    definition=(
        "Of every run of four steps or more, up to 1.5 s, the second differences at both ends "
        "are compared with the largest inside and 2 % of the mean step; where what is inside is "
        "under 1 % of it, corners of 4 % are enough. The run must be 15 % of the height a "
        "second fast and cut off the swing of a cubic through the two frames at each end, by "
        "four times what it lies off its own even line; nearly even ones must not be 2.5 times "
        "slower than the path beside them, and what is back on the line at once pops. Points of "
        "root, pelvis, chest, head, hands, raised feet and props are followed in the world, "
        "hands and head also as what carries them sees them; of trunk, neck, head and arms the "
        "turn against what carries them is judged as well: on linear keys it is even where the "
        "path is an arc. Keys are called linear only where the curves say so. Five runs or more "
        "that hold 35 % of all fast travel are the shot's style. Where the clip has its keys, a "
        "lone linear key of a location or rotation is told by itself, whatever else moves there: "
        "where under 10 % of all keys are linear or stepped, the curve is smooth before or after "
        "it, and smooth handles would take some point .6 % of the height away. Swings that are "
        "straight, but not even, are looks."
    ),
    unit="cm",
    limit="corners 5 times what is left inside, and .25 % of the height off the swing",
    limit_in_full=(
        "corners 5 times (turns 6 times, linear keys twice) what is left inside; .25 % of the "
        "height off the swing, .15 % for exact runs; a lone linear key .6 % (1 cm at 1.7 m)"
    ),
    source="velocity corners at both ends of even stretches; limits from trials",
    stages=("spline", "polish"),
    mend="Give the keys at both ends smooth handles, or a breakdown between them on the arc.",
    asked_of="points",
    spaces=("world", "camera"),
)


@dataclass(frozen=True, eq=False)
class _Found:
    run: Run
    track: Track
    first: int
    last: int
    curve: Curve | None
    clear: float

    @property
    def control(self) -> str | None:
        """Whose linear keys they are."""
        return self.curve.control if self.curve else None


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """Straight, even runs of every body."""
    ends = Ends(basis, cycle)
    shortest = LEAST_STEPS + 3
    if ends.length < shortest:
        why = f"needs {shortest} frames or more, the range has {ends.length}"
        return Evidence("straight_run", skipped=why)
    tracks = find_tracks(basis, ends)
    if not _lasts(tracks.judged, shortest):
        return Evidence("straight_run", skipped="no part is known long enough without a gap")
    found = _find(basis, tracks)
    share = _share(basis, tracks, found)
    measures = {"straight_share": share}
    if len(_moments(found)) >= HABIT_RUNS and share >= HABIT_SHARE:
        says = (
            f"Most of the travel ({share:.0%}) runs straight and even: taken for the shot's style."
        )
        return Evidence("straight_run", habit=says, measures=measures)
    found = [e for e in found if e.run.off_m >= _least_off(basis, e.run) and e.run.is_straight]
    lone = lone_keys(basis)
    found = [each for each in found if not any(_is_of(each, other) for other in lone)]
    events = tuple(_event(basis, tracks, each) for each in found)
    events += tuple(lone_event(basis, each) for each in lone)
    good = "" if events else "No path runs in a straight, even line from corner to corner."
    told = [(each.track.body, each.first, each.last) for each in found]
    told += [(each.body, each.first, each.last) for each in lone]
    looks = straight_swings(basis, "straight_run", told)
    return Evidence(
        "straight_run", events, _own(basis, found, lone), good=good, looks=looks, measures=measures
    )


def _find(basis: Basis, tracks: Tracks) -> list[_Found]:
    """The runs that are over their limits, inside the range and not declared."""
    factor, height = basis.settings.factor("straight_run"), basis.height.scene_m
    known = has_linear_keys(basis)
    found = []
    for run in find_runs(
        tracks.paths,
        basis.dt_s,
        ratios=np.array([LINEAR_RATIO if known else _ratio(each) for each in tracks.names]),
        factor=factor,
        least_m=factor * SLIGHT_SHARE * height,
        least_m_s=FAST_SHARE * height,
    ):
        track = tracks.names[run.track]
        first, last = run.first - tracks.shift, run.last - tracks.shift
        inside = first >= 0 and last < len(basis.frames)
        if not inside or not tracks.judged[run.first : run.last + 1, run.track].all():
            continue
        if any(is_declared(basis, track.body, at, at) for at in (first, last)):
            continue
        curve = linear_curve(basis, track.body, *basis.frames[[first, last]]) if known else None
        clear = run.clear(LINEAR_RATIO if curve else _ratio(track))
        if clear >= factor:
            found.append(_Found(run, track, first, last, curve, clear))
    return found


def _is_of(found: _Found, lone: LinearRun) -> bool:
    """Whether a run is that of a lone linear key."""
    apart = found.first >= lone.last or found.last <= lone.first
    return found.control == lone.control and not apart


def _lasts(judged: Bools, shortest: int) -> bool:
    """Whether any path is judged for so many samples on end."""
    count = len(judged) - shortest + 1
    together = [judged[shift : shift + count] for shift in range(shortest)]
    return bool(np.logical_and.reduce(together).any())


def _least_off(basis: Basis, run: Run) -> float:
    """How far a run must cut off the swing to be a finding, metres."""
    share = EXACT_OFF_SHARE if run.is_exact else OFF_SHARE
    return basis.settings.factor("straight_run") * share * basis.height.scene_m


def _ratio(track: Track) -> float:
    return TURN_RATIO if track.kind == "turn" else RATIO


def _moments(found: list[_Found]) -> list[int]:
    """The samples on which runs begin, those of one moment together."""
    starts: list[int] = []
    for first in sorted(each.first for each in found):
        if not starts or first > starts[-1] + 1:
            starts.append(first)
    return starts


def _share(basis: Basis, tracks: Tracks, found: list[_Found]) -> float:
    """How much of the fast travel of all followed joints lies in runs."""
    fast = FAST_SHARE * basis.height.scene_m * basis.dt_s
    straight = total = 0.0
    for n, track in enumerate(tracks.names):
        if track.kind != "world" or track.mark != 0:
            continue
        steps = np.linalg.norm(np.diff(tracks.paths[:, n], axis=0), axis=-1)
        steps[steps < fast] = 0.0
        runs = np.zeros(len(steps), dtype=bool)
        for each in found:
            if each.track.body == track.body:
                runs[each.run.first : each.run.last] = True
        straight, total = straight + float(steps[runs].sum()), total + float(steps.sum())
    return straight / total if total > 0.0 else 0.0


def _event(basis: Basis, tracks: Tracks, found: _Found) -> RawEvent:
    run, track = found.run, found.track
    factor = basis.settings.factor("straight_run")
    limit = max(_least_off(basis, run), run.off_m * factor / found.clear)
    path, worst = tracks.paths[:, run.track], run.worst - tracks.shift
    ends = (found.first, found.last)
    return RawEvent(
        check="straight_run",
        body=track.body,
        first=found.first,
        last=found.last,
        peak=worst,
        amount=basis.amount(run.off_m),
        limit=basis.amount(limit),
        unit=basis.unit,
        visible_m=run.off_m,
        step_m=run.step_m,
        says=run_words(basis, track, *ends, found.control),
        point=basis.mark_name(track.body, track.mark),
        suggestion=run_advice(basis, track, ends, worst, arc_offset(path, run), found.curve),
    )


def _own(basis: Basis, found: list[_Found], lone: list[LinearRun]) -> OwnMotion:
    """Each body's own share: its even turns, the runs of what nothing judged carries, and what
    shows a lone linear key most."""
    metres = np.zeros(basis.valid.shape)
    for key in lone:
        span = metres[key.first : key.last + 1, key.body]
        np.maximum(span, key.size, out=span)
    for each in found:
        parent = basis.bodies[each.track.body].parent
        free = parent < 0 or not basis.bodies[parent].judged
        if free or each.track.kind == "turn":
            span = metres[each.first : each.last + 1, each.track.body]
            np.maximum(span, each.run.off_m, out=span)
    return OwnMotion(metres, metres, np.zeros_like(metres), np.zeros_like(metres))
