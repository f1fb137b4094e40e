# SPDX-License-Identifier: GPL-3.0-or-later
"""Shots with faults planted where nothing else is, so that second passes of them can be made."""

import zlib
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis import Clip
from tests.quality.captured import captured_24, captured_30
from tests.quality.cycles import cycles
from tests.quality.figure import rebuild
from tests.quality.keyed import keyed_24, keyed_30
from tests.quality.walks import walks_24

from .edits import bare

Floats = NDArray[np.float64]
PARTS = ("root", "head", "hand.L", "hand.R", "foot.L", "foot.R", "chest")
# Samples between two faults, and from the ends.
APART, FROM_ENDS = 11, 7
MOST = 4


@dataclass(frozen=True, eq=False)
class Fault:
    """A part that leaves its path on one sample, by metres or by turning by radians."""

    part: str
    joint: int
    at: int
    way: Floats
    turn: float

    def planted(self, clip: Clip, share: float = 1.0) -> Clip:
        """The clip with the fault, or with a share of it."""
        count = len(clip.frames)
        here = (np.arange(count) == self.at).astype(np.float64)
        half = 0.5 * share * self.turn * here
        turn = np.stack((np.cos(half), np.sin(half), 0.0 * half, 0.0 * half), axis=-1)
        shift = share * np.outer(here, self.way)
        return rebuild(clip, self.joint, shift=shift, turn=turn)


@dataclass(frozen=True, eq=False)
class Made:
    """A shot without faults of ours, and the faults that it gets."""

    name: str
    half: str
    clip: Clip
    faults: tuple[Fault, ...]
    loop: bool = False

    def with_faults(self, shares: dict[int, float] | None = None) -> Clip:
        """The shot with all faults; shares of those of some numbers."""
        clip = self.clip
        for n, fault in enumerate(self.faults):
            share = (shares or {}).get(n, 1.0)
            clip = fault.planted(clip, share) if share else clip
        return clip


def shots(half: str | None = None, share: float = 1.0) -> list[Made]:
    """Captured motion, keyed motion and loops of the quality corpus, with faults."""
    cases = [
        (case, False)
        for each in (captured_24, captured_30, keyed_24, keyed_30, walks_24)
        for case in each()
    ]
    cases += [(case, True) for case in cycles() if case.name.split("/")[1] == "strides"]
    cases = [pair for pair in cases if half in (None, pair[0].half)]
    found = [_made(case.name, case.half, case.clip, loop) for case, loop in cases]
    found = [each for each in found if len(each.faults) >= (1 if each.loop else 2)]
    return found[:: max(round(1.0 / share), 1)]


def _made(name: str, half: str, clip: Clip, loop: bool) -> Made:
    rng = np.random.default_rng(zlib.crc32(name.encode()))
    clip = bare(clip)
    faults, at = [], FROM_ENDS + int(rng.integers(0, 4))
    while at < len(clip.frames) - FROM_ENDS and len(faults) < MOST:
        faults.append(fault_at(clip, at, rng))
        at += APART + int(rng.integers(0, 20))
    return Made(name, half, clip, tuple(each for each in faults if each), loop)


def fault_at(clip: Clip, at: int, rng: np.random.Generator) -> Fault | None:
    """A fault of some part on a sample; every third one turns."""
    known = [part for part in PARTS if clip.meta.roles.get(part)]
    if not known:
        return None
    part = str(rng.choice(known))
    way = rng.normal(size=3)
    way *= rng.uniform(0.05, 0.09) / np.linalg.norm(way)
    turn = float(rng.uniform(0.4, 0.7)) if part in ("head", "chest") and rng.random() < 0.6 else 0.0
    joint = clip.joints.index(clip.meta.roles[part][0])
    return Fault(part, joint, at, np.zeros(3) if turn else way, turn)
