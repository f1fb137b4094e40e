# SPDX-License-Identifier: GPL-3.0-or-later
"""Pops: a part leaves its path for one to three frames and comes back."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis import Clip

from ..case import Case
from ..figure import rebuild
from ..moves import (
    Target,
    about,
    any_side,
    ends_of,
    height_of,
    keep_feet,
    local_step,
    reach,
    target,
    with_staff,
)
from ..planted import Kind, Planted
from ..timing import without_curves
from . import FEW, MOTION, STORY_M

Floats = NDArray[np.float64]

# Samples at either end that are left alone: what happens there cannot be judged.
EDGE = 6
# Share of the size by which what is measured afterwards may differ from what was asked for.
EXACT = 0.1
# What is turned, beside the part's own control, to move each part.
ABOVE = {
    "head": ("neck", "chest"),
    "hand": ("forearm", "upper_arm"),
    "foot": ("shin", "thigh"),
    "prop": ("prop", "hand"),
}
# How far out of its path a part is on each frame, by width and shape.
SHAPES = {
    1: ((1.0,),),
    2: ((1.0, 1.0), (1.0, 0.6)),
    3: ((1.0, 1.0, 1.0), (0.5, 1.0, 0.5)),
}


@dataclass(frozen=True, eq=False)
class _Way:
    """How a part is moved: by which part's control, and whether that is shifted or turned."""

    control: Target
    turns: bool
    feet_stay: bool = False


def plant_pop(
    case: Case, size: float, part: str, rng: np.random.Generator, *, width: int, share: float
) -> Planted | None:
    """A pop of `size` cm at 1.7 m, or of `share` of the local step where that is larger."""
    clip = _prepared(case.clip, part, rng)
    shown = any_side(clip, part, rng)
    if shown is None or len(clip.frames) < 2 * EDGE + width:
        return None
    at = int(rng.integers(EDGE, len(clip.frames) - EDGE - width + 1))
    shapes = SHAPES[width]
    shape = np.array(shapes[int(rng.integers(len(shapes)))])
    way = _way(clip, shown, rng)
    before = ends_of(clip, shown.joint)
    peak = at + int(np.argmax(shape))
    step = max(local_step(before[:, end], peak) for end in (0, 1))
    wanted = max(size / 100.0 * height_of(clip) / STORY_M, share * step)
    amounts = np.zeros(len(clip.frames))
    amounts[at : at + width] = shape * wanted
    moved = _moved(clip, shown, way, amounts, before, peak, rng)
    off = np.linalg.norm(ends_of(moved, shown.joint) - before, axis=-1)[peak].max()
    if abs(off - wanted) > EXACT * wanted:
        return None
    return Planted(
        clip=without_curves(moved),
        check="pop",
        part=shown.part,
        carriers=_carriers(shown, way.control),
        frames=(float(clip.frames[at]), float(clip.frames[at + width - 1])),
        size=float(off) * 100.0 * STORY_M / height_of(clip),
        where=f"{way.control.part} {'turned' if way.turns else 'shifted'}"
        f"{', feet stay' if way.feet_stay else ''}, {off / max(step, 1e-9):.1f} steps",
    )


def _prepared(clip: Clip, part: str, rng: np.random.Generator) -> Clip:
    """The clip with a prop in one hand where one is asked for and there is none."""
    if part == "prop" and not clip.meta.props:
        return with_staff(clip, str(rng.choice(["L", "R"])))
    return clip


def _way(clip: Clip, shown: Target, rng: np.random.Generator) -> _Way:
    kind = shown.part.partition(".")[0]
    if kind == "root":
        return _Way(shown, turns=False, feet_stay=bool(rng.integers(2)))
    if rng.integers(2):
        return _Way(shown, turns=False)
    above = str(rng.choice(ABOVE[kind]))
    if kind == "prop":
        held_by = clip.meta.props[0].held_by
        control = shown if above == "prop" or held_by is None else target(clip, held_by)
    else:
        control = target(clip, f"{above}.{shown.side}" if shown.side else above)
    return _Way(control or shown, turns=True)


def _moved(
    clip: Clip,
    shown: Target,
    way: _Way,
    amounts: Floats,
    ends: Floats,
    peak: int,
    rng: np.random.Generator,
) -> Clip:
    """The clip with the part moved by amounts (T,) in metres into one random direction."""
    direction = rng.normal(size=3)
    direction /= np.linalg.norm(direction)
    if way.turns:
        pivot = clip.positions[peak, way.control.joint]
        arm = ends[peak, np.argmax(np.linalg.norm(ends[peak] - pivot, axis=-1))] - pivot
        axis = np.cross(arm, direction)
        axis /= np.linalg.norm(axis)
        across = np.linalg.norm(np.cross(ends[peak] - pivot, axis), axis=-1).max()
        angle = 2.0 * np.arcsin(np.clip(amounts / (2.0 * across), -1.0, 1.0))
        return rebuild(clip, way.control.joint, turn=about(axis, angle))
    shift = amounts[:, None] * direction
    if shown.part.partition(".")[0] in ("hand", "foot"):
        return reach(clip, shown, shift)
    moved = rebuild(clip, shown.joint, shift=shift)
    return keep_feet(clip, moved) if way.feet_stay else moved


def _carriers(shown: Target, control: Target) -> tuple[str | None, ...]:
    """The part, the part that was turned, and what lies between the two."""
    if shown.part == "root":
        return ("root", "pelvis", None)
    kind = shown.part.partition(".")[0]
    chain = [shown.part]
    for above in ABOVE[kind]:
        name = f"{above}.{shown.side}" if shown.side else above
        if control.part == shown.part:
            break
        chain.append(name if kind != "prop" else control.part)
        if name == control.part:
            break
    return tuple(dict.fromkeys(chain))


def _kind(name: str, says: str, widths: tuple[int, ...], share: float, **rest: object) -> Kind:
    def plant(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
        width = int(rng.choice(widths))
        return plant_pop(case, size, part, rng, width=width, share=share)

    return Kind(name=name, check="pop", says=says, unit="cm", plant=plant, **rest)


_CORE, _ENDS, _CM = (1.0, 1.5, 2.5), (1.5, 2.5, 3.0), (1.5, 3.0, 5.0, 8.0)
_ONE_FRAME = {"root": _CORE, "head": _CORE, "hand": _ENDS, "foot": _ENDS, "prop": _ENDS}
_ONE_PROMISED = {
    "root": (1.5, 1.5),
    "head": (1.5, 1.5),
    "hand": (3.0, 2.5),
    "foot": (3.0, 2.5),
    "prop": (3.0, 2.5),
}
_PLAIN = {"root": _CORE, "head": _CORE, "hand": _CM, "foot": _CM, "prop": _CM}
_WIDE = dict.fromkeys(_ONE_FRAME, (3.0, 6.0, 8.0))
_WIDE_PROMISED = dict.fromkeys(_ONE_FRAME, (8.0, 6.0))

KINDS = (
    _kind(
        "pop",
        "one frame off, by half a local step at least",
        (1,),
        0.5,
        sizes=_ONE_FRAME,
        promised=_ONE_PROMISED,
        sets=MOTION,
    ),
    _kind("pop_cm", "one frame off, by plain cm", (1,), 0.0, sizes=_PLAIN, promised={}, sets=FEW),
    _kind(
        "pop_wide",
        "two or three frames off, flat or humped",
        (2, 3),
        0.0,
        sizes=_WIDE,
        promised=_WIDE_PROMISED,
        sets=MOTION,
    ),
)
