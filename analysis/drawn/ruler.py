# SPDX-License-Identifier: GPL-3.0-or-later
"""A ruler on the floor along the way of what leads the figure, so that a camera that goes along,
or an empty stage, cannot hide how far it travels."""

import itertools
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..pipeline import Examination

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# What travels less than this share of the height needs no ruler.
LEAST_SHARE = 0.2
# It goes somewhere where its ends are so far apart, of all of its way along a line; else it goes
# to and fro.
GOES_SHARE = 0.3
# A ruler has so many ticks, and so many texts, at most.
MOST_TICKS, MOST_TEXTS = 40, 10
# Beside the feet by half the width of the hips (a figure's are .191 H wide: Winter 2009, Fig. 4.1,
# from memory), and this share of the height.
HIPS_SHARE, BESIDE_SHARE = 0.191, 0.06
M_PER_FT, IN_PER_FT = 0.3048, 12.0
# Ticks of 1 have texts at every 5 or 10, those of 5 (and half feet) at every 10 or 50.
ONES, FIVES = (5, 10), (2, 10)


@dataclass(frozen=True, eq=False)
class Ruler:
    """start (3,)    scene metres, world, on the floor; along, side (3,): level unit vectors, along
                  the travel, and away from the figure
    length        scene metres; ticks (K,) scene metres from start
    major (K,)    which ticks are long and have a text; texts (K,): empty for all others
    lead (T,)     scene metres along the ruler at frames (T,): where the body that leads is, in
                  gaps left out
    """

    start: Floats
    along: Floats
    side: Floats
    length: float
    ticks: Floats
    major: Bools
    texts: tuple[str, ...]
    lead: Floats
    frames: Floats


@dataclass(frozen=True)
class _Scale:
    """step    metres at the story's height from tick to tick
    majors     every how many of them may be a major one, the fewest first
    unit       metres of what majors are told in, and its name
    """

    step: float
    majors: tuple[int, ...]
    unit: float
    name: str

    def text(self, number: int) -> str:
        """What is written beside the n-th tick."""
        value = number * self.step / self.unit
        return "0" if number == 0 else f"{value:g}{self.name}"

    def major(self, count: int) -> int:
        """Every how many of so many ticks has a text."""
        few = [each for each in self.majors if (count - 1) // each < MOST_TEXTS]
        return few[0] if few else self.majors[-1]


def ruler_of(examination: Examination, imperial: bool = False) -> Ruler | None:
    """The ruler of a shot; None where what leads travels less than a fifth of the height.

    Its texts are metres (or feet and inches) at the story's height; where that is unknown, of the
    scene. A tick is a round number, of which there are 5 to 40.
    """
    basis = examination.basis
    known = np.flatnonzero(basis.valid[:, basis.lead])
    if len(known) < 2:
        return None
    path = basis.positions[known, basis.lead]
    along = _along(path[:, :2])
    far = path[:, :2] @ along
    if float(np.ptp(far)) < LEAST_SHARE * basis.height.scene_m:
        return None
    to_story = basis.height.to_story
    travel = float(np.ptp(far))
    scale = scale_of(travel * to_story, imperial=imperial)
    count = int(np.ceil(travel * to_story / scale.step - 1e-6)) + 1
    numbers, major = np.arange(count), scale.major(count)
    side, out = _beside(basis, along, far, path[:, :2])
    level = along * far.min() + side * out
    return Ruler(
        start=np.array([*level, basis.ground.floor_z]),
        along=np.array([*along, 0.0]),
        side=np.array([*side, 0.0]),
        length=float((count - 1) * scale.step / to_story),
        ticks=np.asarray(numbers * scale.step / to_story, dtype=np.float64),
        major=np.asarray(numbers % major == 0),
        texts=tuple(scale.text(int(n)) if n % major == 0 else "" for n in numbers),
        lead=np.asarray(far - far.min()),
        frames=basis.frames[known],
    )


def _along(level: Floats) -> Floats:
    """(2,) the unit vector along which a level path (T,2) goes: from its first to its last place,
    or along its longest way where it comes back."""
    middle = level - level.mean(axis=0)
    longest = np.linalg.svd(middle, full_matrices=False)[2][0]
    net = level[-1] - level[0]
    size = float(np.linalg.norm(net))
    if size > 0.0 and size >= GOES_SHARE * float(np.ptp(middle @ longest)):
        return np.asarray(net / size)
    far = (level - level[0]) @ longest
    return np.asarray(longest * (1.0 if far[int(np.argmax(np.abs(far)))] >= 0.0 else -1.0))


def _beside(basis: Basis, along: Floats, far: Floats, lead: Floats) -> tuple[Floats, float]:
    """(2,) the level unit vector to the side on which the camera is, else to the right; and how
    far to that side of the world's middle the ruler lies."""
    side = np.array([along[1], -along[0]])
    if basis.clip.camera_pose is not None:
        camera = basis.clip.camera_pose[:, :2, 3].mean(axis=0)
        if float((camera - lead.mean(axis=0)) @ side) < 0.0:
            side = -side
    points = [lead[:, None]] + [each.sole.points[..., :2] for each in basis.soles]
    out = max(float((each @ side).max()) for each in points)
    return side, out + (0.5 * HIPS_SHARE + BESIDE_SHARE) * basis.height.scene_m


def scale_of(travel: float, *, imperial: bool) -> _Scale:
    """The finest scale that has no more ticks than there may be on so many metres."""
    scales = _imperial() if imperial else _metric(travel)
    return next(each for each in scales if travel / each.step <= MOST_TICKS - 1)


def _metric(travel: float) -> Iterator[_Scale]:
    """Steps of 1 and 5 times a power of ten, from far too fine on."""
    for power in itertools.count(int(np.floor(np.log10(travel))) - 2):
        unit, name = (1.0, " m") if power >= -2 else (0.01, " cm") if power >= -4 else (1e-3, " mm")
        yield _Scale(10.0**power, ONES, unit, name)
        yield _Scale(5.0 * 10.0**power, FIVES, unit, name)


def _imperial() -> Iterator[_Scale]:
    """Eighths of an inch, inches, half feet, feet, then as metres go."""
    inch = M_PER_FT / IN_PER_FT
    yield _Scale(inch / 8.0, (8, 16), inch, '"')
    yield _Scale(inch, (12,), M_PER_FT, " ft")
    yield _Scale(6.0 * inch, FIVES, M_PER_FT, " ft")
    for power in itertools.count():
        feet = 10.0**power * M_PER_FT
        yield _Scale(feet, ONES, M_PER_FT, " ft")
        yield _Scale(5.0 * feet, FIVES, M_PER_FT, " ft")
