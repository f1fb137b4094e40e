# SPDX-License-Identifier: GPL-3.0-or-later
"""Clean clips with a blade in one hand that cuts into nothing, and a camera that shows its flat.

The clean set is made of captured motion resampled and of every other keyed clip.
"""

import zlib
from dataclasses import replace
from functools import lru_cache

import numpy as np

from analysis import Clip

from . import captured, keyed
from .blade import armed, random_blade
from .blade_view import longest_run, seen_share
from .case import Case
from .filmed import filmed
from .moves import height_of
from .skins import clearance

# A clean clip keeps the blade this far off the skins, of the height (1 cm at 1.7 m), and shows
# this share of its width, but for moments shorter than this.
CLEAR, SEEN, MOMENT_S = 0.006, 0.2, 0.1
TRIES = 12


def armed_cases() -> list[Case]:
    """The clean set: clips of others that can carry a blade without cutting into themselves."""
    others = [*captured.captured_24(), *captured.captured_30()]
    others += [*keyed.keyed_24()[::2], *keyed.keyed_30()[1::2]]
    found = [armed_case(case) for case in others]
    return [replace(case, set="armed") for case in found if case is not None]


@lru_cache(maxsize=1024)
def armed_case(case: Case, number: int = 0) -> Case | None:
    """A clean case with a blade that cuts into nothing and shows its flat; None where a dozen
    ways of holding it all fail."""
    rng = np.random.default_rng([zlib.crc32(case.name.encode()), number])
    height = height_of(case.clip)
    for _ in range(TRIES):
        blade = random_blade(rng, height)
        clip = armed(case.clip, blade)
        if clearance(clip, blade.side).min() < CLEAR * height:
            continue
        seen = shown(clip, rng)
        if seen is not None:
            return replace(case, name=f"{case.name}/armed", clip=seen)
    return None


def shown(clip: Clip, rng: np.random.Generator) -> Clip | None:
    """The clip with a camera that sees the blade's flat but for moments, or None."""
    for angle in rng.permutation(16) * (2.0 * np.pi / 16.0):
        seen = filmed(clip, angle, rng.uniform(0.0, 0.5), follows=bool(rng.integers(2)))
        if longest_run(seen_share(seen) < SEEN) * clip.dt_s < MOMENT_S:
            return seen
    return None
