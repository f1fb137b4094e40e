# SPDX-License-Identifier: GPL-3.0-or-later
"""What is true of a planted fault: whose key it is, how large, where and when it shows."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

# Joints that are off by at least this share of the largest way show the fault too.
SHOWN = 0.5
APART_M = 1e-3  # frames on which nothing is further off than this count as unchanged


@dataclass(frozen=True)
class Truth:
    """One planted fault.

    control, channel, frame   the key to blame, as it stands in the faulted action
    size_m                    the largest way of a followed joint or tip against the clean motion
    wanted_m                  what was wanted, None where the kind gives what it gives
    frames                    those on which anything followed is off by more than a millimetre
    part                      where the largest way is; `shows`: all parts that go half as far
    """

    kind: str
    control: str
    channel: str
    frame: float
    size_m: float
    frames: tuple[int, ...]
    part: str
    shows: tuple[str, ...]
    wanted_m: float | None = None
    note: str = ""

    def to_json(self) -> dict[str, Any]:
        """As JSON values."""
        return asdict(self)


def where_it_shows(
    off: np.ndarray, frames: np.ndarray, joints: tuple[str, ...], roles: Mapping[str, Any]
) -> tuple[float, tuple[int, ...], str, tuple[str, ...]]:
    """Size, frames, part and shown parts, from how far joints are off: off (T,J) metres.

    joints are the figure's own, J of them: what a hand holds goes further than the hand.
    """
    worst = off.max(axis=0)
    part_of = {bone: part for part, bones in roles.items() for bone in bones}
    order = np.argsort(-worst)
    shown = [part_of.get(joints[j], joints[j]) for j in order if worst[j] >= SHOWN * worst.max()]
    differing = frames[off.max(axis=1) > APART_M]
    whole = tuple(round(float(frame)) for frame in differing)
    return float(worst.max()), whole, shown[0], tuple(dict.fromkeys(shown))
