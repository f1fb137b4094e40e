# SPDX-License-Identifier: GPL-3.0-or-later
"""Clean sets of captured motion: a fixed list of PyPI pybullet's clips, as they are or resampled.

`run`, `spin`, `backflip`, `dance_b` and `roll` are known to be flawed and are left out. `walk`
is half a stride and its mirror image: nearly every joint steps where the two meet, so that they
stand as two clips.
"""

import os
from dataclasses import replace
from functools import cache

from demo_scenes.captured import load_motion, resample
from demo_scenes.captured.clip import to_clip
from demo_scenes.captured.motions import CapturedMotion

from .case import HALVES, SOURCES, Case

VARIABLE = "PLUMBLINE_CAPTURED"
# First and last sample of walk's halves; its last sample, 38, lies beyond the second seam.
WALK_HALVES = ((0, 18), (19, 37))


def captured() -> list[Case]:
    """Each clip at the rate it was captured at."""
    return [_case(motion, "captured") for motion in motions()]


def captured_24() -> list[Case]:
    """The same motion as a scene at 24 frames a second has it."""
    return [_case(resample(motion, 24.0), "captured_24") for motion in motions()]


def captured_30() -> list[Case]:
    """The same motion as a scene at 30 frames a second has it."""
    return [_case(resample(motion, 30.0), "captured_30") for motion in motions()]


@cache
def motions() -> tuple[CapturedMotion, ...]:
    """The clean motions at their own rates; walk's halves are walk.1 and walk.2.

    Raises ValueError where the environment does not say where they are.
    """
    folder = os.environ.get(VARIABLE)
    if not folder:
        raise ValueError(
            f"{VARIABLE} is not set, expected the pybullet_data folder of PyPI pybullet 3.2.7: "
            "start this through blender_test_runner.py."
        )
    found = []
    for name in SOURCES:
        motion = load_motion(folder, name)
        if name == "walk":
            found += [_part(motion, n, *half) for n, half in enumerate(WALK_HALVES, start=1)]
        else:
            found.append(motion)
    return tuple(found)


def source_of(motion: CapturedMotion) -> str:
    """The captured clip that a motion is, or is a half of."""
    return motion.name.partition(".")[0]


def _part(motion: CapturedMotion, number: int, first: int, last: int) -> CapturedMotion:
    return replace(
        motion,
        name=f"{motion.name}.{number}",
        positions=motion.positions[first : last + 1],
        rotations=motion.rotations[first : last + 1],
    )


def _case(motion: CapturedMotion, which: str) -> Case:
    source = source_of(motion)
    return Case(f"{which}/{motion.name}", source, which, HALVES[source], to_clip(motion))
