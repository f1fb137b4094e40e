# SPDX-License-Identifier: GPL-3.0-or-later
"""Broken loops: frames that repeat at the end of a cycle, and seams that jolt."""

import numpy as np
from numpy.typing import NDArray

from ..case import Case
from ..cycles import CycleCase
from ..figure import rebuild
from ..moves import any_side, height_of, reach
from ..planted import Kind, Planted
from ..timing import smooth_step
from . import STORY_M, without_curves

Floats = NDArray[np.float64]

CYCLES = ("cycles/stride", "cycles/waves", "cycles/cut")
# Loops that are cut from any motion may jerk more inside than a small break at their seam.
JERKY = ("cycles/cut",)
# How far off a repeat may be, as a share of a step; from the smallest the others are near ones.
EXACT, NEAR = (0.0, 0.0), (0.05, 0.2)
# What breaks at a seam fades within this time on either side, or a share of the loop.
FADE_S, FADE_SHARE = 0.3, 0.4


def plant_repeat(
    case: Case, size: float, part: str, rng: np.random.Generator, *, off: tuple[float, float]
) -> Planted | None:
    """`size` frames more at the end, that show the first ones again, or nearly."""
    if not isinstance(case, CycleCase):
        return None
    length, count = case.round.length, round(size)
    late = float(rng.uniform(*off) * rng.choice([-1.0, 1.0]))
    phases = np.concatenate((np.arange(length), length + np.arange(count) + late))
    clip = case.round.played(phases.astype(np.float64), case.clip.meta.name)
    return Planted(
        clip=without_curves(clip),
        check="double_frame",
        part=None,
        carriers=(None,),
        frames=(float(clip.frames[length]), float(clip.frames[-1])),
        size=size,
        where=f"{late:+.2f} of a step off",
        amount=size,
    )


def plant_seam(
    case: Case, size: float, part: str, rng: np.random.Generator, *, gap: bool
) -> Planted | None:
    """A step of `size` m/s in the speed over the seam, or a gap of `size` cm in the place."""
    clip = case.clip
    shown = any_side(clip, "root" if part == "body" else part, rng)
    count = len(clip.frames)
    if shown is None or not clip.meta.cycle:
        return None
    # Seconds from the seam: the first sample follows the last one.
    after = np.arange(count) * clip.dt_s
    before = (np.arange(count) - count) * clip.dt_s
    fade = min(FADE_S, FADE_SHARE * count * clip.dt_s)
    late, early = (1.0 - smooth_step(np.abs(t) / fade) for t in (after, before))
    scale = height_of(clip) / STORY_M
    if gap:
        amount = size / 100.0 * scale * 0.5 * (late - early)
    else:
        amount = size * scale * 0.5 * (late * after - early * before)
    direction = rng.normal(size=3)
    shift = amount[:, None] * direction / np.linalg.norm(direction)
    broken = (
        rebuild(clip, shown.joint, shift=shift) if part == "body" else reach(clip, shown, shift)
    )
    moved = broken.positions[:, shown.joint] - clip.positions[:, shown.joint]
    if np.linalg.norm(moved - shift, axis=-1).max() > 0.1 * np.abs(amount).max():
        return None
    return Planted(
        clip=without_curves(broken),
        check="loop_seam",
        part=None if part == "body" else shown.part,
        carriers=_carriers(shown.part, shown.side),
        frames=(float(clip.frames[0]), float(clip.frames[-1])),
        size=size,
        where=f"loop of {count} frames at {clip.fps:g} a second",
    )


def _carriers(part: str, side: str) -> tuple[str | None, ...]:
    if part == "root":
        return ("root", "pelvis", None)
    return (part, f"forearm.{side}", f"upper_arm.{side}")


def _repeats(name: str, off: tuple[float, float], says: str) -> Kind:
    def plant(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
        return plant_repeat(case, size, part, rng, off=off)

    return Kind(
        name=name,
        check="double_frame",
        says=says,
        unit="fr",
        sizes={"body": (1.0, 2.0, 3.0)},
        promised={"body": (1.0, 1.0)},
        sets=CYCLES,
        plant=plant,
        cycle=True,
    )


def _seam(
    name: str,
    gap: bool,
    says: str,
    sizes: dict[str, tuple[float, ...]],
    promised: dict[str, tuple[float, float]],
) -> Kind:
    def plant(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
        return plant_seam(case, size, part, rng, gap=gap)

    return Kind(
        name=name,
        check="loop_seam",
        says=says,
        unit="cm" if gap else "m/s",
        sizes=sizes,
        promised=promised,
        sets=CYCLES,
        plant=plant,
        cycle=True,
        unpromised=JERKY,
    )


KINDS = (
    _repeats("repeat_exact", EXACT, "the cycle ends on its first frames again, exactly"),
    _repeats("repeat_near", NEAR, "the same, .05 to .2 of a step off"),
    _seam(
        "seam_speed",
        False,
        "the speed steps over the seam, places close",
        {"body": (0.2, 0.3, 0.5), "hand": (0.3, 0.5, 1.0)},
        {"body": (0.3, 0.3), "hand": (0.5, 0.5)},
    ),
    _seam(
        "seam_gap",
        True,
        "the place jumps over the seam, speeds close",
        {"body": (0.25, 0.5, 1.0), "hand": (0.5, 1.0, 2.0)},
        {"body": (0.5, 0.5)},
    ),
)
