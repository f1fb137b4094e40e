# SPDX-License-Identifier: GPL-3.0-or-later
"""Tries a hand back on a copy, until the point is where the ball is, and measures what it does."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from ....analysis import PlumblineError, Settings
from ....analysis.basis import build_basis
from ....analysis.words import frame_text, size_text
from ..path import ball_path, ball_turns
from .asked import BALL, Asked
from .automatic import kept_in_place, with_automatic
from .control import turning
from .edges import among
from .feet import Moved, feet_told
from .fitting import Wanted, as_the_ball, every_frame
from .handed import Handed
from .home import ACTION, make_home
from .key_arrays import Keys, read_keys
from .puppet import Look, puppet
from .solving import AIM_M, ROUNDS, Task, Values, begin, corrected, steps_back
from .turning import Turns

# The control is brought so near to the ball at its keys, or nothing is changed; and a copy that
# is further off than this does not stand in for the rig.
KEPT_M, FAITHFUL_M = 1e-4, 1e-4
# What float32 loses of a place, as a share of its distance from the origin.
_ROUNDING = 1e-6

# The keys of a channel that are there already, by index, and what each was at a time.
_Old = dict[int, tuple[Keys, Callable[[float], float]]]


@dataclass(frozen=True, eq=False)
class Tried:
    """The keys to write, for each channel of the control, and what they do.

    frames (F,), places (F,3)   the whole frames of the scene in the ball's range, and where its
                                point is on them then, metres
    """

    channels: dict[str, list[Keys]]
    handed: Handed
    frames: Any
    places: Any


def tried(asked: Asked) -> Tried:
    """Find keys that bring the point to the ball; raises PlumblineError where none do.

    All is done on a copy in a temporary scene, both gone at the end.
    """
    control = asked.control
    with puppet(asked.scene, asked.plan, copied=asked.copied) as copy:
        begun = copy.look(asked.times, control)
        _refuse_unlike(asked, begun)
        old = _old_keys(asked, copy.copy)
        task = Task(
            puppet=copy,
            home=make_home(copy.copy, control, asked.into, asked.span, asked.looked_at),
            control=control,
            times=asked.times,
            places=ball_path(asked.scene, asked.sphere, asked.frames),
            turns=_turns(asked, begun),
            size=_size(asked),
        )
        back = steps_back(task, begun)
        channels, seen = _settled(asked, task, begin(task, begun, back), back, old)
        channels = _automatic(asked, task, channels)
    whole = asked.inside & asked.whole
    frames = np.round(asked.frames[whole])
    return Tried(channels, _measured(asked, task, begun, seen), frames, seen.point[whole])


def _settled(
    asked: Asked, task: Task, values: Values, back: Any, old: dict[str, _Old]
) -> tuple[dict[str, list[Keys]], Look]:
    """The keys that come nearest at the keys, and how the copy stands with them."""
    best, least = None, np.inf
    for _ in range(ROUNDS):
        channels = _keys(asked, task, values, back, old)
        task.write(channels)
        seen = task.look()
        worst = _worst(task, seen, asked.exact)
        if worst < least:
            best, least = (channels, seen), worst
        if worst < AIM_M:
            break
        values = corrected(task, values, seen, back, asked.exact, asked.turned)
    assert best is not None
    if asked.control.is_point and least > max(KEPT_M, _ROUNDING * np.abs(task.places).max()):
        _refuse_short(asked, task, best[1])
    return best


def _automatic(asked: Asked, task: Task, channels: dict[str, list[Keys]]) -> dict[str, list[Keys]]:
    """The keys with the ball's own kinds of handles, where that changes nothing."""
    task.write(channels)
    path, home = asked.control.path, task.home
    channels = {name: kept_in_place(home, path(name), keys) for name, keys in channels.items()}
    if asked.keys != BALL:
        return channels
    ways = {"location": asked.ball}
    if task.turns is not None and asked.turn is not None:
        ways[task.turns.channel] = asked.turn
    return {
        name: with_automatic(home, path(name), keys, ways[name]) for name, keys in channels.items()
    }


def _worst(task: Task, seen: Look, where: Any) -> float:
    return float(np.linalg.norm(task.gap(seen)[where], axis=1).max())


def _keys(
    asked: Asked, task: Task, values: Values, back: Any, old: dict[str, _Old]
) -> dict[str, list[Keys]]:
    """The keys of each channel, those outside the ball's range with them."""
    wanted = {"location": (asked.ball, values.location, back, asked.exact)}
    if task.turns is not None and asked.turn is not None:
        turned = task.turns.values(values.turned)
        axes = (*turned.shape, len(asked.turn.curves))
        wanted[task.turns.channel] = (asked.turn, turned, np.ones(axes), asked.turned)
    found = {}
    for name, (curves, rows, mixes, exact) in wanted.items():
        if asked.keys == BALL:
            new = as_the_ball(curves, Wanted(asked.times, rows, mixes))
        else:
            new = every_frame(asked.times[exact], rows[exact])
        found[name] = among(old.get(name, {}), new)
    return found


def _old_keys(asked: Asked, copy: Any) -> dict[str, _Old]:
    """The control's keys in the active action, where they are to stay outside the range."""
    data = copy.animation_data
    if asked.into != ACTION or data is None or data.action is None:
        return {}
    home = make_home(copy, asked.control, ACTION, asked.span, asked.looked_at)
    names = ["location", *([turning(asked.control.of(asked.rig))] if asked.turn else [])]
    found: dict[str, _Old] = {}
    for name in names:
        curves = home.curves(asked.control.path(name))
        found[name] = {
            index: (read_keys(curve), _as_it_was(curve, asked.times))
            for index, curve in curves.items()
        }
    return found


def _as_it_was(curve: Any, times: Any) -> Callable[[float], float]:
    values = np.array([curve.evaluate(float(time)) for time in times])
    return lambda time: float(np.interp(time, times, values))


def _turns(asked: Asked, begun: Look) -> Turns | None:
    if asked.turn is None:
        return None
    wanted = ball_turns(asked.scene, asked.sphere, asked.frames)
    mode = asked.control.of(asked.rig).rotation_mode
    return Turns(mode, turning(asked.control.of(asked.rig)), wanted, begun.turned[0])


def _size(asked: Asked) -> float:
    """The figure's size in the units of the control's channels, or what comes near to it."""
    if asked.plan.is_plain:
        return max(*asked.rig.dimensions) or 1.0
    places = asked.plan.skeleton.rest[:, :3, 3]
    own = float(np.ptp(places, axis=0).max()) or 1.0
    return own if asked.control.bone else own * max(*asked.rig.scale)


def _refuse_unlike(asked: Asked, begun: Look) -> None:
    """Raise PlumblineError where the copy does not stand where the rig stands."""
    rows, at = _common(asked)
    off = np.abs(begun.joints[at] - asked.clip.positions[rows]).max(initial=0.0)
    if not off <= max(FAITHFUL_M, _ROUNDING * np.abs(asked.clip.positions).max()):
        raise PlumblineError(
            f"a copy of {asked.rig.name!r} does not stand where the rig does, expected a rig that "
            "a copy can stand in for: a hand back is tried on a copy before anything is changed."
        )


def _common(asked: Asked) -> tuple[Any, Any]:
    """Rows of the clip and samples that are the same frames."""
    _same, rows, at = np.intersect1d(
        asked.clip.frames, np.round(asked.frames, 4), return_indices=True
    )
    return rows, at


def _refuse_short(asked: Asked, task: Task, seen: Look) -> None:
    off = np.linalg.norm(task.gap(seen), axis=1) * asked.exact
    at = int(np.argmax(off))
    raise PlumblineError(
        f"{asked.control.told!r} stays {size_text(float(off[at]))} off the ball at frame "
        f"{frame_text(float(asked.frames[at]))}, whatever its location, expected a control that "
        "goes where it is put: look for a limit or another constraint that holds it there."
    )


def _measured(asked: Asked, task: Task, begun: Look, seen: Look) -> Handed:
    """How well the point goes as the ball does, and what became of the feet."""
    off = np.linalg.norm(task.gap(seen), axis=1)
    frames = asked.frames
    between = asked.inside & ~asked.exact & asked.whole
    at = int(np.argmax(np.where(between, off, -1.0)))
    turned = None
    if task.turns is not None:
        turned = float(task.turns.off(seen)[asked.turned].max())
    return Handed(
        control=asked.control.told,
        carried=asked.control.carried,
        keys=int(asked.exact.sum()),
        frames=(float(frames[0]), float(frames[-1])),
        at_keys_m=float(off[asked.exact].max()),
        between_m=float(off[at]) if between.any() else 0.0,
        between_frame=float(frames[at]) if between.any() else None,
        turned_rad=turned,
        feet=() if asked.plan.is_plain else _feet(asked, begun, seen),
    )


def _feet(asked: Asked, begun: Look, seen: Look) -> tuple[str, ...]:
    rows, at = _common(asked)
    joints = asked.clip.positions.copy()
    joints[rows] += seen.joints[at] - begun.joints[at]
    shift = np.zeros((len(joints), 3))
    shift[rows] = seen.head[at] - begun.head[at]
    return feet_told(build_basis(asked.clip, Settings()), Moved(joints, shift))
