# SPDX-License-Identifier: GPL-3.0-or-later
"""A house style: limits learned from shots that a lead has approved.

For each check and each approved shot, how much wider (or narrower) must the limits be for
the check to have nothing to say? A percentile of these factors over all shots is what the
check's limits are multiplied by from then on, so anything that is further out than what
the approved shots do is a finding still.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil

import numpy as np

from .checks import REGISTRY
from .clip import Clip
from .pipeline import check_clip, choose_checks
from .settings import TOLERANCE_FACTORS, Settings

# Of the factors that the shots need, this percentile, never between two: of fewer than twenty shots
# the widest, so that none of those is blamed by what was learned from it.
PERCENTILE = 95.0
# Limits never become narrower than the strict tolerance makes them, for want of anything seen.
LEAST = TOLERANCE_FACTORS["strict"]
# What needs limits wider than this is a fault in a shot, approved or not.
MOST = 4.0
# Factors are found to within this share.
EXACT = 0.02


@dataclass(frozen=True, kw_only=True)
class Learned:
    """What one check learned from some shots.

    factor   on the check's limits
    shots    how many shots could be asked
    widest   name of the shot that needs the widest limits, and the factor that it needs
    beyond   names of shots with findings at `MOST` times the limits; they do not count
    """

    check: str
    factor: float
    shots: int
    widest: tuple[str, float]
    beyond: tuple[str, ...] = ()


def learn(clips: Sequence[tuple[str, Clip]], settings: Settings) -> tuple[Learned, ...]:
    """Learn from named clips, for each check of the settings that any of them can be asked.

    The tolerance and a style in the settings do not count. A check that none of the clips
    can be asked (no loop, no feet) is not in the answer.
    """
    plain = replace(settings, tolerance="normal", style={})
    asked, _skipped = choose_checks(plain)
    learned = []
    for check in asked:
        needed = {name: _needed(clip, plain, check.info.name) for name, clip in clips}
        known = {name: factor for name, factor in needed.items() if factor is not None}
        if known:
            learned.append(_learned(check.info.name, known))
    return tuple(learned)


def _learned(check: str, known: dict[str, float]) -> Learned:
    beyond = tuple(name for name, factor in known.items() if factor > MOST)
    counted = {name: factor for name, factor in known.items() if factor <= MOST}
    if not counted:
        return Learned(check=check, factor=1.0, shots=0, widest=("", 1.0), beyond=beyond)
    widest = max(counted.items(), key=lambda item: item[1])
    factor = float(np.percentile(list(counted.values()), PERCENTILE, method="higher"))
    return Learned(
        check=check,
        factor=ceil(1000.0 * max(factor, LEAST)) / 1000.0,
        shots=len(counted),
        widest=widest,
        beyond=beyond,
    )


def _needed(clip: Clip, settings: Settings, check: str) -> float | None:
    """The factor at which the check falls silent; infinity beyond `MOST`, None if not asked."""
    if _findings(clip, settings, check, 1.0) is None:
        return None
    if _findings(clip, settings, check, MOST):
        return float("inf")
    if not _findings(clip, settings, check, LEAST):
        return LEAST
    low, high = LEAST, MOST
    while high > low * (1.0 + EXACT):
        middle = float(np.sqrt(low * high))
        low, high = (middle, high) if _findings(clip, settings, check, middle) else (low, middle)
    return high


def _findings(clip: Clip, settings: Settings, check: str, factor: float) -> int | None:
    """How many findings there are with limits times a factor; None where it is not asked."""
    shot = check_clip(clip, replace(settings, checks=(check,), style={check: factor}))
    if any(name == check for name, _why in shot.skipped):
        return None
    return len(shot.findings)


def known_checks() -> list[str]:
    """The names that a style may hold."""
    return [check.info.name for check in REGISTRY]
