# SPDX-License-Identifier: GPL-3.0-or-later
"""Hard stops and hard starts: motion at full speed, then dead, or dead and at once at speed.

The clip is slowed until the part has the wanted speed where it is stopped; a start is a stop
of the clip that runs backwards, played backwards again. After the stop the part is dead for
six frames or more: to the end, or until it eases back into its motion. A hand that lies on the
floor or the own body, or a head on the floor, or nearer to it than 5 % of the height, is left
alone there: what lands may stop dead, and the checks do not ask for it.
"""

import numpy as np
from numpy.typing import NDArray

from analysis import Clip
from analysis import quaternions as quat

from ..case import Case
from ..moves import Target, any_side, height_of, target
from ..planted import Kind, Planted
from ..resting import lies_on_something
from ..timing import CHAINS, backwards, held, sampled, smooth_step, without_curves
from . import FEW, MOTION

Floats = NDArray[np.float64]

# Before the stop there is motion for so many samples; after it, dead for so many.
BEFORE, MOST_BEFORE = 10, 60
DEAD = (6, 16)
# The speed, measured again over the last two steps: so many times what was asked for.
SPEEDS = (0.95, 1.25)
# No ease into the stop: in this time before it, the part was not this much faster.
LEAD_S, EASED = 0.15, 0.6
# Slower than by this, motion would not look like itself any more.
SLOWEST = 0.35
# Seconds in which the part eases back into its motion, and how long it moves on.
EASE_S, AFTER_S = 0.4, 0.6
# A held part may drift by this, and may be torn so far from its body: shares of the height.
DRIFT, TORN = 0.0015, 0.09
BODY = ("root", "head", "hand.L", "hand.R", "foot.L", "foot.R")


def plant_stop(
    case: Case, size: float, part: str, rng: np.random.Generator, *, starts: bool, space: str
) -> Planted | None:
    """A stop from `size` heights a second, or a start to it."""
    clip = backwards(case.clip) if starts else case.clip
    shown = None if part == "body" else any_side(clip, part, rng)
    places = _places(clip, shown, size, space)
    if not places:
        return None
    at, rate = places[int(rng.integers(len(places)))]
    dead = int(rng.integers(DEAD[0], DEAD[1] + 1))
    goes_on = bool(rng.integers(2))
    made = (
        _body(clip, at, rate, dead, goes_on)
        if shown is None
        else _part(clip, shown, at, rate, dead, goes_on, space)
    )
    if made is None or not _has_speed(*made, shown, space, size):
        return None
    stopped, frame = made
    if starts:
        stopped, frame = backwards(stopped), len(stopped.frames) - 1 - frame
    far = ("eased into", "from the first frame") if starts else ("eased out of", "to the end")
    return Planted(
        clip=without_curves(stopped),
        check="hard_start" if starts else "hard_stop",
        part=None if shown is None else shown.part,
        carriers=_carriers(shown),
        frames=(float(stopped.frames[frame]),) * 2,
        size=size,
        where=f"dead {dead} frames, {far[0 if goes_on else 1]}, {space}",
    )


def _places(clip: Clip, shown: Target | None, size: float, space: str) -> list[tuple[int, float]]:
    """Samples where the part can be stopped in the air at a speed, and how much slower the clip
    then runs."""
    speed = _speed(_track(clip, shown, space), clip.dt_s) / height_of(clip)
    rate = size / np.maximum(speed, 1e-9)
    fits = (rate <= 1.0) & (rate >= SLOWEST) & (np.arange(len(rate)) >= BEFORE * rate)
    if shown is not None:
        fits &= ~lies_on_something(clip, shown)
    return [
        (int(at), float(rate[at]))
        for at in np.flatnonzero(fits)
        if _is_uneased(speed, at, rate[at], clip.dt_s)
    ]


def _has_speed(stopped: Clip, frame: int, shown: Target | None, space: str, size: float) -> bool:
    """Whether the part that was made to stop on a sample really had the speed before it."""
    speeds = _speed(_track(stopped, shown, space), stopped.dt_s)
    speed = speeds[frame - 1 : frame + 1].mean() / height_of(stopped)
    return bool(SPEEDS[0] * size <= speed <= SPEEDS[1] * size)


def _speed(track: Floats, dt_s: float) -> Floats:
    """(T,) mean speed of points (T,N,3) over the step that leads to each sample, m/s."""
    steps = np.linalg.norm(np.diff(track, axis=0), axis=-1).mean(axis=1) / dt_s
    return np.concatenate((steps[:1], steps))


def _is_uneased(speed: Floats, at: int, rate: float, dt_s: float) -> bool:
    """Whether a part is about as fast at a sample as shortly before it, in the slowed clip."""
    lead = max(round(LEAD_S * rate / dt_s), 1)
    return bool(speed[at] >= EASED * speed[max(at - lead, 0) : at + 1].max())


def _body(clip: Clip, at: int, rate: float, dead: int, goes_on: bool) -> tuple[Clip, int]:
    """The whole clip at another time, and the sample on which it is dead first."""
    before = min(int(at / rate), MOST_BEFORE)
    times = [at - rate * np.arange(before, -1, -1), np.full(dead, float(at))]
    if goes_on:
        count = round((EASE_S + AFTER_S) / clip.dt_s)
        pace = smooth_step(np.arange(1, count + 1) * clip.dt_s / EASE_S)
        times.append(at + rate * np.cumsum(pace))
    when = np.concatenate(times)
    return sampled(clip, when[when <= len(clip.frames) - 1]), before


def _part(
    clip: Clip,
    shown: Target,
    at: int,
    rate: float,
    dead: int,
    goes_on: bool,
    space: str,
) -> tuple[Clip, int] | None:
    """The clip slowed down throughout, and the part held in it while the rest goes on."""
    before = min(int(at / rate), MOST_BEFORE)
    after = dead + (round((EASE_S + AFTER_S) / clip.dt_s) if goes_on else 0)
    when = at + rate * np.arange(-before, after + 1)
    when = when[when <= len(clip.frames) - 1]
    if len(when) < before + dead + 1:
        return None
    slow = sampled(clip, when)
    number = np.arange(len(when), dtype=np.float64)
    share = (number > before).astype(np.float64)
    if goes_on:
        share *= 1.0 - smooth_step((number - before - dead) * clip.dt_s / EASE_S)
    stopped = held(slow, shown, np.minimum(number, float(before)), space, share)
    still = _track(stopped, shown, space)[before : before + dead]
    torn = stopped.positions[:, shown.joint] - slow.positions[:, shown.joint]
    height = height_of(clip)
    if np.ptp(still, axis=0).max() > DRIFT * height:
        return None
    if shown.part == "head" and np.linalg.norm(torn, axis=-1).max() > TORN * height:
        return None
    return stopped, before


def _track(clip: Clip, shown: Target | None, space: str) -> Floats:
    """(T,N,3) the points whose speed is meant: in the world, or from what carries the part."""
    if shown is None:
        joints = [clip.joint(clip.meta.roles[part][0]) for part in BODY if part in clip.meta.roles]
        return clip.positions[:, joints]
    own = clip.positions[:, [shown.joint]]
    if space == "world":
        return own
    kind, _, side = shown.part.partition(".")
    first = CHAINS[kind][0]
    base = clip.parents[target(clip, f"{first}.{side}" if side else first).joint]
    return _in_axes(clip, own, int(base))


def _in_axes(clip: Clip, points: Floats, base: int) -> Floats:
    """World points (T,N,3) in a joint's axes."""
    back = quat.conjugate(clip.rotations[:, [base]])
    return quat.rotate(back, points - clip.positions[:, [base]])


def _carriers(shown: Target | None) -> tuple[str | None, ...]:
    if shown is None:
        return ("root", "pelvis", None)
    kind, _, side = shown.part.partition(".")
    return tuple(f"{name}.{side}" if side else name for name in CHAINS[kind])


def _kind(check: str, space: str, says: str, promised: bool) -> Kind:
    starts = check == "hard_start"

    def plant(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
        return plant_stop(case, size, part, rng, starts=starts, space=space)

    parts = ("body", "hand", "head") if space == "world" else ("hand",)
    return Kind(
        name=check if space == "world" else f"{check}_own",
        check=check,
        says=says,
        unit="H/s",
        sizes=dict.fromkeys(parts, (0.1, 0.15, 0.3, 0.6) if space == "world" else (0.3,)),
        promised=dict.fromkeys(parts, (0.15, 0.15)) if promised else {},
        sets=MOTION if space == "world" else FEW,
        plant=plant,
    )


KINDS = (
    _kind("hard_stop", "world", "in the air: dead in the world in a frame, for 6 or more", True),
    _kind("hard_stop", "parent", "in the air: dead against what carries it, which goes on", False),
    _kind("hard_start", "world", "in the air: from dead to full speed within a frame", True),
    _kind("hard_start", "parent", "the same, from dead against what carries it", False),
)
