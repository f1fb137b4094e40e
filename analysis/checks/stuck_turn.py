# SPDX-License-Identifier: GPL-3.0-or-later
"""`stuck_turn`: does a part hold one orientation and then turn fast into another?"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..declared import is_declared
from ..evidence import Evidence, OwnMotion, RawEvent, Suggestion
from ..impacts import Impacts
from ..loop import Cycle
from ..screen import ScreenBasis
from ..sticking_turns import BESIDE, FEWEST, Stuck, find_stuck, most_to_catch_up
from ..turn_spaces import Paths, Space, is_honest, rests, spaces
from ..words import frame_text
from .contract import CheckInfo
from .stuck_turn_words import Told, habit_text, told_in_words

Floats = NDArray[np.float64]

# Degrees that it catches up; and what is too small to be seen, of the height (5 mm at 1.7 m).
LEAST_DEG, SEEN_SHARE = 5.5, 0.003
# A body takes the blame only when its turn against its parent jerks there by this share of what
# is caught up, and so many times as much as beside.
OWN_SHARE, OWN_RATIO = 0.3, 1.5
# A part that does it so often, and so many times a second, does it on purpose.
OFTEN, OFTEN_A_SECOND = 4, 1.0
SHORTEST = FEWEST + BESIDE + 2

INFO = CheckInfo(
    name="stuck_turn",
    question="Does a part hold one orientation and then turn fast into another?",
    definition=(
        "A part's turn from frame to frame is followed in the world, against what it hangs on, "
        "and, for hands, head and props, against chest, root, the other hand and props. It is "
        "stuck where it stands for three frames or more and up to half a second (turning by a "
        "tenth or less of the pace that it hides, and of its turning beside), though it turns "
        "before or afterwards, and then catches up within two frames of a film at 24. What "
        "carries it must go on meanwhile, so a held pose is none; nor is a hold that is eased "
        "into and out of, a part that rests (its joint, or a point of the sole, stands as well; "
        "in motion that trembles also feet and toes that are planted), a straight knee or "
        "elbow, or what a fall jolts as far. A part that does so four times or more, once a "
        "second, does it all along: that is told as a style."
    ),
    unit="degrees",
    limit="catches up 5.5 degrees or more, and .3 % of the height where it shows most",
    source="trials with orientations frozen in captured and keyed motion",
    stages=("spline", "polish"),
    asked_of="points",
    spaces=("world", "camera"),
    mend="Delete the flat keys of its rotation, or ease them, so that it turns with its limb.",
)


@dataclass(frozen=True, eq=False)
class _Found:
    space: Space
    stuck: Stuck
    seen: float


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """Stuck turns of every body; evidence: how far each body's own turn catches up there."""
    world = basis.world if isinstance(basis, ScreenBasis) else basis
    if len(basis.frames) < SHORTEST:
        why = f"needs {SHORTEST} frames or more, the range has {len(basis.frames)}"
        return Evidence("stuck_turn", skipped=why)
    if most_to_catch_up(basis.dt_s) == 0:
        why = "each pose is shown for more than a tenth of a second, too long to tell a snap"
        return Evidence("stuck_turn", skipped=why)
    if not _is_known(basis):
        return Evidence("stuck_turn", skipped="no part is known long enough without a gap")
    paths = Paths(world, cycle)
    found = _clearest(list(_all_found(basis, paths)))
    habits = _habits(basis, found)
    events = [_event(basis, paths, each) for each in found if each.space.body not in habits]
    habit = habit_text(basis, habits)
    good = "" if events or habit else _good(basis)
    own = _own(basis, paths, [each.stuck for each in found])
    return Evidence("stuck_turn", tuple(events), own, good=good, habit=habit)


def _good(basis: Basis) -> str:
    first, last = (frame_text(basis.frames[at]) for at in (0, -1))
    known = "" if basis.valid.all() else ", as far as it is known"
    return f"No part holds its orientation and then snaps from frame {first} to {last}{known}."


def _is_known(basis: Basis) -> bool:
    """Whether any part is known over the shortest stretch that can be judged."""
    known = basis.valid.copy()
    for shift in range(1, SHORTEST):
        known[:-shift] &= basis.valid[shift:]
    return bool(known[: len(known) - SHORTEST + 1].any())


def _all_found(basis: Basis, paths: Paths) -> "list[_Found]":
    factor = basis.settings.factor("stuck_turn")
    least = factor * SEEN_SHARE * basis.height.scene_m
    carried = [(n, {n, *basis.ancestors(n)}) for n in range(len(basis.bodies))]
    found, resting, impacts = [], [], Impacts(basis)
    for space in spaces(paths):
        for stuck in find_stuck(space.steps, basis.dt_s, factor * LEAST_DEG):
            moved = [n for n, above in carried if space.body in above]
            if not _is_judged(paths, space, stuck) or is_honest(paths, space, stuck):
                continue
            if rests(paths, space, stuck):
                resting.append(_Found(space, stuck, 0.0))
            elif (seen := _thrown(basis, paths, moved, space.body, stuck)) >= least:
                at = stuck.last - paths.inside.start
                if not impacts.explain(space.body, at, _samples(paths, stuck)[1], seen):
                    found.append(_Found(space, stuck, seen))
    return [each for each in found if not any(_snaps_with(each, other) for other in resting)]


def _snaps_with(a: _Found, b: _Found) -> bool:
    """Whether both are about one body, and catch up at one moment: a foot that stands, and only
    after it has left the floor is stuck on its shin, is no foot that rests."""
    same = a.space.body == b.space.body
    return same and a.stuck.last < b.stuck.end and b.stuck.last < a.stuck.end


def _is_same(a: _Found, b: _Found) -> bool:
    """Whether both are about one body at one moment, in whatever space."""
    same = a.space.body == b.space.body
    return same and a.stuck.first <= b.stuck.end and b.stuck.first <= a.stuck.end


def _is_judged(paths: Paths, space: Space, stuck: Stuck) -> bool:
    """Whether it happens in the range, undeclared, and all that it is told by is known."""
    inside = paths.inside.start <= stuck.last < paths.inside.stop
    bodies = [space.body, paths.basis.bodies[space.body].parent, space.frame]
    known = [n for n in bodies if n is not None and n >= 0]
    if not inside or not paths.known[stuck.first : stuck.end + 1, known].all():
        return False
    return not is_declared(paths.basis, space.body, *_samples(paths, stuck))


def _samples(paths: Paths, stuck: Stuck) -> tuple[int, int]:
    """First and last of the range's samples that it covers."""
    last, shift = len(paths.basis.frames) - 1, paths.inside.start
    return max(stuck.first - shift, 0), min(stuck.end - shift, last)


def _thrown(basis: Basis, paths: Paths, bodies: list[int], joint: int, stuck: Stuck) -> float:
    """How far it throws points about its joint as it catches up; on the picture, how far it shows.

    What it carries and what goes its own way besides counts by no more than the turn explains.
    """
    marks = basis.marks if isinstance(basis, ScreenBasis) else paths.marks
    last, end = (marks[at][bodies] - marks[at, joint, 0] for at in (stuck.last, stuck.end))
    lever = np.linalg.norm(last, axis=-1)
    ways = np.linalg.norm(end - last, axis=-1)
    return float(np.minimum(ways, np.radians(stuck.burst) * lever).max())


def _clearest(found: list[_Found]) -> list[_Found]:
    """For each body and moment the space in which it stands stillest, of equals the likeliest."""
    kept: list[_Found] = []
    for each in sorted(found, key=lambda f: round(f.stuck.frozen / f.stuck.pace, 2)):
        if not any(_is_same(each, other) for other in kept):
            kept.append(each)
    return sorted(kept, key=lambda f: (f.stuck.first, f.space.body))


def _habits(basis: Basis, found: list[_Found]) -> dict[int, int]:
    """Bodies that stick all along, and how often."""
    seconds = basis.dt_s * (len(basis.frames) - 1)
    counts = {
        body: sum(each.space.body == body for each in found)
        for body in {each.space.body for each in found}
    }
    often = max(float(OFTEN), OFTEN_A_SECOND * seconds)
    return {body: count for body, count in sorted(counts.items()) if count >= often}


def _event(basis: Basis, paths: Paths, found: _Found) -> RawEvent:
    stuck, body = found.stuck, found.space.body
    first, end = _samples(paths, stuck)
    stands = stuck.last - paths.inside.start
    told = Told(body, found.space.frame, found.space.own, first, stands, end, stuck.burst)
    says, advice = told_in_words(basis, told)
    return RawEvent(
        check="stuck_turn",
        body=body,
        first=first,
        last=end,
        peak=stands,
        amount=stuck.burst,
        limit=basis.settings.factor("stuck_turn") * LEAST_DEG,
        unit="degrees",
        visible_m=found.seen,
        step_m=_travel(paths, body, stuck) * (found.seen / stuck.burst),
        says=says,
        suggestion=Suggestion(advice, frame=float(basis.frames[stands])),
    )


def _travel(paths: Paths, body: int, stuck: Stuck) -> float:
    """Degrees that the body turns in a sample beside."""
    sizes = np.linalg.norm(paths.world_steps[:, body], axis=-1)
    before = sizes[max(stuck.first - BESIDE, 0) : stuck.first]
    return float(np.concatenate((before, sizes[stuck.end : stuck.end + BESIDE])).mean())


def _own(basis: Basis, paths: Paths, found: list[Stuck]) -> OwnMotion:
    """How far each body jerks against its parent where one catches up."""
    shape = (len(basis.frames), len(basis.bodies))
    own, clear, world = np.zeros(shape), np.zeros(shape), np.zeros(shape)
    for stuck in found:
        span = paths.at[stuck.first : stuck.end + 1]
        jerk, usual = _jerks(paths.own_steps, stuck)
        plain = np.where(jerk >= OWN_RATIO * usual, jerk, 0.0)
        for total, size in (
            (own, jerk),
            (clear, np.where(plain >= OWN_SHARE * stuck.burst, plain, 0.0)),
            (world, _jerks(paths.world_steps, stuck)[0]),
        ):
            total[span] = np.maximum(total[span], np.radians(size))
    lever = np.linalg.norm(basis.offsets, axis=-1).max(axis=-1)
    return OwnMotion(metres=clear * lever, any_metres=own * lever, turn=own, world_turn=world)


def _jerks(steps: Floats, stuck: Stuck) -> tuple[Floats, Floats]:
    """(B,) degrees that bodies jerk while one catches up, and usually in as many samples."""
    start, stop = max(stuck.first - BESIDE, 0), stuck.end + BESIDE
    change = np.linalg.norm(np.diff(steps[start:stop], axis=0), axis=-1)
    place = np.arange(start + 1, start + 1 + len(change))
    beside = (place < stuck.first) | (place > stuck.end)
    usual = change[beside].max(axis=0) if beside.any() else np.zeros(change.shape[1])
    jerk = change[place == stuck.last].max(axis=0)
    return (stuck.end - stuck.last) * jerk, (stuck.end - stuck.last) * usual
