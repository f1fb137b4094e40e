# SPDX-License-Identifier: GPL-3.0-or-later
"""Targets: where a finding's suggestion puts the point that shows it."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..evidence import Suggestion
from ..finding import Finding
from ..pipeline import Examination
from ..trails import Spot, finding_spot, path_of

Floats = NDArray[np.float64]

# A point lies on a path where it is this near to it, as a share of the height.
SAME_SHARE = 1e-6


@dataclass(frozen=True, eq=False)
class Target:
    """Where one finding would have its point on one frame.

    finding       its place in the shot's findings
    spot          whose path it belongs to
    frame         frame number, in the range or a frame after it (how a loop would go on)
    actual (3,)   where the point is, scene metres, world; after the range: where its path leads
    position (3,) where it would be
    """

    finding: int
    spot: Spot
    frame: float
    actual: Floats
    position: Floats


def targets(examination: Examination) -> tuple[Target, ...]:
    """One for each finding whose suggestion has a place or a way, in the order of the findings."""
    return tuple(_targets(examination))


def _targets(examination: Examination) -> Iterator[Target]:
    for n, finding in enumerate(examination.shot.findings):
        if finding.suggestion is not None:
            target = _target(examination, n, finding, finding.suggestion)
            if target is not None:
                yield target


def _target(
    examination: Examination, number: int, finding: Finding, suggestion: Suggestion
) -> Target | None:
    basis = examination.basis
    frame = finding.peak_frame if suggestion.frame is None else suggestion.frame
    at = _sample(basis, frame)
    if at is None or (suggestion.position is None and suggestion.offset is None):
        return None
    spot = finding_spot(examination, finding)
    if not _known(basis, spot, at):
        return None
    if suggestion.position is not None and suggestion.offset is not None:
        actual = suggestion.position - suggestion.offset
        spot = _spot_at(basis, spot, at, actual)
        return Target(number, spot, frame, actual, suggestion.position)
    path = path_of(basis, spot)
    actual = path[at] if at < len(path) else 2.0 * path[-1] - path[-2]
    if suggestion.position is not None:
        return Target(number, spot, frame, actual, suggestion.position)
    return Target(number, spot, frame, actual, actual + suggestion.offset)


def _sample(basis: Basis, frame: float) -> int | None:
    """The sample of a frame, or the one after the last; None where it is neither."""
    first = float(basis.frames[0])
    step = float(basis.frames[1] - basis.frames[0]) if len(basis.frames) > 1 else 1.0
    at = round((frame - first) / step)
    return at if 0 <= at <= len(basis.frames) - (len(basis.frames) < 2) else None


def _known(basis: Basis, spot: Spot, at: int) -> bool:
    """Whether the clip has the spot there, and no gap."""
    bodies = [n for n, body in enumerate(basis.bodies) if body.title == spot.title]
    return at >= len(basis.frames) or bool(basis.valid[at, bodies].all())


def _spot_at(basis: Basis, usual: Spot, at: int, place: Floats) -> Spot:
    """The spot whose path comes by a place: the usual one, else any that does, else the usual."""
    if at >= len(basis.frames):
        return usual
    near = SAME_SHARE * basis.height.scene_m
    if np.linalg.norm(path_of(basis, usual)[at] - place) <= near:
        return usual
    off = np.linalg.norm(basis.marks[at] - place, axis=-1)
    body, mark = np.unravel_index(int(np.argmin(off)), off.shape)
    if off[body, mark] > near:
        return usual
    return Spot(basis.bodies[int(body)].title, int(mark))
