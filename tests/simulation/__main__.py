# SPDX-License-Identifier: GPL-3.0-or-later
"""Simulates every scene with all its pushes: `python -m tests.simulation FILE [--jobs N]`."""

import argparse
import multiprocessing
import os
import sys
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

import numpy as np

from . import stored
from .engine import Take
from .pushes import Push, pushes
from .scenes import COUNTS, Plan, plan
from .stored import RATE

Row = tuple[dict[str, Any], Any, Any, Any]


def main(arguments: Sequence[str] | None = None) -> int:
    """Simulate and write."""
    parser = argparse.ArgumentParser(prog="python -m tests.simulation", description=__doc__)
    parser.add_argument("file", type=Path)
    parser.add_argument("--jobs", type=int, default=2, help="processes (default: 2)")
    options = parser.parse_args(arguments)
    file = options.file.absolute()
    os.chdir(file.parent)  # where MuJoCo puts its log, if it has anything to say
    tasks = [(f, half, n) for f, count in COUNTS.items() for half in "AB" for n in range(count)]
    with multiprocessing.Pool(options.jobs) as pool:
        scenes = pool.map(simulate, tasks, chunksize=4)
    rows: list[Row] = []
    for scene in scenes:
        base = len(rows)
        rows += [
            ({**facts, "follows": base if n else None}, *r) for n, (facts, *r) in enumerate(scene)
        ]
    stored.write(file, *map(list, zip(*rows, strict=True)))
    return 0


def simulate(task: tuple[str, str, int]) -> list[Row]:
    """A scene without pushes, then with each of its pushes."""
    scene, engine = plan(*task)
    clean = engine.run(scene.scene)
    rows = [_row(scene, clean, None)]
    return rows + [_row(scene, take, push) for push, take in pushes(scene, engine, clean)]


def _row(scene: Plan, take: Take, push: Push | None) -> Row:
    ticks = stored.kept_ticks(take.first, len(take.pose)) - take.first
    back = RATE // min(stored.KEPT)  # a frame: whoever is up on two frames was up between them
    touches = np.stack((take.feet, take.others), axis=1)
    touches = np.stack([touches[max(t - back + 1, 0) : t + 1].any(axis=0) for t in ticks])
    return facts_of(scene, take, push), take.pose[ticks], take.com[ticks], touches


def facts_of(scene: Plan, take: Take, push: Push | None) -> dict[str, Any]:
    """What is known of a take.

    name, family, half, number; world (see `World`); mass_kg; declared: seconds of what pushes by
    right, or None; push (see `Push`) or None; first and count of its records at `stored.RATE`
    """
    return {
        "name": scene.scene.name,
        "family": scene.family,
        "half": scene.half,
        "number": scene.number,
        "world": asdict(scene.scene.world),
        "mass_kg": take.mass_kg,
        "declared": scene.declared,
        "push": None if push is None else asdict(push),
        "first": take.first,
        "count": len(take.pose),
    }


if __name__ == "__main__":
    sys.exit(main())
