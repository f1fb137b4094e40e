# SPDX-License-Identifier: GPL-3.0-or-later
"""Feet that slip over a loop's seam, feet that tell two grounds, hands that slip on supports."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from analysis import Clip

from ..case import Case
from ..moves import Target, any_side, height_of, reach
from ..plan import runs
from ..planted import Kind, Planted
from ..resting import sole_of
from ..timing import smooth_step, without_curves
from . import STORY_M

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# A steered foot stands where a point of its sole is this low, of the height (5 mm at 1.7 m).
LOW = 0.003
# A slip over the seam begins and ends so many seconds from it.
BESIDE_S = (0.08, 0.25)
# Share of the size by which what is measured afterwards may differ from what was asked for.
EXACT = 0.1
# A hand rests on its support for so long, seconds, is led there and back within so much, and slips
# within so much; its box is as large as this share of the height, and as near as that.
RESTS_S, LED_S, SLIPS_S, BOX, GAP = 1.2, 0.4, (0.15, 0.4), 0.2, 0.01
# Before and after, it is led so far away from the face, a share of the height.
AWAY = 0.1
# While it rests it was led by less than this share of the height.
NEAR = 0.03


def plant_over_seam(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """A foot that stands over a loop's seam slips by `size` cm, before it and after it."""
    clip = case.clip
    foot = any_side(clip, part, rng)
    if foot is None or not clip.meta.cycle:
        return None
    count, stand = len(clip.frames), _seam_stand(clip, foot)
    ends = np.round(rng.uniform(*BESIDE_S, 2) / clip.dt_s).astype(int)
    first, last = count - max(ends[0], 2), count + max(ends[1], 2)
    if stand is None or first < stand[0] or last > stand[1]:
        return None
    eased = bool(rng.integers(2))

    def share(at: Floats) -> Floats:
        u = np.clip((at - first) / (last - first), 0.0, 1.0)
        return (smooth_step(u) if eased else u) * _let_go(clip, foot, at, stand[1])

    angle = rng.uniform(0.0, 2.0 * np.pi)
    way = size / 100.0 * height_of(clip) / STORY_M * np.array([np.cos(angle), np.sin(angle), 0.0])
    return _planted(case, foot, _wrapped(count, share), way, size, "over the seam")


def plant_two_grounds(
    case: Case, size: float, part: str, rng: np.random.Generator
) -> Planted | None:
    """In all its stands one foot goes by `size` cm along or against the way."""
    clip = case.clip
    foot = any_side(clip, part, rng)
    if foot is None:
        return None
    count, low = len(clip.frames), _low(clip, foot)
    loops = bool(clip.meta.cycle)
    share = np.zeros(count)
    for first, last in runs(np.tile(low, 3) if loops else low):
        if loops and not count <= first < 2 * count:
            continue
        stand = (first - count, last - count) if loops else (first, last)
        share = np.maximum(share, _going(clip, foot, stand, loops=loops))
    metres = size / 100.0 * height_of(clip) / STORY_M * float(rng.choice([-1.0, 1.0]))
    found = _planted(case, foot, share, np.array([0.0, metres, 0.0]), size, "in all its stands")
    other = foot.part[:-1] + ("R" if foot.side == "L" else "L")
    return None if found is None else replace(found, carriers=(*found.carriers, other))


def plant_hand_slip(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """A hand that rests on a box slips over its face by `size` cm."""
    clip = case.clip
    hand = any_side(clip, part, rng)
    rests, led = round(RESTS_S / clip.dt_s), round(LED_S / clip.dt_s)
    room = len(clip.frames) - rests - 2 * led
    if hand is None or room < 1:
        return None
    first = led + int(rng.integers(room))
    place, height = clip.positions[:, hand.joint], height_of(clip)
    spot = place[first : first + rests].mean(axis=0)
    if np.linalg.norm(place[first : first + rests] - spot, axis=1).max() > NEAR * height:
        return None
    at = np.arange(len(clip.frames))
    kept = smooth_step((at - first + led) / led) * smooth_step((first + rests + led - at) / led)
    normal, along = _face(rng)
    lifted = AWAY * height * np.outer(1.0 - kept, normal)
    resting = reach(clip, hand, (spot - place) * kept[:, None] + lifted)
    slips = max(round(rng.uniform(*SLIPS_S) / clip.dt_s), 3)
    begins = first + round(0.3 * rests) + int(rng.integers(max(round(0.6 * rests) - slips, 1)))
    share = np.clip((at - begins) / slips, 0.0, 1.0) * kept
    way = size / 100.0 * height / STORY_M * along
    slid = reach(resting, hand, np.outer(share, way))
    goal = place + (spot - place) * kept[:, None] + lifted + np.outer(share, way)
    off = np.linalg.norm(slid.positions[:, hand.joint] - goal, axis=1)
    if off[first : first + rests].max() > EXACT * np.linalg.norm(way):
        return None
    box = _box(spot, normal, height, len(at))
    return Planted(
        clip=replace(without_curves(slid), supports=box[None]),
        check="slide",
        part=hand.part,
        carriers=(hand.part,),
        frames=(float(clip.frames[begins]), float(clip.frames[begins + slips])),
        size=size,
        where="on a box",
    )


def _face(rng: np.random.Generator) -> tuple[Floats, Floats]:
    """A box's face, level or upright: its normal, and a way along it."""
    angle = rng.uniform(0.0, 2.0 * np.pi)
    level = np.array([np.cos(angle), np.sin(angle), 0.0])
    normal = np.array([0.0, 0.0, 1.0]) if rng.integers(4) == 0 else level
    other = rng.normal(size=3)
    along = other - (other @ normal) * normal
    return normal, along / np.linalg.norm(along)


def _box(spot: Floats, normal: Floats, height: float, count: int) -> Floats:
    """(T,4,4) a box whose face lies beside a spot, looking along its normal."""
    side = np.cross(normal, [0.0, 1.0, 0.0] if abs(normal[2]) > 0.5 else [0.0, 0.0, 1.0])
    axes = np.stack((side, np.cross(normal, side), normal), axis=1)
    matrix = np.eye(4)
    matrix[:3, :3] = axes * BOX * height
    matrix[:3, 3] = spot - (0.5 * BOX + GAP) * height * normal
    return np.tile(matrix, (count, 1, 1))


def _low(clip: Clip, foot: Target) -> Bools:
    """(T,) where a steered foot is down."""
    return np.asarray(sole_of(clip, foot)[..., 2].min(axis=1) < LOW * height_of(clip))


def _seam_stand(clip: Clip, foot: Target) -> tuple[int, int] | None:
    """First and last sample of the stand over the seam, counted on over it."""
    count = len(clip.frames)
    for first, last in runs(np.tile(_low(clip, foot), 2)):
        if first < count - 1 and last > count:
            return first, last
    return None


def _let_go(clip: Clip, foot: Target, at: Floats, last: int) -> Floats:
    """The share that is left after a stand's last sample, until the foot is down again."""
    low, count = _low(clip, foot), len(clip.frames)
    again = np.flatnonzero(low[(last + 1 + np.arange(count)) % count])
    room = max(int(again[0]) if len(again) else count, 2)
    return np.asarray(1.0 - smooth_step((at - last) / room))


def _going(clip: Clip, foot: Target, stand: tuple[int, int], *, loops: bool) -> Floats:
    """(T,) the share of the way over one stand, and what is let go of after it."""
    first, last = stand

    def share(at: Floats) -> Floats:
        u = np.clip((at - first) / max(last - first, 1), 0.0, 1.0)
        return u * _let_go(clip, foot, at, last)

    count = len(clip.frames)
    return _wrapped(count, share) if loops else share(np.arange(count, dtype=np.float64))


def _wrapped(count: int, share: Callable[[Floats], Floats]) -> Floats:
    """(T,) of a loop: what a share of time is on its first round and on the next."""
    at = np.arange(count, dtype=np.float64)
    return np.asarray(np.maximum(share(at), share(at + count)))


def _planted(
    case: Case, foot: Target, share: Floats, way: Floats, size: float, where: str
) -> Planted | None:
    """The foot shifted by a share (T,) of a way; None where its leg does not reach."""
    clip = case.clip
    shift = np.outer(share, way)
    slid = reach(clip, foot, shift)
    went = (slid.positions - clip.positions)[:, foot.joint]
    if np.linalg.norm(went - shift, axis=-1).max() > EXACT * np.linalg.norm(way):
        return None
    return Planted(
        clip=without_curves(slid),
        check="slide",
        part=foot.part,
        carriers=(foot.part, foot.part.replace("foot", "toe")),
        frames=(float(clip.frames[0]), float(clip.frames[-1])),
        size=size,
        where=f"{case.name}: {where}",
        whole=True,
    )


KINDS = (
    Kind(
        name="slide_seam",
        check="slide",
        says="a foot that stands over a loop's seam slips, before it and after it",
        unit="cm",
        sizes={"foot": (1.0, 2.0, 4.0)},
        promised={"foot": (2.0, 2.0)},
        sets=("travelling", "strike_seam"),
        plant=plant_over_seam,
        cycle=True,
    ),
    Kind(
        name="two_grounds",
        check="slide",
        says="in all its stands one foot goes further over the ground than the other",
        unit="cm",
        sizes={"foot": (3.0, 6.0, 8.0)},
        promised={"foot": (8.0, 8.0)},
        sets=("travelling",),
        plant=plant_two_grounds,
        cycle=True,
    ),
    Kind(
        name="hand_slip",
        check="slide",
        says="a hand that rests on a declared support slips over its face",
        unit="cm",
        sizes={"hand": (2.0, 3.0, 4.0)},
        promised={"hand": (4.0, 4.0)},
        sets=("holds",),
        plant=plant_hand_slip,
    ),
)
