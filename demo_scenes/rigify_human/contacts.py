# SPDX-License-Identifier: GPL-3.0-or-later
"""When a captured foot bears, and when it stands flat; numpy only."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..captured.motions import CapturedMotion
from ..captured.rotations import Floats

Bools = NDArray[np.bool_]

# At the captured figure's own size. Its soles float up to 3 cm in a squat and slide at up to
# .3 m/s in the middle of a plant; a swinging foot passes the floor at 1 m/s and more.
LOW_M = 0.05
SLOW_M_S = 0.4
# A sole is flat while both ends all but rest and differ by less in height: captured feet stand
# pitched by up to 12 degrees, and a heel that starts to rise is faster than this at once.
LEVEL_M = 0.04
RESTING_M_S = 0.2
SHORTEST_S = 0.08
BRIDGED_S = 0.05


@dataclass(frozen=True, eq=False)
class FootContact:
    """One foot over T frames: down (T,) while heel or toe bears, flat (T,) while both do."""

    down: Bools
    flat: Bools


def find_contacts(motion: CapturedMotion, side: str) -> FootContact:
    """Contacts of the foot of a side, from the height and the speed of both ends of its sole."""
    paths = [motion.point_positions(f"{point}.{side}") for point in ("heel", "toe")]
    heel, toe = (_bears(path, motion.fps, SLOW_M_S) for path in paths)
    still = np.logical_and(*(_bears(path, motion.fps, RESTING_M_S) for path in paths))
    level = np.abs(paths[0][:, 2] - paths[1][:, 2]) < LEVEL_M
    shortest, bridged = (max(1, round(s * motion.fps)) for s in (SHORTEST_S, BRIDGED_S))
    return FootContact(
        down=_tidy(heel | toe, shortest, bridged), flat=_tidy(still & level, shortest, bridged)
    )


def runs(mask: Bools) -> list[tuple[int, int]]:
    """(first, last) index of every stretch of True in a mask (T,)."""
    steps = np.diff(np.concatenate(([0], mask.astype(int), [0])))
    starts, ends = np.flatnonzero(steps == 1), np.flatnonzero(steps == -1) - 1
    return list(zip(starts.tolist(), ends.tolist(), strict=True))


def nearness(mask: Bools, reach: int) -> Floats:
    """(T,) 1 where the mask is True, falling smoothly to 0 `reach` frames away from it."""
    if not mask.any():
        return np.zeros(len(mask))
    at = np.flatnonzero(mask)
    away = np.abs(np.arange(len(mask))[:, None] - at).min(axis=1)
    u = np.clip(1.0 - away / max(1, reach), 0.0, 1.0)
    return u * u * (3.0 - 2.0 * u)


def _bears(path: Floats, fps: float, slow_m_s: float) -> Bools:
    speed = np.linalg.norm(np.gradient(path, axis=0), axis=-1) * fps
    return (path[:, 2] < LOW_M) & (speed < slow_m_s)


def _tidy(mask: Bools, shortest: int, bridged: int) -> Bools:
    """Close gaps of up to `bridged` frames, then drop runs of fewer than `shortest`."""
    tidy = mask.copy()
    for first, last in runs(~mask):
        inside = first > 0 and last < len(mask) - 1
        if inside and last - first + 1 <= bridged:
            tidy[first : last + 1] = True
    for first, last in runs(tidy):
        if last - first + 1 < shortest:
            tidy[first : last + 1] = False
    return tidy
