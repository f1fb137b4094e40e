# SPDX-License-Identifier: GPL-3.0-or-later
"""The set of clean cycles: captured motion made into loops, walks, and splines of both.

In the family `strides`:
stride     a captured walk, whole strides from captured halves (`cycle_strides`)
walks      walking in many styles on feet that stand (`cycle_walks`), half of them trembling
waves      every joint as three sines (`cycle_waves`)
keyed      the walks as splines that repeat, at 24 and 30 fps (`cycle_keyed`)
In the family `jerky`, whose motion jerks inside more than a small break at its seam would:
cut        captured motion of all kinds, cut at the best match and blended over .3 s
           (`cycle_cut`), at 24, 30 and 60 fps
stride     a captured run, whose half stride has spikes of its own
swung      captured motion led there and back by a sine (`cycle_waves`)
keyed      what is cut, and the run, as splines

They travel, turn or stay in place. Strides, walks and waves begin at any frame of their round,
strikes of heels included; what is cut from other motion, and splines of that, begin in its
calmer half, as nobody puts a seam into the hardest hit of a loop. The blend lies anywhere in
them. Halves go by the source clip; `run` is of half A.

They are clean as loops: no frame repeats and no seam breaks, and captured jerks stay in. Feet are
dragged along where motion is blended or a straight round is bent into a circle, so these are no
clean motion for `slide`, nor blended ones for `sink` and `push`.
"""

import os
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from analysis import Clip
from demo_scenes.captured import load_motion, resample
from demo_scenes.captured.clip import to_clip

from .captured import VARIABLE, motions
from .case import HALVES, Case
from .cycle_cut import best_cuts, cut_round
from .cycle_keyed import keyed_round
from .cycle_round import Round
from .cycle_strides import stride_round
from .cycle_walks import walk_round
from .cycle_waves import swung_round, wave_round
from .figure import channels_of

SET = "cycles"
STRIDES, JERKY = "strides", "jerky"
RATES = (24.0, 30.0, 60.0)
CUTS = 4
# `run` is half a stride on its first 12 samples.
RUN_HALF = 12
# How long strides take against the captured ones, and how far a round that turns turns.
PACES, CIRCLE_DEG = (0.85, 1.0, 1.2), (40.0, 90.0)
# A loop is meant to travel by this much a round, or by nothing, and to turn alike: m, radians.
LEAST_TRAVEL, LEAST_TURN = 0.3, np.radians(18.0)
WAVES, WALKS = 12, 36
WAYS = ("own", "place", "circle", "straight")


@dataclass(frozen=True, eq=False)
class CycleCase(Case):
    """A clean cycle with the round it plays, so that faults can be planted in its seam."""

    round: Round

    @property
    def reported(self) -> str:
        """Its family: what jerks by itself is no clean motion as what is even is."""
        return "/".join(self.name.split("/")[:2])


def cycles() -> list[Case]:
    """All clean cycles; always the same, in the same order."""
    return list(_cycles())


@cache
def _cycles() -> tuple[CycleCase, ...]:
    found: list[CycleCase] = []
    for name, source, half, each in _rounds():
        for take in range(2 if name.startswith(("cut", "stride")) else 1):
            found.append(_case(f"{name}.{take}", source, half, each, len(found)))
        if name.startswith(("cut", "stride", "walk")) and each.form.fps < 60.0:
            clamped = len(found) % 2 == 0
            splined = keyed_round(each, clamped=clamped)
            found.append(_case(f"keyed/{name}", source, half, splined, len(found)))
    return tuple(found)


def _case(name: str, source: str, half: str, each: Round, number: int) -> CycleCase:
    """One way to play a round: how it travels, where it begins."""
    rng = np.random.default_rng(zlib.crc32(name.encode()))
    way = WAYS[number % len(WAYS)]
    if way == "place" or np.hypot(*each.travel) < LEAST_TRAVEL:
        each = replace(each, travel=(0.0, 0.0))
    if way == "circle":
        turn = np.radians(rng.uniform(*CIRCLE_DEG)) * rng.choice((-1.0, 1.0))
        each = replace(each, turn=float(turn))
    elif way != "own" or abs(each.turn) < LEAST_TURN:
        each = replace(each, turn=0.0)
    each = each.from_frame(_start(each, name, rng))
    full = f"{SET}/{_family(name, source)}/{name}"
    clip = each.played(np.arange(float(each.length)), full)
    blended = "cut" in name.split("/")
    drags = ("slide",) if way == "circle" or blended else ()
    # What is blended, and led there and back at another pace, moves as no feet could move it.
    faulty = (*drags, "sink", "push") if blended else drags
    return CycleCase(full, source, SET, half, clip, each, faulty=faulty)


def _family(name: str, source: str) -> str:
    """Which family of the set a case is of, see the module."""
    kinds = name.split("/")
    return JERKY if source == "run" or "cut" in kinds or "swung" in kinds else STRIDES


def _start(each: Round, name: str, rng: np.random.Generator) -> int:
    """The frame that a round begins at, see the module."""
    if "cut" not in name.split("/"):
        return int(rng.integers(each.length))
    path = each.played(np.arange(-2.0, each.length + 2.0)).positions
    rough = np.linalg.norm(np.diff(path, 4, axis=0), axis=-1).mean(axis=1)
    around = np.max([np.roll(rough, shift) for shift in (-1, 0, 1)], axis=0)
    return int(rng.choice(np.flatnonzero(around <= np.median(around))))


def _rounds() -> Iterator[tuple[str, str, str, Round]]:
    """Name, source, half and round."""
    yield from _cut_rounds()
    yield from _strides()
    yield from _walks()
    yield from _swung()
    yield from _waves()


def _cut_rounds() -> Iterator[tuple[str, str, str, Round]]:
    for motion in motions():
        for fps in RATES:
            if fps <= motion.fps and not motion.name.startswith("walk"):
                clip = to_clip(resample(motion, fps))
                for n, cut in enumerate(best_cuts(clip, CUTS), start=1):
                    name = f"cut/{motion.name}.{fps:g}.{n}"
                    yield name, motion.name, HALVES[motion.name], cut_round(clip, cut)


def _strides() -> Iterator[tuple[str, str, str, Round]]:
    for source, half, clip in (("walk", HALVES["walk"], _walk()), ("run", "A", _run())):
        stride = stride_round(clip)
        for fps in RATES:
            for pace in PACES:
                count = round(stride.length * pace * fps / clip.fps)
                name = f"stride/{source}.{fps:g}.{pace:g}"
                yield name, source, half, resampled(stride, count, fps)


def _walks() -> Iterator[tuple[str, str, str, Round]]:
    for n in range(WALKS):
        rng = np.random.default_rng(100 + n)
        form = replace(to_clip(motions()[0]), fps=RATES[n % len(RATES)])
        each = walk_round(form, rng, jitter=n // len(RATES) % 2 == 1)
        yield f"walks/{n}", "walks", "AB"[n // (2 * len(RATES)) % 2], each


def _swung() -> Iterator[tuple[str, str, str, Round]]:
    for motion in motions():
        clip = to_clip(motion)
        last = motion.frame_count - 3.0
        for n, fps in enumerate(RATES[:2]):
            first = 2.0 + n * 0.3 * last
            seconds = 1.6 * (last - first) / motion.fps
            each = swung_round(clip, first, last, round(max(seconds, 0.8) * fps))
            each = replace(each, form=replace(each.form, fps=fps))
            source = motion.name.partition(".")[0]
            yield f"swung/{motion.name}.{fps:g}", source, HALVES[source], each


def _waves() -> Iterator[tuple[str, str, str, Round]]:
    for n in range(WAVES):
        rng = np.random.default_rng(n)
        fps = RATES[n % len(RATES)]
        form = replace(to_clip(motions()[0]), fps=fps)
        each = wave_round(form, round(rng.uniform(0.7, 1.8) * fps), rng)
        yield f"waves/{n}", "waves", "AB"[n // len(RATES) % 2], each


def resampled(each: Round, count: int, fps: float) -> Round:
    """The round played over `count` samples at another rate."""
    still = replace(each, turn=0.0, travel=(0.0, 0.0))
    clip = still.played(np.arange(count) * each.length / count)
    return replace(each, form=replace(each.form, fps=fps), channels=channels_of(clip))


def _walk() -> Clip:
    return to_clip(next(motion for motion in motions() if motion.name == "walk.1"))


def _run() -> Clip:
    motion = load_motion(os.environ[VARIABLE], "run")
    kept = slice(0, RUN_HALF)
    return to_clip(
        replace(motion, positions=motion.positions[kept], rotations=motion.rotations[kept])
    )
