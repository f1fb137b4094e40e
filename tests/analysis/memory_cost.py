# SPDX-License-Identifier: GPL-3.0-or-later
"""What an examination costs after an edit of one key, with a memory and without.

    python -m tests.analysis.memory_cost [BEFORE.npz AFTER.npz ...]

Without files it edits keys of a captured dance on the puppet; with files the first is the clip
before the edits. Times are of the processor, the least of some; answers must be the same bits.
"""

import sys
from dataclasses import replace
from pathlib import Path
from time import process_time

from analysis import Clip, keys
from analysis.clip_io import load_clip
from analysis.memory import Memory
from analysis.pipeline import examine
from tests.analysis.bitwise import bits
from tests.analysis.keyed_rig import edited, key_frames, rig, with_curves

TIMES = 3
EDITED = (
    ("hips", "rotation_quaternion"),
    ("chest", "rotation_quaternion"),
    ("neck", "rotation_quaternion"),
    ("hand.L", "rotation_quaternion"),
    ("upper_arm.R", "rotation_quaternion"),
    ("foot.L", "rotation_quaternion"),
)


def clips_of_puppet() -> tuple[Clip, dict[str, Clip]]:
    """A clip, and what it is after an edit of a control's middle key."""
    puppet, clip = rig("dance_a")

    def turned(curve, at):
        values = list(curve.values)
        values[at] += 0.01
        return keys.recomputed(replace(curve, values=tuple(values)))

    after = {}
    for control, prop in EDITED:
        frames = key_frames(clip, control, prop)
        curves = edited(clip, control, prop, frames[len(frames) // 2], turned)
        after[control] = with_curves(puppet, clip, curves)
    return clip, after


def cost(before: Clip, after: Clip) -> tuple[float, float, float, bool]:
    """Seconds without a memory, and with one that knows the clip before; the share of results that
    were known; whether both say the same."""
    alone, known = [], []
    for _ in range(TIMES):
        memory = Memory()
        examine(before, memory=memory)
        memory.hits = memory.misses = 0
        start = process_time()
        with_it = examine(after, memory=memory)
        known.append(process_time() - start)
        start = process_time()
        without = examine(after)
        alone.append(process_time() - start)
    share = memory.hits / max(memory.hits + memory.misses, 1)
    return min(alone), min(known), share, bits(with_it.shot) == bits(without.shot)


def main(files: list[str]) -> int:
    """Print a table; 1 where anything is told otherwise with a memory."""
    if files:
        before, after = load_clip(files[0]), {Path(f).stem: load_clip(f) for f in files[1:]}
    else:
        before, after = clips_of_puppet()
    examine(before)
    print(f"{'edited':28} {'without':>9} {'with':>9} {'ratio':>6} {'known':>6}")
    same = True
    for name, clip in after.items():
        alone, known, share, alike = cost(before, clip)
        same &= alike
        row = f"{name:28} {alone * 1e3:6.0f} ms {known * 1e3:6.0f} ms {known / alone:6.2f}"
        print(f"{row} {share:6.0%}{'' if alike else '   NOT THE SAME'}")
    return 0 if same else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
