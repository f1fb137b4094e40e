# SPDX-License-Identifier: GPL-3.0-or-later
"""Both feet stand and go the same way at once: the figure is carried over the floor on them.

Feet that glide faster than a foot that stands (.4 m/s) are no plants, and would be told in pieces
or not at all: here the two of them together tell that nobody steps.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .basis.contacts import Soles, runs, without_short
from .basis.ground import FLOOR, LOW_SHARE
from .basis.other_bearers import other_bearers, sits
from .basis.slips import Slip
from .looped import Places
from .parts import SIDES
from .slid import Slid

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Both feet go alike where they differ by less than this share of the faster one, faster than so
# much (1 cm/s at 1.7 m), and rise or sink by less than this share of their way.
ALIKE_SHARE, MOVES_SHARE, RISE = 0.25, 0.01 / 1.7, 0.15
# Where only their common way is asked, they may differ by a tremble besides (6 cm/s): left out, the
# slow steps would be lost, and what is left would fit anything.
STILL_SHARE = 0.06 / 1.7
# A glide lasts so long, and goes so far (at 1.7 m 2 cm; in clean motion less than 1.2).
SHORTEST_S, FAR_SHARE = 0.12, 0.02 / 1.7
# Feet tremble: their steps are the mean of so long before and after; a break that short is none.
CALM_S, BREAK_S = 0.045, 0.1
# What goes more than this share of its way in one step jumps.
JUMP_SHARE = 0.7
# A figure stands over its feet where its centre of mass (else the body that leads) is no further
# than this from the line between them, and higher than that (at 1.7 m 15 and 40 cm).
OVER_SHARE, HIGH_SHARE = 0.15 / 1.7, 0.4 / 1.7
# What carries the feet stays where it is against them, to this share of their way.
WITH_SHARE = 0.3
# The body's own course is told from so long before and after, where the feet's differs from it by
# this share of its square.
BESIDE_S, TELLS_SHARE = 0.25, 0.05
# A slip within a glide goes its way: the cosine between them.
SAME_WAY = 0.7


@dataclass(frozen=True, eq=False)
class Glide:
    """first, last   samples
    peak        the sample that the fastest step leads to
    way (3,)    metres over what bears the feet, level
    limit       metres
    box         what the feet stand on, or ground.FLOOR
    """

    first: int
    last: int
    peak: int
    way: Floats
    limit: float
    box: int


def find_glides(basis: Basis, factor: float) -> tuple[Glide, ...]:
    """All glides, in time's order. `factor` widens what is allowed."""
    if len(basis.soles) < len(SIDES) or len(basis.frames) < 2:
        return ()
    left, right = _stillest(basis, basis.soles[0]), _stillest(basis, basis.soles[1])
    height, dt_s = basis.height.scene_m, basis.dt_s
    glides = _go_together(calm(left, dt_s), calm(right, dt_s), MOVES_SHARE * height * dt_s)
    glides = without_short(glides, False, round(BREAK_S / dt_s))
    low = ~np.isnan(left + right).any(axis=1)
    glides &= low & ~_borne(basis) & _over_feet(basis)
    steps = 0.5 * (left + right) * [1.0, 1.0, 0.0]
    limit = FAR_SHARE * factor * height
    found = []
    for first, last in runs(glides):
        way = steps[first : last + 1].sum(axis=0)
        sizes = np.linalg.norm(steps[first : last + 1], axis=1)
        jumps = float(sizes.max()) > JUMP_SHARE * float(np.linalg.norm(way))
        far = float(np.linalg.norm(way)) > limit
        if far and not jumps and (last + 1 - first) * dt_s >= SHORTEST_S:
            peak = first + int(np.argmax(sizes)) + 1
            box = int(basis.soles[0].which[peak].max())
            found.append(Glide(first, last + 1, peak, way, limit, box))
    return tuple(found)


def standing_steps(basis: Basis, calm_s: float) -> Floats:
    """(T-1,3) how both feet move over what bears them, level, each step the mean of those of all
    low points so long before and after; NaN where they do not both stand, or go apart."""
    feet = (_low_steps(basis, each) * [1.0, 1.0, 0.0] for each in basis.soles[:2])
    left, right = (calm(each, basis.dt_s, calm_s) for each in feet)
    apart = np.linalg.norm(left - right, axis=1)
    fastest = np.linalg.norm(np.stack((left, right)), axis=2).max(axis=0)
    still = STILL_SHARE * basis.height.scene_m * basis.dt_s
    with np.errstate(invalid="ignore"):
        alike = apart < np.maximum(ALIKE_SHARE * fastest, still)
    return np.where(alike[:, None], 0.5 * (left + right), np.nan)


def _low_steps(basis: Basis, soles: Soles) -> Floats:
    """(T-1,3) the mean step of a sole's low points; NaN where none is low."""
    low = (np.abs(soles.clearance) < LOW_SHARE * basis.height.scene_m) & soles.sole.known
    both = np.asarray(low[1:] & low[:-1])[..., None]
    count = both.sum(axis=1)
    steps = np.where(both, soles.steps, 0.0).sum(axis=1)
    return np.where(count > 0, steps / np.maximum(count, 1), np.nan)


def _go_together(left: Floats, right: Floats, least: float) -> Bools:
    """(T-1,) whether both feet go alike over what bears them, by steps (T-1,3) above `least`."""
    sizes = np.linalg.norm(np.stack((left, right))[..., :2], axis=2)
    slowest, fastest = sizes.min(axis=0), sizes.max(axis=0)
    rises = np.maximum(np.abs(left[:, 2]), np.abs(right[:, 2]))
    apart = np.linalg.norm((left - right)[:, :2], axis=1)
    with np.errstate(invalid="ignore"):
        return np.asarray(
            (apart < ALIKE_SHARE * fastest) & (slowest > least) & (rises < RISE * slowest)
        )


def calm(steps: Floats, dt_s: float, calm_s: float = CALM_S) -> Floats:
    """Steps (T-1,3), each the mean of those around it, without a capture's tremble."""
    count = 2 * round(calm_s / dt_s) + 1
    wide = np.pad(steps, ((count // 2, count // 2), (0, 0)), mode="edge")
    return np.asarray(np.lib.stride_tricks.sliding_window_view(wide, count, axis=0).mean(axis=-1))


def _stillest(basis: Basis, soles: Soles) -> Floats:
    """(T-1,3) the step of the stillest low point of a sole; NaN where none is low."""
    low = (np.abs(soles.clearance) < LOW_SHARE * basis.height.scene_m) & soles.sole.known
    both = np.asarray(low[1:] & low[:-1])
    size: Floats = np.where(both, np.linalg.norm(soles.steps, axis=-1), np.inf)
    rows = np.arange(len(size))
    chosen = soles.steps[rows, np.argmin(size, axis=1)]
    return np.where(np.any(both, axis=1, keepdims=True), chosen, np.nan)


def _borne(basis: Basis) -> Bools:
    """(T-1,) whether hands, knees, trunk or seat bear the figure as well."""
    borne = np.any([sits(basis), *(bears for _place, bears in other_bearers(basis))], axis=0)
    return np.asarray(borne[1:] | borne[:-1])


def _over_feet(basis: Basis) -> Bools:
    """(T-1,) whether the figure stands over its feet: no feet are dragged as it sits or rolls."""
    body = basis.positions[:, basis.lead] if basis.com is None else basis.com
    one, other = (each.sole.points.mean(axis=1) for each in basis.soles)
    gap, away = (other - one)[:, :2], (body - one)[:, :2]
    square = np.maximum(np.sum(gap * gap, axis=1), 1e-12)
    along = np.clip(np.sum(away * gap, axis=1) / square, 0.0, 1.0)
    off = np.linalg.norm(away - along[:, None] * gap, axis=1)
    high = body[:, 2] - np.maximum(one[:, 2], other[:, 2])
    stands = (off < OVER_SHARE * basis.height.scene_m) & (high > HIGH_SHARE * basis.height.scene_m)
    return np.asarray(stands[1:] & stands[:-1])


def once(places: Places, glides: tuple[Glide, ...]) -> tuple[Glide, ...]:
    """Those that nothing from outside was declared to cause; of a loop's rounds each once."""
    feet, looped = [each.sole.body for each in places.basis.soles], places.looped
    free = [
        each
        for each in glides
        if not any(places.declared(foot, each.first, each.last) for foot in feet)
    ]
    if looped is None:
        return tuple(free)
    kept = [each for each in free if looped.is_once(each.first, each.last)]
    return tuple(
        replace(each, way=each.way * min(1.0, looped.length / (each.last - each.first)))
        for each in kept
    )


def is_carried(places: Places, glides: tuple[Glide, ...], slip: Slip) -> bool:
    """Whether a glide moves the foot in its plant."""
    first, last = slip.plant.first, slip.plant.last
    return any(_shared(places, glide, first, last) > 0 for glide in glides)


def untold(places: Places, glides: tuple[Glide, ...], slid: list[Slid]) -> list[Slid]:
    """Slips that no glide tells: at the same time, and the same way."""
    return [each for each in slid if not any(_tells(places, glide, each) for glide in glides)]


def _tells(places: Places, glide: Glide, slid: Slid) -> bool:
    way = places.home(glide.way, glide.first)
    sizes = float(np.linalg.norm(way)) * slid.metres
    alike = float(way @ slid.way) > SAME_WAY * sizes
    return alike and _shared(places, glide, slid.part.first, slid.part.last) > 0


def _shared(places: Places, glide: Glide, first: int, last: int) -> int:
    """Samples that a glide and a stretch have in common, in any round of a loop."""
    return max(
        min(glide.last, last + later) - max(glide.first, first + later) for later in places.rounds()
    )


def carrier(
    basis: Basis, bodies: list[int], first: int, last: int, way: Floats, box: int = FLOOR
) -> int | None:
    """What takes both feet, or hands, along between two samples: the mover, or the body that
    leads; None where neither makes their move, and they are moved by themselves.

    The mover does nothing else meanwhile; the body may move by itself as well, and is carried
    where its speed rises and falls with that of the feet, beyond its own even course.

    bodies   the two; way (3,): how they slip, metres; box: over what
    """
    metres = max(float(np.linalg.norm(way)), 1e-12)
    place = over_box(basis, box, basis.positions[:, bodies].mean(axis=1)) @ way / metres
    for body in (basis.body("mover"), basis.lead):
        if body is None:
            continue
        goes = over_box(basis, box, basis.positions[:, body]) @ way / metres
        along = (place - goes)[first : last + 1]
        if np.abs(along - along[0]).max() < WITH_SHARE * metres:
            return body
    return basis.lead if _share(np.diff(goes), np.diff(place), first, last, basis.dt_s) else None


def over_box(basis: Basis, box: int, path: Floats) -> Floats:
    """A path (T,3) as it goes over a support that may move, from its first place on."""
    if box == FLOOR:
        return path
    which = np.full((len(path), 1), box)
    steps = basis.ground.steps(path[:, None], which)[:, 0]
    return np.asarray(np.concatenate((path[:1], path[0] + np.cumsum(steps, axis=0))))


def _share(body: Floats, feet: Floats, first: int, last: int, dt_s: float) -> bool:
    """Whether the body's steps (T-1,) hold those of the feet from sample first to last, over an
    own course that is a parabola (least squares); untold where feet go as such a one."""
    a, b = max(first - round(BESIDE_S / dt_s), 0), min(last + round(BESIDE_S / dt_s), len(body))
    at = np.linspace(-1.0, 1.0, b - a)
    course = np.stack((np.ones(b - a), at, at * at), axis=1)
    profile = np.where((np.arange(a, b) >= first) & (np.arange(a, b) < last), feet[a:b], 0.0)
    left, own = (
        values - course @ np.linalg.lstsq(course, values, rcond=None)[0]
        for values in (profile, body[a:b])
    )
    size = float(left @ left)
    if size < TELLS_SHARE * float(profile @ profile):
        return False
    return float(left @ own) > 0.5 * size
