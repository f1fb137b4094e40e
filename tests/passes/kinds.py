# SPDX-License-Identifier: GPL-3.0-or-later
"""Second passes of a shot: what is done to it, and what ought to come of each finding."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import numpy as np

from analysis.parts import limb_of

from . import edits
from .edits import Edited
from .shots import APART, FROM_ENDS, Made, fault_at


@dataclass(frozen=True, eq=False)
class Second:
    """A second pass.

    changed   by the frame of the first pass where the motion was changed: parts, None for all
    """

    kind: str
    edited: Edited
    changed: dict[float, str | None] = field(default_factory=dict)
    louder: int | None = None


def seconds_of(made: Made, rng: np.random.Generator) -> Iterator[Second]:
    """All second passes of a shot, one of each kind that fits it."""
    clip, count = made.with_faults(), len(made.clip.frames)
    first = float(clip.frames[0])
    if made.loop:
        yield Second("same", Edited(clip, lambda f: f))
        if abs(clip.positions[-1, 0] - clip.positions[0, 0])[:2].max() < 0.3:
            yield Second("loop starts elsewhere", edits.turned_round(clip, int(rng.integers(3, 9))))
        yield from _faults(made, rng)
        return
    yield Second("same", Edited(clip, lambda f: f))
    for kind, change in _in_time(count, rng).items():
        at = int(rng.integers(FROM_ENDS, count - FROM_ENDS))
        changed = [at, at - edits.OVER, at + edits.OVER] if "stretched" in kind else [at]
        yield Second(kind, change(clip, at), {first + each: None for each in changed})
    yield Second("played in .9 of the time", edits.retimed(clip, 0.9))
    yield Second("played in 1.1 of the time", edits.retimed(clip, 1.1))
    yield Second(
        "at 4 : 5 of the rate", edits.at_rate(clip, clip.fps * (1.25 if clip.fps < 27 else 0.8))
    )
    yield Second("moved in place", edits.moved(clip, float(rng.uniform(20, 300)), (3.0, -1.0, 0.0)))
    yield Second("17 frames later", edits.later(clip, 17.0))
    yield Second(
        "10 frames cut off", edits.cut(clip, *((10, 0) if rng.random() < 0.5 else (0, 10)))
    )
    yield Second("noise of .1 mm", edits.trembling(clip, 1e-4, rng))
    yield from _faults(made, rng)
    yield from _other_part(made, rng)
    yield _this_part(made, rng)
    yield _several(made, rng)


def _in_time(count: int, rng: np.random.Generator) -> dict[str, Callable]:
    return {
        "3 frames put in, held": lambda clip, at: edits.inserted(clip, at, 3),
        "3 frames put in, stretched": lambda clip, at: edits.stretched(clip, at, 3),
        "3 frames taken out": lambda clip, at: edits.removed(clip, at, 3),
    }


def _faults(made: Made, rng: np.random.Generator) -> Iterator[Second]:
    """One of the faults mended, halved, grown; another one planted."""
    first, which = float(made.clip.frames[0]), int(rng.integers(len(made.faults)))
    fault = made.faults[which]
    place = {first + fault.at: fault.part}
    for kind, share in (("one mended", 0.0), ("one halved", 0.5), ("one half as large again", 1.5)):
        clip = made.with_faults({which: share})
        yield Second(kind, Edited(clip, lambda f: f), dict(place), which)
    free = [
        at
        for at in range(FROM_ENDS, len(made.clip.frames) - FROM_ENDS)
        if all(abs(at - each.at) >= APART for each in made.faults)
    ]
    if free:
        other = fault_at(made.clip, int(rng.choice(free)), rng)
        clip = other.planted(made.with_faults())
        yield Second("another one", Edited(clip, lambda f: f), {first + other.at: other.part})


def _several(made: Made, rng: np.random.Generator) -> Second:
    """Seven frames more, one fault halved, all of it moved, turned and three frames later."""
    which = int(rng.integers(len(made.faults)))
    first, clip = float(made.clip.frames[0]), made.with_faults({which: 0.5})
    at = int(rng.integers(FROM_ENDS, len(clip.frames) - FROM_ENDS))
    stretched = edits.stretched(clip, at, 7)
    place = edits.moved(stretched.clip, float(rng.uniform(20, 300)), (1.0, 2.0, 0.0))
    last = edits.later(place.clip, 3.0)
    fault = made.faults[which]
    over = edits.OVER
    changed = {first + at + n: None for n in (-over, 0, over)} | {first + fault.at: fault.part}
    edited = Edited(last.clip, lambda f: last.where(stretched.where(f)))
    return Second("several of these at once", edited, changed, which)


def _this_part(made: Made, rng: np.random.Generator) -> Second:
    """The part of a fault takes another way there, by 3 cm four frames later."""
    which = int(rng.integers(len(made.faults)))
    fault = made.faults[which]
    way = rng.normal(size=3)
    way *= 0.03 / np.linalg.norm(way)
    edited = edits.bent(made.with_faults(), fault.joint, fault.at + 4, way, over=6)
    at = float(made.clip.frames[0]) + fault.at
    changed: dict[float, str | None] = {at: fault.part, at + 4: None, at + 10: None}
    return Second("its part edited 4 frames later", edited, changed, which)


def _other_part(made: Made, rng: np.random.Generator) -> Iterator[Second]:
    """A limb without a fault is moved by a few centimetres."""
    faulty = {each.part for each in made.faults}
    free = [p for p in ("hand.L", "hand.R", "foot.L", "foot.R") if p not in faulty]
    free = [p for p in free if made.clip.meta.roles.get(p)]
    if not free:
        return
    part = str(rng.choice(free))
    upper = limb_of(part)[1] if limb_of(part)[1] in made.clip.meta.roles else part
    joint = made.clip.joints.index(made.clip.meta.roles[upper][0])
    at = int(rng.integers(FROM_ENDS, len(made.clip.frames) - FROM_ENDS))
    way = rng.normal(size=3)
    way *= 0.04 / np.linalg.norm(way)
    edited = edits.bent(made.with_faults(), joint, at, way)
    yield Second("another limb edited", edited, {float(made.clip.frames[0]) + at: part})
