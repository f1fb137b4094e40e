# SPDX-License-Identifier: GPL-3.0-or-later
"""The spaces that a part may hold its orientation in: world, parent, chest, hand, prop.

In each, what carries the part and what the part rests on are known: a part that stands still
because it rests, or because nothing around it turns either, is no fault.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from . import quaternions as quat
from .basis import Basis
from .loop import Cycle
from .memory import recalled
from .parts import split_part
from .seam import WRAP, find_seam
from .sticking_turns import FEWEST, Stuck
from .turning import against, turn_steps

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]

# What carries a part goes on while the part stands: it turns by this share of the pace that the
# part hides; the root, and what hangs on it, travel by this share of the height a second (34 cm/s).
CARRIES_SHARE, TRAVELS_SHARE = 0.12, 0.2
# A part that turned by less of that pace just before did not turn at all.
FRESH_SHARE = 0.2
# A joint, or the stillest point of a sole, slower than this share of the height a second stands
# where it is (3.4 cm/s).
STILL_SHARE = 0.02
# Feet that tremble by more than this share of the height (.5 mm at 1.7 m) turn in jerks by that
# alone.
TREMBLES_SHARE = 5e-4 / 1.7
# A knee or elbow bent by less is at its stop, degrees.
STRAIGHT_DEG = 6.0
HINGES = ("shin", "forearm")
# Parts that may be fixed to something they do not hang on.
FREE = ("hand", "head", "prop")


class Paths:
    """Joints and orientations (N,B,...) of a basis, with the rounds beside where it loops.

    at (N,)   the range's sample of each
    """

    def __init__(self, basis: Basis, cycle: Cycle) -> None:
        self.basis = basis
        count = len(basis.frames)
        length = count - (cycle.repeats if cycle.plays else 0)
        if cycle.plays and length >= 2 * WRAP:
            seam = find_seam(basis, length, travels=cycle.travels)
            self.rotations, self.marks = seam.rotations, seam.marks
            self.at: Ints = np.arange(-WRAP, length + WRAP) % length
            self.inside = slice(WRAP, WRAP + length)
        else:
            self.rotations, self.marks = basis.rotations, basis.marks
            self.at = np.arange(count)
            self.inside = slice(0, count)

    @cached_property
    def known(self) -> Bools:
        """(N,B) False in gaps."""
        return np.asarray(self.basis.valid[self.at])

    @cached_property
    def world_steps(self) -> Floats:
        """(N-1,B,3) turns in the world, degrees."""
        return turn_steps(self.rotations)

    @cached_property
    def own_steps(self) -> Floats:
        """(N-1,B,3) turns against the parent; of roots in the world."""
        steps = self.world_steps.copy()
        for n, body in enumerate(self.basis.bodies):
            if body.parent >= 0:
                own = self.steps_against(self.rotations[:, n], self.rotations[:, body.parent])
                steps[:, n] = own
        return steps

    def steps_against(self, rotations: Floats, frame: Floats) -> Floats:
        """(N-1,3) turns of orientations (N,4) in the axes of others, degrees."""
        return recalled(self.basis.memory, _steps_against, rotations, frame)

    @cached_property
    def travel(self) -> Floats:
        """(N-1,B) how fast the joints go, of the height a second."""
        return _moves(self.marks[:, :, 0]) / (self.basis.height.scene_m * self.basis.dt_s)

    def still_sole(self, side: str) -> Floats | None:
        """(N-1,) how far the stillest sole point of a foot goes over its ground a step, metres."""
        for soles in self.basis.soles:
            if soles.sole.side == side:
                steps = np.linalg.norm(soles.steps, axis=-1).min(axis=1)
                return np.asarray(steps[np.minimum(self.at[:-1], len(steps) - 1)])
        return None


@dataclass(frozen=True, eq=False)
class Space:
    """One space that one body is looked at in.

    frame      the body whose axes these are; None for the world
    own        whether that is what the body hangs on
    steps      (N-1,3) the body's turns there, degrees
    carrier    (N-1,) how much what carries it turns there, degrees; 0 where nothing does
    """

    body: int
    frame: int | None
    own: bool
    steps: Floats
    carrier: Floats


def spaces(paths: Paths) -> Iterator[Space]:
    """Every space of every judged body, the likeliest first."""
    turning = np.linalg.norm(paths.world_steps, axis=-1)
    bodies = paths.basis.bodies
    for n, body in enumerate(bodies):
        if not body.judged:
            continue
        hangs = body.parent >= 0 and bodies[body.parent].judged
        carrier = turning[:, body.parent] if hangs else np.zeros(len(turning))
        if hangs:
            yield Space(n, body.parent, True, paths.own_steps[:, n], carrier)
        yield Space(n, None, False, paths.world_steps[:, n], carrier)
        for frame in _frames(paths.basis, n):
            axes = paths.rotations[:, frame]
            steps = paths.steps_against(paths.rotations[:, n], axes)
            above = paths.steps_against(paths.rotations[:, body.parent], axes)
            yield Space(n, frame, False, steps, np.linalg.norm(above, axis=-1))


def _frames(basis: Basis, body: int) -> list[int]:
    """Other bodies that a hand, head or prop may be fixed to: chest, root, hands, props."""
    kind = split_part(basis.bodies[body].part or "")[0]
    if kind not in FREE or basis.bodies[body].parent < 0:
        return []
    wanted = ("chest", "root") if kind == "head" else ("chest", "root", "hand", "prop")
    return [
        n
        for n, each in enumerate(basis.bodies)
        if split_part(each.part or "")[0] in wanted
        and n not in (body, basis.bodies[body].parent)
        and body not in basis.ancestors(n)
    ]


def _steps_against(rotations: Floats, frame: Floats) -> Floats:
    return turn_steps(against(rotations, frame))


def _moves(path: Floats) -> Floats:
    return np.asarray(np.linalg.norm(np.diff(path, axis=0), axis=-1))


def is_honest(paths: Paths, space: Space, stuck: Stuck) -> bool:
    """Whether a part may stand so: it is at its stop, or all around it stands as well."""
    held = space.own and (_at_its_stop(paths, space, stuck) or _was_still(stuck))
    other_s = not space.own and space.frame is not None and _is_the_other_s(paths, space, stuck)
    return held or other_s or not _carried_on(paths, space, stuck)


def _is_the_other_s(paths: Paths, space: Space, stuck: Stuck) -> bool:
    """Two parts that keep their orientation against each other: the one that snaps is stuck."""
    bodies = [space.body, space.frame if space.frame is not None else space.body]
    change = paths.world_steps[stuck.last, bodies] - paths.world_steps[stuck.last - 1, bodies]
    own, other = np.linalg.norm(change, axis=-1)
    return bool(other > own)


def _carried_on(paths: Paths, space: Space, stuck: Stuck) -> bool:
    """Whether things go on while it stands: what carries the part turns, or the body travels.

    To the end: what stops as well, and starts again with the part, holds a pose with it.
    """
    turns = space.carrier[stuck.first : stuck.last]
    if min(turns.mean(), turns[-FEWEST:].mean()) >= CARRIES_SHARE * stuck.pace:
        return True
    parent = paths.basis.bodies[space.body].parent
    if parent >= 0 and paths.basis.bodies[parent].parent >= 0:
        return False
    goes = paths.travel[stuck.first : stuck.last, space.body]
    return bool(min(goes.mean(), goes[-FEWEST:].mean()) >= TRAVELS_SHARE)


def _turns_there(space: Space, stuck: Stuck) -> bool:
    """Whether what carries the part turns in its space while it stands."""
    turns = space.carrier[stuck.first : stuck.last]
    return bool(turns.mean() >= CARRIES_SHARE * stuck.pace)


def _was_still(stuck: Stuck) -> bool:
    """A part that did not turn before is kept where it is by the one that it hangs on."""
    return stuck.before < FRESH_SHARE * stuck.pace and not stuck.snaps


def _at_its_stop(paths: Paths, space: Space, stuck: Stuck) -> bool:
    """A knee or elbow that is straight cannot turn further."""
    body = paths.basis.bodies[space.body]
    if split_part(body.part or "")[0] not in HINGES:
        return False
    along = [
        quat.rotate(paths.rotations[stuck.last, n], np.array([0.0, 1.0, 0.0]))
        for n in (space.body, body.parent)
    ]
    bend = np.degrees(np.arccos(np.clip(float(along[0] @ along[1]), -1.0, 1.0)))
    return bool(bend < STRAIGHT_DEG)


def rests(paths: Paths, space: Space, stuck: Stuck) -> bool:
    """Whether the part stands where it is as well: on the ground, on a body, on a prop."""
    if space.own or (space.frame is not None and not _turns_there(space, stuck)):
        return False  # it hangs there, directly or by what does not turn: it cannot go anywhere
    basis, body = paths.basis, paths.basis.bodies[space.body]
    height_a_step = basis.height.scene_m * basis.dt_s
    joint = paths.marks[stuck.first : stuck.last + 1, space.body, 0]
    if space.frame is not None:
        axes = quat.conjugate(paths.rotations[stuck.first : stuck.last + 1, space.frame])
        joint = quat.rotate(axes, joint - paths.marks[stuck.first : stuck.last + 1, space.frame, 0])
    if _moves(joint).max() < STILL_SHARE * height_a_step:
        return True
    kind, side = split_part(body.part or "")
    if kind in ("foot", "toe") and space.frame is None and _is_planted(paths, side, stuck):
        return True
    sole = paths.still_sole(side) if kind in ("foot", "toe") and space.frame is None else None
    if sole is None:
        return False
    return bool(np.median(sole[stuck.first : stuck.last]) < STILL_SHARE * height_a_step)


def _is_planted(paths: Paths, side: str, stuck: Stuck) -> bool:
    """Whether a foot that trembles is planted for half of that or more; its toe lies flat as the
    heel rises.

    A plant is told from a longer time than a stuck turn, and so in noise as well. Without noise
    the sole itself tells whether it lies or rolls: one that rolls and sticks is no foot at rest.
    """
    if paths.basis.tremble <= TREMBLES_SHARE * paths.basis.height.scene_m:
        return False
    at = paths.at[stuck.first : stuck.last + 1]
    planted = [p for p in paths.basis.plants if p.side == side]
    inside = sum(int(((p.first <= at) & (at <= p.last)).sum()) for p in planted)
    return 2 * inside >= len(at)
