# SPDX-License-Identifier: GPL-3.0-or-later
"""Faults of loops: frames that repeat at the end, and seams that break.

They are planted into the set of cycles, whose cases know the round that they play. The clip is
what an animator has in the scene: one round, and the fault at its end, at its beginning or at
both.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis import Clip
from analysis import quaternions as quat

from .case import Case
from .cycles import JERKY, SET, STRIDES, CycleCase
from .faults import STORY_M
from .figure import rebuild
from .moves import any_side, height_of, reach, target
from .planted import Kind, Planted
from .timing import without_curves

Floats = NDArray[np.float64]

REPEATS = {"one": 1, "two": 2, "three": 3}
# How far into the loop a break is led back to the clean motion: seconds, and share of the loop.
LED_BACK_S, LED_BACK_SHARE = (0.25, 0.6), 0.45
# Share of the size by which the planted break may differ from what was asked for.
EXACT = 0.15


def plant_double_frame(
    case: Case, size: float, part: str, rng: np.random.Generator
) -> Planted | None:
    """One to three frames more that repeat the first ones, off by `size` of a step at most.

    Half of those that are off come from a round that lasts no whole number of frames, the
    others are a repeat of its own, a little late or early.
    """
    if not isinstance(case, CycleCase):
        return None
    each, repeats = case.round, REPEATS[part]
    off = size * rng.choice((-1.0, 1.0))
    phases = np.arange(float(each.length + repeats))
    if rng.integers(2):
        phases[each.length :] += off
        where = "late" if off > 0.0 else "early"
    else:
        phases *= each.length / (each.length + off)
        where = "a round of no whole number of frames"
    clip = each.played(phases, case.name)
    return Planted(
        clip=without_curves(clip),
        check="double_frame",
        part=None,
        carriers=(None,),
        frames=(float(clip.frames[each.length]), float(clip.frames[-1])),
        size=size,
        where=f"{where}, turning" if each.turn else where,
        amount=float(repeats),
    )


def plant_speed_break(
    case: Case, size: float, part: str, rng: np.random.Generator
) -> Planted | None:
    """A part meets its place again over the seam, but `size` m/s (at 1.7 m) slower or faster."""
    if not isinstance(case, CycleCase):
        return None
    lead = _lead(case, rng)
    speed = size * height_of(case.clip) / STORY_M
    seconds = np.abs(lead.seconds)
    return _broken(case, lead, part, speed * seconds * lead.fades, size, rng)


def plant_gap(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """A part, or every joint by itself (`pose`), is `size` cm (at 1.7 m) off over the seam."""
    if not isinstance(case, CycleCase):
        return None
    lead = _lead(case, rng)
    gap = size / 100.0 * height_of(case.clip) / STORY_M
    amounts = gap * lead.fades * np.sign(lead.seconds + 1e-9)
    if part == "pose":
        return _every_joint(case, lead, amounts, size, rng)
    return _broken(case, lead, part, amounts, size, rng, gap=True)


@dataclass(frozen=True, eq=False)
class _Lead:
    """How a break is led back into the loop, by sample.

    seconds (T,)   from the seam: below 0 towards the end, from 0 on at the beginning
    fades (T,)     1 at the seam, 0 where the loop is clean, 0 on a side that is left clean;
                   a half on both sides where the break is shared
    """

    seconds: Floats
    fades: Floats
    where: str


def _lead(case: CycleCase, rng: np.random.Generator) -> _Lead:
    count, dt_s = len(case.clip.frames), case.clip.dt_s
    sample = np.arange(count)
    seconds = np.where(sample < count / 2, sample, sample - count) * dt_s
    longest = min(LED_BACK_S[1], LED_BACK_SHARE * count * dt_s)
    over = rng.uniform(min(LED_BACK_S[0], longest), longest)
    u = np.clip(np.abs(seconds) / over, 0.0, 1.0)
    fades = 1.0 - u**3 * (10.0 - 15.0 * u + 6.0 * u**2)
    side = str(rng.choice(("at the end", "at the beginning", "on both sides")))
    if side == "on both sides":
        fades = 0.5 * fades
    else:
        fades = np.where((seconds < 0.0) == (side == "at the end"), fades, 0.0)
    return _Lead(seconds, fades, f"{side}, over {over:.2f} s")


def _broken(
    case: CycleCase,
    lead: _Lead,
    part: str,
    amounts: Floats,
    size: float,
    rng: np.random.Generator,
    *,
    gap: bool = False,
) -> Planted | None:
    """The part moved by amounts (T,) in metres into one direction, as the next round has it."""
    shown = any_side(case.clip, part, rng)
    if shown is None:
        return None
    shift = _carried(case, lead, amounts, _direction(case, gap and part == "root", rng))
    how = "shifted"
    if part == "root":
        moved = rebuild(case.clip, shown.joint, shift=shift)
    elif rng.integers(2):
        moved = reach(case.clip, shown, shift)
    else:
        how, moved = "turned", _turned(case.clip, shown.part, shift, rng)
    off = np.linalg.norm(moved.positions - case.clip.positions, axis=-1)[:, shown.joint]
    if abs(off.max() - np.abs(amounts).max()) > EXACT * np.abs(amounts).max():
        return None
    chain = ("upper_arm", "forearm", "hand") if part == "hand" else (part, "pelvis")
    names = [f"{name}.{shown.side}" if shown.side else name for name in chain]
    carriers = (*names, None) if part == "root" else tuple(names)
    return _planted(case, moved, shown.part, carriers, size, f"{how}, {lead.where}")


def _every_joint(
    case: CycleCase, lead: _Lead, amounts: Floats, size: float, rng: np.random.Generator
) -> Planted | None:
    """Every joint turned about an axis of its own, so that joints are off by `size` on average."""
    axes = rng.normal(size=(len(case.clip.joints), 3))
    most = np.abs(amounts).max()
    scale = 1.0
    for _again in range(3):
        moved = case.clip
        for joint, axis in enumerate(axes):
            moved = rebuild(
                moved, joint, turn=_quaternions(_carried(case, lead, scale * amounts, axis))
            )
        off = np.linalg.norm(moved.positions - case.clip.positions, axis=-1).mean(axis=1).max()
        scale *= most / off
    return _planted(case, moved, None, (None, *case.clip.meta.roles), size, lead.where)


def _direction(case: CycleCase, gap: bool, rng: np.random.Generator) -> Floats:
    """A random unit vector; a body that travels is off its travel only upwards or downwards."""
    if gap and np.hypot(*case.round.travel) > 0.0:
        return np.array([0.0, 0.0, rng.choice((-1.0, 1.0))])
    way = rng.normal(size=3)
    return np.asarray(way / np.linalg.norm(way))


def _carried(case: CycleCase, lead: _Lead, amounts: Floats, way: Floats) -> Floats:
    """(T,3) shifts along one direction over the seam: at the end as one round later."""
    half = case.round.turn / 2.0
    later = quat.rotate(np.array([np.cos(half), 0.0, 0.0, np.sin(half)]), way)
    return amounts[:, None] * np.where((lead.seconds < 0.0)[:, None], later, way)


def _turned(clip: Clip, part: str, shift: Floats, rng: np.random.Generator) -> Clip:
    """The limb's end moved about as far as the shifts by a turn of its upper or lower bone."""
    side = part.partition(".")[2]
    above = target(clip, f"{rng.choice(('upper_arm', 'forearm'))}.{side}")
    end = target(clip, part)
    assert above is not None
    assert end is not None
    arm = clip.positions[:, end.joint] - clip.positions[:, above.joint]
    length = np.linalg.norm(arm, axis=-1, keepdims=True)
    axis = np.cross(arm, shift)
    across = np.linalg.norm(axis, axis=-1, keepdims=True)
    angle = np.linalg.norm(shift, axis=-1, keepdims=True) / length
    vector = np.where(across > 0.0, axis / np.where(across > 0.0, across, 1.0), 0.0) * angle
    return rebuild(clip, above.joint, turn=_quaternions(vector))


def _quaternions(vectors: Floats) -> Floats:
    """Turns (T,4) of rotation vectors (T,3) in radians."""
    angle = np.linalg.norm(vectors, axis=-1, keepdims=True)
    return np.concatenate((np.cos(angle / 2.0), 0.5 * np.sinc(angle / (2.0 * np.pi)) * vectors), -1)


def _planted(
    case: CycleCase,
    moved: Clip,
    part: str | None,
    carriers: tuple[str | None, ...],
    size: float,
    where: str,
) -> Planted:
    last = float(case.clip.frames[-1])
    clip = replace(moved, meta=case.clip.meta)
    return Planted(without_curves(clip), "loop_seam", part, carriers, (last, last), size, where)


KINDS = (
    Kind(
        name="double_frame",
        check="double_frame",
        says="one to three frames at the end repeat the first, exactly or nearly",
        unit="steps",
        sizes=dict.fromkeys(REPEATS, (0.0, 0.2)),
        promised=dict.fromkeys(REPEATS, (0.0, 0.0)),
        each_size=True,
        sets=(SET,),
        plant=plant_double_frame,
        cycle=True,
    ),
    Kind(
        name="seam_speed",
        check="loop_seam",
        says="the speed breaks over the seam",
        unit="m/s",
        sizes={"root": (0.15, 0.3, 0.6), "hand": (0.25, 0.5, 1.0)},
        promised={"root": (0.3, 0.3), "hand": (0.5, 0.5)},
        sets=(f"{SET}/{STRIDES}", f"{SET}/{JERKY}"),
        unpromised=(f"{SET}/{JERKY}",),
        plant=plant_speed_break,
        cycle=True,
    ),
    Kind(
        name="seam_gap",
        check="loop_seam",
        says="the pose misses over the seam",
        unit="cm",
        sizes=dict.fromkeys(("root", "pose"), (0.25, 0.5, 1.0)),
        promised=dict.fromkeys(("root", "pose"), (0.5, 0.5)),
        sets=(f"{SET}/{STRIDES}", f"{SET}/{JERKY}"),
        unpromised=(f"{SET}/{JERKY}",),
        plant=plant_gap,
        cycle=True,
    ),
)
