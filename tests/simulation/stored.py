# SPDX-License-Identifier: GPL-3.0-or-later
"""The file that simulated motion is kept in: numbers alone, read without MuJoCo.

Records of all takes lie behind each other. Of a take with a push only what follows its start is
kept: before that it is the take that it `follows`.
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

RATE = 120
# Records are kept at these rates, frames a second.
KEPT = (24, 30)


@dataclass(frozen=True, eq=False)
class Motion:
    """One take at one rate: T frames.

    facts   what was simulated (`facts_of` in `__main__` says what they hold)
    pose (T,7+H) the first joint's place and turn and the hinges' angles; com (T,3) metres
    touches (T,2) whether feet, and whether anything else, touch or did within 1/24 s before
    """

    facts: dict[str, Any]
    pose: Floats
    com: Floats
    touches: NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Store:
    """All takes of a file."""

    facts: tuple[dict[str, Any], ...]
    starts: NDArray[np.int64]
    pose: NDArray[np.float32]
    com: NDArray[np.float32]
    touches: NDArray[np.bool_]

    def motion(self, number: int, fps: int) -> Motion:
        """A take as a scene at `fps` frames a second has it, from its very start."""
        facts = self.facts[number]
        here = self._rows(number, fps)
        if facts["follows"] is not None:
            before = self._rows(facts["follows"], fps)
            kept = -(-facts["first"] * fps // RATE)  # whole frames before it, rounded up
            here = np.concatenate((before[:kept], here))
        return Motion(
            facts=facts,
            pose=self.pose[here].astype(np.float64),
            com=self.com[here].astype(np.float64),
            touches=self.touches[here],
        )

    def _rows(self, number: int, fps: int) -> NDArray[np.int64]:
        facts = self.facts[number]
        ticks = kept_ticks(facts["first"], facts["count"])
        return self.starts[number] + np.flatnonzero(ticks % (RATE // fps) == 0)


def kept_ticks(first: int, count: int) -> NDArray[np.int64]:
    """The records, counted from a scene's start, that are kept of `count` from `first` on."""
    ticks = np.arange(first, first + count)
    kept = np.zeros(count, dtype=bool)
    for fps in KEPT:
        kept |= ticks % (RATE // fps) == 0
    return ticks[kept]


def write(
    path: Path,
    facts: Sequence[dict[str, Any]],
    pose: Sequence[Floats],
    com: Sequence[Floats],
    touches: Sequence[NDArray[np.bool_]],
) -> None:
    """Write takes whose records are those that are kept."""
    counts = [len(each) for each in pose]
    with path.open("wb") as file:
        np.savez(
            file,
            facts=np.array(json.dumps(list(facts))),
            starts=np.concatenate(([0], np.cumsum(counts)[:-1])),
            pose=np.concatenate(pose).astype(np.float32),
            com=np.concatenate(com).astype(np.float32),
            touches=np.concatenate(touches),
        )


@cache
def read(path: Path) -> Store:
    """All takes; raises ValueError where the file cannot be read."""
    try:
        with np.load(path, allow_pickle=False) as file:
            facts = tuple(json.loads(str(file["facts"])))
            arrays = [file[name] for name in ("starts", "pose", "com", "touches")]
    except (OSError, KeyError, ValueError) as error:
        raise ValueError(
            f"{path} holds no simulated motion ({error}), expected what "
            "`python -m tests.simulation FILE` writes: start this through blender_test_runner.py."
        ) from error
    return Store(facts, *arrays)
