# SPDX-License-Identifier: GPL-3.0-or-later
"""Clean sets of keyed walks and runs: on a mover and in place, and with a seam on a heel strike."""

from typing import Any

import numpy as np

from analysis import Clip

from .case import Case
from .stride_keys import Gait
from .strides import gait_clip

EACH = 40
_RATES = (24.0, 30.0)
# From here on strides differ in how far the hips go up and down, so that it is no clean sway.
BUMPY = 1.15
# Seconds of a stride and metres it leads, slow to brisk, at the captured figure's size: about
# 55 strides a minute in walking and 90 in running (common in adults; no single source).
_WALK_S, _WALK_M = (0.95, 1.25), (1.0, 1.35)
_RUN_S, _RUN_M = (0.62, 0.75), (1.6, 2.0)


def travelling() -> list[Case]:
    """Walks and runs on a mover that goes evenly, and the same on the spot; the seam is anywhere.

    Two in three say that they loop; the others are several strides of a shot.
    """
    found = []
    for number in range(2 * EACH):
        rng, fps = np.random.default_rng([7, number]), _RATES[number // 2 % 2]
        loops = number % 3 > 0
        gait = random_gait(
            rng,
            fps,
            running=number % 5 == 0,
            strides=int(rng.integers(1, 4)) if loops else 4,
            in_place=number % 4 >= 2,
            crisp=number % 7 < 3,
        )
        size = rng.uniform(0.8, 1.3)
        made = gait_clip(gait, fps, "gait", size=size, mover=True, cycle=loops or None)
        bumpy = ("sway",) if _bumps(made, gait.frames) else ()
        name, half = f"travelling/{number:02}", "AB"[number % 2]
        found.append(Case(name, "gait", "travelling", half, made, faulty=bumpy))
    return found


def _bumps(clip: Clip, frames: int) -> bool:
    """Whether the hips go much further down in one stride than in another.

    They do where one of their keys was pulled down for a leg to reach its foot.
    """
    height = clip.positions[:, clip.joint("hips"), 2]
    round_on = np.concatenate((height, height[:frames])) if clip.meta.cycle else height
    spans = np.ptp(np.lib.stride_tricks.sliding_window_view(round_on, frames), axis=1)
    return bool(spans.max() > BUMPY * spans.min())


def strike_seam() -> list[Case]:
    """Loops that start on the frame where a foot lands, hard: the jolt belongs there."""
    found = []
    for number in range(2 * EACH):
        rng, fps = np.random.default_rng([9, number]), _RATES[number // 2 % 2]
        gait = random_gait(
            rng,
            fps,
            running=number % 4 == 3,
            strides=int(rng.integers(1, 3)),
            in_place=number % 3 == 0,
            crisp=True,
            bob_m=rng.uniform(0.022, 0.03),
            start=0,
        )
        made = gait_clip(gait, fps, "gait", size=rng.uniform(0.8, 1.3))
        found.append(
            Case(f"strike_seam/{number:02}", "gait", "strike_seam", "AB"[number % 2], made)
        )
    return found


def random_gait(rng: np.random.Generator, fps: float, *, running: bool, **given: Any) -> Gait:
    """A gait as one of many would go; what is given is kept."""
    seconds, metres = (_RUN_S, _RUN_M) if running else (_WALK_S, _WALK_M)
    frames = 2 * round(0.5 * fps * rng.uniform(*seconds))
    plan: dict[str, Any] = {
        "frames": frames,
        "stride_m": rng.uniform(*metres),
        "running": running,
        "bob_m": rng.uniform(0.025, 0.035) if running else rng.uniform(0.012, 0.02),
        "sway_m": rng.uniform(0.012, 0.028),
        "swing": rng.uniform(24, 36) if running else rng.uniform(14, 28),
        "twist": rng.uniform(4, 10),
        "late": tuple(int(n) for n in rng.integers([0, 0, 0, 1, 1], [2, 3, 3, 4, 5])),
        "start": int(rng.integers(1, frames)),
        "seed": int(rng.integers(1000)),
    }
    return Gait(**(plan | given))
