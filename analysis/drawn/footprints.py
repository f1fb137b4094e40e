# SPDX-License-Identifier: GPL-3.0-or-later
"""Footprints: where each plant stands, as a plain sole on the ground, and how its foot slips."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..basis.ball import over_feet
from ..basis.contact_spot import spot_steps
from ..basis.contacts import Plant, Soles
from ..basis.slips import Slip
from ..finding import Finding
from ..pipeline import Examination
from ..words import size_text

Floats = NDArray[np.float64]

# A foot is .152 H long and .055 H wide (Winter 2009, Fig. 4.1, from memory).
LONG_SHARE, WIDE_TO_LONG = 0.152, 0.055 / 0.152
# Less of a slip than this share of the height (2 mm at 1.7 m) is not drawn: nobody sees it.
SEEN_SHARE = 0.002 / 1.7
# A sole shorter than this share of the height, seen from above, tells no direction.
SHORTEST_SHARE = 0.02
# Half the width, as a share of its most, at shares of the way from heel to toe: a plain sole.
_ALONG = np.array([0.0, 0.03, 0.1, 0.2, 0.4, 0.58, 0.72, 0.84, 0.93, 0.98, 1.0])
_HALF = np.array([0.0, 0.32, 0.56, 0.64, 0.66, 0.86, 1.0, 0.93, 0.68, 0.35, 0.0])


@dataclass(frozen=True, eq=False)
class Footprint:
    """One plant of a foot.

    part          "foot.L" or "foot.R"
    frames        first and last frame on which it stands
    outline (K,3) scene metres, world, on the ground; the last point is the first. It stands
                  where the sole lies flattest: on ground that moves, on that frame
    slip (M,3)    how the spot that stands goes over the ground, frame by frame, about the
                  middle of the outline, its ends so far apart as is told; all points are one
                  where it stands
    slip_m        how far it slips, metres at the story's height
    says          `3.2 cm` where `slide` tells it, else empty
    """

    part: str
    frames: tuple[float, float]
    outline: Floats
    slip: Floats
    slip_m: float
    says: str


def footprints(examination: Examination) -> tuple[Footprint, ...]:
    """One for each plant, in time's order; none where feet are not known."""
    basis = over_feet(examination.basis)
    of = {each.sole.side: each for each in basis.soles}
    told = [each for each in examination.shot.findings if _is_slide(each)]
    found = [
        _footprint(basis, of[plant.side], plant, slip, told)
        for plant, slip in zip(basis.plants, basis.slips, strict=True)
    ]
    return tuple(sorted(found, key=lambda each: each.frames))


def _is_slide(finding: Finding) -> bool:
    return finding.check == "slide" or any(check == "slide" for check, _part in finding.also)


def _footprint(
    basis: Basis, soles: Soles, plant: Plant, slip: Slip, told: Sequence[Finding]
) -> Footprint:
    here = slice(plant.first, plant.last + 1)
    flat = plant.first + int(np.argmin(soles.clearance[here].sum(axis=1)))
    outline = _outline(basis, soles, flat)
    frames = (float(basis.frames[plant.first]), float(basis.frames[plant.last]))
    size = max((part.metres for part in slip.parts), default=0.0) * basis.height.to_story
    part = f"foot.{plant.side}"
    said = _said(part, frames, size, told)
    metres = size if said is None else said
    way = _slip(basis, soles, plant, slip, flat, metres / basis.height.to_story)
    return Footprint(
        part=part,
        frames=frames,
        outline=outline,
        slip=outline[:-1].mean(axis=0) + way,
        slip_m=metres,
        says="" if said is None else size_text(said),
    )


def _slip(basis: Basis, soles: Soles, plant: Plant, slip: Slip, flat: int, metres: float) -> Floats:
    """(M,3) how far the spot that stands has gone on each sample, level, against sample `flat`:
    in the part of the plant in which it slips furthest. Its ends are `metres` apart: frames on
    which it only creeps in and out are left out, and their way is drawn with the rest."""
    count = plant.last - plant.first
    most = max(slip.parts, key=lambda part: part.metres, default=None)
    if most is None or most.metres < SEEN_SHARE * basis.height.scene_m:
        return np.zeros((count + 1, 3))
    steps, _low = spot_steps(soles, plant.first, plant.last, basis.height.scene_m)
    at = np.arange(plant.first, plant.last)
    counts = (at >= most.first) & (at < most.last)
    level = np.where(counts[:, None], steps * [1.0, 1.0, 0.0], 0.0)
    way = np.concatenate((np.zeros((1, 3)), np.cumsum(level, axis=0)))
    goes = float(np.linalg.norm(way[-1]))
    way = way * (metres / goes) if goes > 0.0 else way
    return np.asarray(way - way[flat - plant.first])


def _said(
    part: str, frames: tuple[float, float], size: float, told: Sequence[Finding]
) -> float | None:
    """How far a finding says that this plant slips, metres; None where none is about it.

    One that is about another part (both feet, what carries them) is about this plant too where
    the plant slips by more than its limit.
    """
    for finding in told:
        own = finding.check == "slide" and finding.part == part
        if own and frames[0] <= finding.peak_frame <= frames[1]:
            return finding.amount / 100.0
        for each in finding.besides:
            if (each.check, each.body) == ("slide", part) and _meet(each.frames, frames):
                return each.amount / 100.0
        over = finding.check == "slide" and size > finding.limit / 100.0
        if over and _meet(finding.frames, frames):
            return size
    return None


def _meet(one: tuple[float, float], other: tuple[float, float]) -> bool:
    return one[0] <= other[1] and other[0] <= one[1]


def _outline(basis: Basis, soles: Soles, at: int) -> Floats:
    """(K,3) a sole from heel to toe, as its points lie on the ground at a sample."""
    points, ground = soles.sole.points[at], soles.sole.points[at, :, 2] - soles.clearance[at]
    way = _way(basis, soles, at)
    along = points[:, :2] @ way
    heel, toe = int(np.argmin(along)), int(np.argmax(along))
    length = float(along[toe] - along[heel])
    side = np.array([-way[1], way[0]])
    across = points[:, :2] @ side
    if length < SHORTEST_SHARE * basis.height.scene_m:
        length = LONG_SHARE * basis.height.scene_m
    half = max(0.5 * WIDE_TO_LONG * length, 0.5 * float(np.ptp(across)))
    middle = np.interp(_ALONG, [0.0, 1.0], [across[heel], across[toe]])
    shares = np.concatenate((_ALONG, _ALONG[-2::-1]))
    out = np.concatenate((_HALF, -_HALF[-2::-1])) * half
    out += np.concatenate((middle, middle[-2::-1]))
    level = np.outer(along[heel] + shares * length, way) + np.outer(out, side)
    heights = ground[heel] + shares * (ground[toe] - ground[heel])
    return np.column_stack((level, heights))


def _way(basis: Basis, soles: Soles, at: int) -> Floats:
    """(2,) level unit vector from heel to toe; where the foot points down, the way it faces."""
    body = soles.sole.body
    points = soles.sole.points[at, :, :2]
    ways = (
        points[-1] - points[0],
        (basis.marks[at, body, 1] - basis.marks[at, body, 0])[:2],
        basis.forward[at, :2],
    )
    for way in ways:
        length = float(np.linalg.norm(way))
        if length >= SHORTEST_SHARE * basis.height.scene_m:
            return np.asarray(way / length)
    return np.array([0.0, -1.0])
