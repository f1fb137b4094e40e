# SPDX-License-Identifier: GPL-3.0-or-later
"""Straight runs: between two frames a part goes in a straight, even line, as on linear keys."""

import numpy as np
from numpy.typing import NDArray

from analysis import Clip

from ..case import Case
from ..figure import Channels, channels_of, posed
from ..moves import Target, any_side, height_of, keep_feet
from ..planted import Kind, Planted
from ..timing import CHAINS, blend, chain_of, steered, without_curves
from . import FEW, MOTION, STORY_M

Floats = NDArray[np.float64]

EDGE = 6
# A run is to be seen: at least this fast, heights a second, and this far off the path, cm at 1.7 m.
FAST, OFF_CM = 0.2, 1.0
# A limb that does not reach its line goes on with the body: it may be off the line, gone evenly,
# by this share of what the line cuts off.
BOWS = 0.1


def plant_run(
    case: Case, size: float, part: str, rng: np.random.Generator, *, control: bool
) -> Planted | None:
    """A run of `size` frames from key to key, of a path in the world or of a control's channels."""
    clip, frames = case.clip, round(size)
    shown = any_side(clip, part, rng)
    last = len(clip.frames) - EDGE - frames
    if shown is None or last <= EDGE:
        return None
    height = height_of(clip)
    path = clip.positions[:, shown.joint]
    pace = np.linalg.norm(path[frames:] - path[:-frames], axis=-1) / (frames * clip.dt_s)
    starts = np.arange(EDGE, last)
    starts = starts[pace[starts] >= FAST * height]
    if len(starts) == 0:
        return None
    at = int(rng.choice(starts))
    feet_stay = part == "root" and bool(rng.integers(2))
    run = _by_channels(clip, shown, at, frames) if control else _by_path(clip, shown, at, frames)
    bow = 0.0 if control else _off_line(run.positions[:, shown.joint], at, frames)
    if feet_stay:
        run = keep_feet(clip, run)
    gap = np.linalg.norm(run.positions[:, shown.joint] - path, axis=-1).max()
    off = float(gap) * 100.0 * STORY_M / height
    if off < OFF_CM or bow > BOWS * gap:
        return None
    return Planted(
        clip=without_curves(run),
        check="straight_run",
        part=shown.part,
        carriers=_carriers(shown),
        frames=(float(clip.frames[at]), float(clip.frames[at + frames])),
        size=size,
        where=f"up to {off:.1f} cm off the path{', feet stay' if feet_stay else ''}",
    )


def _by_path(clip: Clip, shown: Target, at: int, frames: int) -> Clip:
    """The part's head on a straight line in the world; its turn goes evenly as well."""
    path, turns = clip.positions[:, shown.joint], clip.rotations[:, shown.joint].copy()
    share = np.arange(frames + 1) / frames
    span = slice(at, at + frames + 1)
    shift = np.zeros_like(path)
    line = path[at] + share[:, None] * (path[at + frames] - path[at])
    shift[span] = line - path[span]
    shift[[at, at + frames]] = 0.0
    turns[span] = _evenly(turns[at], turns[at + frames], share)
    return steered(clip, shown, shift, turns)


def _off_line(path: Floats, at: int, frames: int) -> float:
    """Metres that a path is off an even line between two samples, at most."""
    share = np.arange(frames + 1)[:, None] / frames
    line = path[at] + share * (path[at + frames] - path[at])
    return float(np.linalg.norm(path[at : at + frames + 1] - line, axis=-1).max())


def _by_channels(clip: Clip, shown: Target, at: int, frames: int) -> Clip:
    """All channels of the part's chain linear between two keys, as linear keys make them."""
    own = channels_of(clip)
    places, turns = own.places.copy(), own.turns.copy()
    share = np.arange(frames + 1) / frames
    span = slice(at, at + frames + 1)
    for joint in chain_of(clip, shown):
        gap = places[at + frames, joint] - places[at, joint]
        places[span, joint] = places[at, joint] + share[:, None] * gap
        turns[span, joint] = _evenly(turns[at, joint], turns[at + frames, joint], share)
    return posed(clip, Channels(places, turns))


def _evenly(a: Floats, b: Floats, share: Floats) -> Floats:
    count = len(share)
    return blend(np.tile(a, (count, 1)), np.tile(b, (count, 1)), share)


def _carriers(shown: Target) -> tuple[str | None, ...]:
    kind, _, side = shown.part.partition(".")
    if kind == "root":
        return ("root", "pelvis", None)
    return tuple(f"{name}.{side}" if side else name for name in CHAINS[kind])


def _kind(name: str, control: bool, says: str, parts: tuple[str, ...], promised: bool) -> Kind:
    def plant(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
        return plant_run(case, size, part, rng, control=control)

    return Kind(
        name=name,
        check="straight_run",
        says=says,
        unit="fr",
        sizes=dict.fromkeys(parts, (4.0, 5.0, 6.0, 8.0)),
        promised=dict.fromkeys(parts, (4.0, 4.0)) if promised else {},
        sets=MOTION if promised else FEW,
        plant=plant,
    )


KINDS = (
    _kind(
        "straight_run",
        False,
        "a straight, even path from key to key, .2 H/s or more, 1 cm off or more",
        ("root", "head", "hand"),
        True,
    ),
    _kind(
        "straight_channels",
        True,
        "an arm's channels linear from key to key, 1 cm off or more",
        ("hand",),
        False,
    ),
)
