# SPDX-License-Identifier: GPL-3.0-or-later
"""Clean clips with a blade in one hand that cuts into nothing, and a camera that shows its flat.

The clean set is made of captured motion resampled and of every other keyed clip.
"""

import zlib
from dataclasses import replace

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


def armed_24() -> list[Case]:
    """Captured and keyed at 24 frames a second."""
    return _cases("armed_24", captured.captured_24(), keyed.keyed_24()[::2])


def armed_30() -> list[Case]:
    """Captured and keyed at 30 frames a second."""
    return _cases("armed_30", captured.captured_30(), keyed.keyed_30()[1::2])


def _cases(which: str, of_captured: list[Case], of_keyed: list[Case]) -> list[Case]:
    """Those that can carry a blade without cutting into themselves; captured ones in two ways."""
    wanted = [(case, "captured", number) for case in of_captured for number in range(2)]
    wanted += [(case, "keyed", 0) for case in of_keyed]
    found = []
    for case, family, number in wanted:
        clip = armed_clip(case, number)
        if clip is not None:
            name = f"{which}/{family}/{case.name.partition('/')[2]}.{number}"
            found.append(replace(case, name=name, set=which, clip=clip))
    return found


def armed_clip(case: Case, number: int = 0) -> Clip | None:
    """A clean clip with a blade that cuts into nothing and shows its flat; None where a dozen
    ways of holding it all fail."""
    rng = np.random.default_rng([zlib.crc32(case.name.encode()), number])
    height = height_of(case.clip)
    for _ in range(TRIES):
        blade = random_blade(rng, height)
        clip = armed(case.clip, blade)
        if is_clear(clip, blade.side) and (seen := shown(clip, rng)) is not None:
            return seen
    return None


def is_clear(clip: Clip, side: str) -> bool:
    """Whether the blade keeps off the skins; a rough look first, as it fails most."""
    least = CLEAR * height_of(clip)
    rough = clearance(clip, side, between=1, along=6).min() >= least
    return rough and bool(clearance(clip, side).min() >= least)


def shown(clip: Clip, rng: np.random.Generator) -> Clip | None:
    """The clip with a camera that sees the blade's flat but for moments, or None."""
    for angle in rng.permutation(16) * (2.0 * np.pi / 16.0):
        seen = filmed(clip, angle, rng.uniform(0.0, 0.5), follows=bool(rng.integers(2)))
        if longest_run(seen_share(seen) < SEEN) * clip.dt_s < MOMENT_S:
            return seen
    return None
