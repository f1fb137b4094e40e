# SPDX-License-Identifier: GPL-3.0-or-later
"""From the world to the control's own channels: by trying, since all else is a guess.

Location acts on the control's place as an affine map: three small steps, evaluated by Blender, say
which. Parents that are scaled, turned and animated, bones that inherit in part, constraints that
count in part are in it. What is left after a solution is evaluated is solved again.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from ....analysis import PlumblineError
from ....analysis.words import frame_text
from .control import Control
from .fitting import every_frame
from .home import Home
from .key_arrays import Keys
from .puppet import Look, Puppet
from .turning import Turns

# What is aimed at, metres.
AIM_M = 1e-5
# A point that hangs on the control in a bent way needs more rounds than the control itself.
ROUNDS, ROUNDS_OF_POINTS = 4, 12
# The map is tried on so many samples first; where it is the same on all, it is so on the others.
_PROBES = 9
_SAME = 1e-3
# A direction in which the control moves less than this share of another is lost.
_LOST = 1e-3
# A step, as a share of the figure's size: small, so as not to run into a limit nearby.
_STEP = 0.01


@dataclass(frozen=True, eq=False)
class Task:
    """What is to be solved.

    times (N,)     frames of animation
    places (N,3)   where the point is to be, metres
    turns          how it is to be turned, or None
    size           of the figure, in the units of the control's channels
    """

    puppet: Puppet
    home: Home
    control: Control
    times: Any
    places: Any
    turns: Turns | None
    size: float

    def look(self) -> Look:
        """The copy on all samples."""
        return self.puppet.look(self.times, self.control)

    def gap(self, seen: Look) -> Any:
        """(N,3) metres from where the point is to where it is to be."""
        return self.places - seen.point

    def write(self, channels: dict[str, list[Keys]]) -> None:
        """Give the copy's control keys."""
        write_channels(self.home, self.control, channels)


@dataclass(frozen=True, eq=False)
class Values:
    """location (N,3) and, where it is to be turned, turned (N,4), a unit quaternion."""

    location: Any
    turned: Any

    def channels(self, task: Task, times: Any, at: Any) -> dict[str, list[Keys]]:
        """Linear keys on some of the samples."""
        found = {"location": every_frame(times, self.location[at])}
        if task.turns is not None:
            found[task.turns.channel] = every_frame(times, task.turns.values(self.turned)[at])
        return found


def write_channels(home: Home, control: Control, channels: dict[str, list[Keys]]) -> None:
    """Give channels of a control, by their names, the keys of each of their curves."""
    for name, keys in channels.items():
        home.write(control.path(name), keys, control.bone or "Object Transforms")


def steps_back(task: Task, begun: Look) -> Any:
    """(N,3,3) what a metre in the world is in the control's channels.

    Where a step runs into a limit, the step the other way is taken instead. Raises PlumblineError
    where the control does not go wherever it is sent.
    """
    count = len(task.times)
    probed = np.unique(np.linspace(0, count - 1, min(_PROBES, count)).round().astype(int))
    found, limited = _tried(task, begun, probed, 1.0), False
    if not _is_fixed(found) or _is_lost(found).any():
        found, limited = _further(found, _tried(task, begun, probed, -1.0))
    if _is_fixed(found):
        found = np.broadcast_to(found.mean(axis=0), (count, 3, 3))
    else:
        every = np.arange(count)
        found = _tried(task, begun, every, 1.0)
        if limited or _is_lost(found).any():
            found, _ = _further(found, _tried(task, begun, every, -1.0))
    _refuse_lost(task, found)
    return np.linalg.inv(found)


def _tried(task: Task, begun: Look, probed: Any, sign: float) -> Any:
    """(P,3,3) how far (rows) the control goes for one unit of each of its channels (columns)."""
    found = np.zeros((len(probed), 3, 3))
    step = sign * _STEP * task.size
    for axis in range(3):
        location = begun.location.copy()
        location[:, axis] += step
        task.write({"location": every_frame(task.times, location)})
        seen = task.puppet.look(task.times[probed], task.control)
        found[:, :, axis] = (seen.head - begun.head[probed]) / step
    return found


def _is_fixed(found: Any) -> bool:
    """Whether the map is the same on all samples."""
    mean = found.mean(axis=0)
    return bool(np.abs(found - mean).max() <= _SAME * np.abs(mean).max())


def _is_lost(found: Any) -> Any:
    """(P,) whether there is a direction in which the control does not go."""
    spread = np.linalg.svd(found, compute_uv=False)
    return spread[:, 2] <= np.maximum(_LOST * spread[:, 0], 1e-9)


def _further(one: Any, other: Any) -> tuple[Any, bool]:
    """Of two tries (P,3,3) each step that went further, and whether the two differ anywhere."""
    size = np.linalg.norm(one, axis=1, keepdims=True)
    more = np.linalg.norm(other, axis=1, keepdims=True) - size > _SAME * size.max()
    return np.where(more, other, one), bool(more.any())


def _refuse_lost(task: Task, found: Any) -> None:
    lost = _is_lost(found)
    if not lost.any():
        return
    frame = frame_text(float(task.times[int(np.argmax(lost))]))
    raise PlumblineError(
        f"{task.control.told!r} does not go where its location channels send it (at frame "
        f"{frame}), expected a control that its own keys move: take off the constraint that holds "
        "it, or put the ball on another control."
    )


def begin(task: Task, begun: Look, back: Any) -> Values:
    """Values on all samples, solved once; of a point that hangs on the control, until it is met."""
    values = corrected(task, Values(begun.location, _own_turns(task, begun)), begun, back)
    if task.control.is_point and task.turns is None:
        return values
    before = begun.location, begun
    best, least = values, np.inf
    for _ in range(ROUNDS_OF_POINTS):
        task.write(values.channels(task, task.times, slice(None)))
        seen = task.look()
        worst = float(np.linalg.norm(task.gap(seen), axis=1).max())
        if worst < least:
            best, least = values, worst
        if worst < AIM_M or worst > 2.0 * least:
            break
        back = _learned(back, values.location - before[0], seen.point - before[1].point)
        before = values.location, seen
        values = corrected(task, values, seen, back)
    return best


def _learned(back: Any, sent: Any, went: Any) -> Any:
    """What a metre of the point is in the channels (N,3,3), after it was seen how far it went
    (N,3) when it was sent (N,3): the change of rank one by Broyden (1965)."""
    reply = np.einsum("nij,nj->ni", back, went)
    share = np.einsum("ni,ni->n", sent, reply)
    size = np.einsum("ni,ni->n", sent, sent)
    # Where it hardly went, or the other way, rounding would be learned.
    good = (share > 0.1 * size) & (size > 0.0)
    row = np.einsum("ni,nij->nj", sent, back)
    change = np.einsum("ni,nj->nij", sent - reply, row)
    return back + np.where(good, 1.0 / np.where(good, share, 1.0), 0.0)[:, None, None] * change


def _own_turns(task: Task, begun: Look) -> Any:
    return None if task.turns is None else task.turns.own(begun.turned)


def corrected(
    task: Task,
    values: Values,
    seen: Look,
    back: Any,
    where: Any = slice(None),
    turned_where: Any = slice(None),
) -> Values:
    """The values, better by what was off on some of the samples as they were evaluated."""
    location = values.location.copy()
    location[where] += np.einsum("nij,nj->ni", back, task.gap(seen))[where]
    if task.turns is None:
        return Values(location, None)
    turned = values.turned.copy()
    turned[turned_where] = task.turns.corrected(values.turned, seen)[turned_where]
    return Values(location, turned)
