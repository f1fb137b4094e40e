# SPDX-License-Identifier: GPL-3.0-or-later
"""Paths of followed points for drawing: a dot a frame, how fast, and where flights turn.

What a finding points at is a body and one of its marks (joint, tip, side); such a pair is a
`Spot`. The centre of mass is a spot without a body.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from .ball.asked import BALL
from .basis.mass import mass_known
from .com_point import COM
from .finding import Finding
from .hang import hang_of
from .parts import fix_rank, label, split_part
from .words import capital

if TYPE_CHECKING:
    from .basis import Basis
    from .pipeline import Examination

Floats = NDArray[np.float64]
JOINT, TIP = 0, 1
# Parts that are followed by eye at their tips; all others at their joints.
TIP_KINDS = ("head", "toe", "prop")


@dataclass(frozen=True)
class Spot:
    """A point that can be followed: the title of a body (or COM) and which of its marks."""

    title: str
    mark: int = JOINT


@dataclass(frozen=True, eq=False)
class Trail:
    """The path of one spot. Samples in gaps of the clip are left out.

    frames (T,) frame numbers; positions (T,3) scene metres, world; speed (T,) metres a second at
    the character's height: the mean of the gaps before and after each dot, as the eye reads them
    """

    spot: Spot
    part: str | None
    frames: Floats
    positions: Floats
    speed: Floats


@dataclass(frozen=True, eq=False)
class HangMark:
    """The top of one spot's path in one flight.

    flight         number of the flight, from 0
    frame          where it is highest, may lie between frames
    position (3,)  scene metres, world
    in_air         frames that the flight lasts
    share          of that time, how much is spent in the top quarter of the height (0 to 1)
    """

    spot: Spot
    flight: int
    frame: float
    position: Floats
    in_air: int
    share: float


@dataclass(frozen=True)
class Followed:
    """A part that can be picked: its title, its role or None, and words for a panel."""

    title: str
    part: str | None
    label: str


def followed(examination: "Examination") -> tuple[Followed, ...]:
    """All that the check followed, in fixing order, what was added last; the centre of mass
    after the root. A ball stands for that itself."""
    basis = examination.basis
    if basis.clip.is_ball:
        return (Followed(lead_title(examination), basis.bodies[basis.lead].part, capital(BALL)),)
    found = [Followed(b.title, b.part, _words(b.part, b.name)) for b in basis.bodies]
    found.sort(key=lambda each: (each.part is None, fix_rank(each.part)))
    if basis.com is not None:
        trunk = [n for n, each in enumerate(found) if each.part in ("mover", "root")]
        found.insert(trunk[-1] + 1 if trunk else 0, Followed(COM, None, capital(COM)))
    return tuple(found)


def lead_title(examination: "Examination") -> str:
    """The part that is drawn where nobody has picked one: what leads the figure."""
    return examination.basis.bodies[examination.basis.lead].title


def usual_spot(examination: "Examination", title: str) -> Spot:
    """Where a part is followed by eye: at its tip or at its joint."""
    body = _body(examination.basis, title)
    kind = "" if body is None else split_part(examination.basis.bodies[body].part or "")[0]
    return Spot(title, TIP if kind in TIP_KINDS else JOINT)


def finding_spot(examination: "Examination", finding: Finding) -> Spot:
    """The spot that shows a finding: the point that it names, else its part, else what leads."""
    basis = examination.basis
    if finding.point == COM:
        return Spot(COM)
    for n, body in enumerate(basis.bodies):
        for mark in range(basis.marks.shape[2]):
            name = basis.mark_name(n, mark)
            if finding.point == (f"{body.name} ({name})" if name else body.name):
                return Spot(body.title, mark)
    part = next((body for body in basis.bodies if body.part == finding.part is not None), None)
    return Spot(lead_title(examination)) if part is None else usual_spot(examination, part.title)


def words_of(examination: "Examination", spot: Spot) -> str:
    """What a spot is called, in a few words: its part, and which of its points that is where it is
    not the one that is followed by eye."""
    basis = examination.basis
    body = _body(basis, spot.title)
    if body is None:
        return capital(spot.title)
    if basis.clip.is_ball:
        return capital(BALL)
    words = _words(basis.bodies[body].part, basis.bodies[body].name)
    point = basis.mark_name(body, spot.mark)
    is_usual = spot == usual_spot(examination, spot.title)
    return words if is_usual or not point else f"{words} ({point})"


def trails_of(examination: "Examination", spots: Sequence[Spot]) -> tuple[Trail, ...]:
    """One trail a spot, in the same order; raises KeyError for a title that is not followed."""
    basis = examination.basis
    return tuple(_trail(basis, spot) for spot in spots)


def hang_marks(examination: "Examination", spots: Sequence[Spot]) -> tuple[HangMark, ...]:
    """One mark for each spot and each flight that begins and ends inside the range.

    Where a path does not rise and fall in a flight (a hand that is swept down) there is none, nor
    where the body is held up by something unseen.
    """
    basis = examination.basis
    found = []
    for spot in spots:
        path, valid = known_path(basis, spot)
        for n, flight in enumerate(basis.flights):
            known = valid[flight.first : flight.last + 1].all()
            if flight.whole and not flight.held and known:
                mark = _hang_mark(basis, spot, path, n)
                found += [] if mark is None else [mark]
    return tuple(found)


def _hang_mark(basis: "Basis", spot: Spot, path: Floats, number: int) -> HangMark | None:
    flight = basis.flights[number]
    hang = hang_of(path[flight.first : flight.last + 1, 2])
    if hang is None:
        return None
    samples = np.arange(len(path), dtype=np.float64)
    at = flight.first + hang.apex
    return HangMark(
        spot=spot,
        flight=number,
        frame=float(np.interp(at, samples, basis.frames)),
        position=np.array([*(np.interp(at, samples, path[:, n]) for n in (0, 1)), hang.height]),
        in_air=flight.samples,
        share=hang.share,
    )


def _trail(basis: "Basis", spot: Spot) -> Trail:
    path, valid = known_path(basis, spot)
    kept = np.flatnonzero(valid)
    body = _body(basis, spot.title)
    return Trail(
        spot=spot,
        part=None if body is None else basis.bodies[body].part,
        frames=basis.frames[kept],
        positions=path[kept],
        speed=gap_speed(path[kept], (kept * basis.dt_s).astype(np.float64)) * basis.height.to_story,
    )


def gap_speed(path: Floats, seconds: Floats) -> Floats:
    """(T,) speed along a path (T,3) at times (T,): mean of the gaps on both sides of each dot.

    At the ends there is one gap; a single dot has speed 0.
    """
    if len(path) < 2:
        return np.zeros(len(path))
    gaps = np.linalg.norm(np.diff(path, axis=0), axis=1) / np.diff(seconds)
    before, after = np.concatenate((gaps[:1], gaps)), np.concatenate((gaps, gaps[-1:]))
    return np.asarray((before + after) / 2.0)


def path_of(basis: "Basis", spot: Spot) -> Floats:
    """(T,3) the path of a spot, gaps filled; raises KeyError for a title that is not followed."""
    return known_path(basis, spot)[0]


def known_path(basis: "Basis", spot: Spot) -> tuple[Floats, NDArray[np.bool_]]:
    """(T,3) the path of a spot, gaps filled, and where (T,) it is known; raises as `path_of`."""
    if spot.title == COM:
        if basis.com is None:
            raise KeyError(spot.title)
        return basis.com, mass_known(basis)
    body = _body(basis, spot.title)
    if body is None:
        raise KeyError(spot.title)
    return basis.marks[:, body, spot.mark], basis.valid[:, body]


def _body(basis: "Basis", title: str) -> int | None:
    return next((n for n, body in enumerate(basis.bodies) if body.title == title), None)


def _words(part: str | None, name: str) -> str:
    """Words for a part; a prop, and a joint without a role, go by their own names as they are."""
    return name if part is None or split_part(part)[0] == "prop" else capital(label(part))
