# SPDX-License-Identifier: GPL-3.0-or-later
"""When the parts of a figure arrive as it comes to rest: root, chest, head, hands and props.

A figure is at rest where none of these moves by more than a breath does. A part arrives where
it has but a fiftieth of its last way left, so that a hand and a hip that slow down alike arrive
alike, whatever either covers; what a moving hold does afterwards counts for nothing.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .basis.contacts import runs
from .parts import split_part
from .smoothing import smooth, window_frames

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

FOLLOWED = ("root", "chest", "head", "hand", "prop")
# Heights a second: slower than this (5 cm/s at 1.7 m) all parts are at rest, over the second.
REST_SPEED, REST_S = 0.03, 0.1
# The last of an ease is over under this share of that, or so long after it.
DEAD_SHARE, EASED_S = 0.2, 0.1
SMOOTH_S = 0.125
# Of third differences, the share (per cent) that is taken for jitter; of three normal numbers of
# size 1, so many are shorter than the second. It widens what is at rest by so many times what it
# makes of pace, and by no more than the last.
QUIET, QUIET_NORM = 15.0, 0.893
NOISE_TIMES, MOST_NOISE = 2.0, 0.04
# A part moved that has gone so far (a share of the height), so fast (heights a second), within
# this time; as many parts must have, two of them clearly.
WAY_SHARE, PACE, MOVED_S, FEWEST = 0.02, 0.04, 0.8, 4
CLEAR_PACE, CLEAR_PARTS = 0.15, 2
# A hand that is so much slower than the other (it rests, it holds on) tells nothing of who is late.
SLOW_SHARE = 0.4
# The last way of a part begins so long before the rest; it has arrived with this share of it left.
LAST_S, LEFT_SHARE = 0.35, 0.02
# As many parts as moved clearly must be so fast as long before they arrive (heights a second, 12
# cm/s at 1.7 m): a creep after the move is over (4 cm/s in a shot) arrives nowhere. Planted: 22.
LAST_PACE = 0.07
# What is left out of the last way: a breath, or this share of the fastest of it.
BREATH, BREATH_SHARE = 0.012, 0.05
# So far back it is looked for what goes beyond its place and comes back: by this share of its way,
# and by this share of the height (2 mm at 1.7 m); ways shorter than the last count as that.
BEYOND_S, BEYOND_SHARE, SEEN_SHARE, LEAST_WAY = 0.5, 0.02, 0.0012, 0.01
# It settles where it comes back by no more than this share of its way, and at less than this share
# of the pace at which it came: what turns around faster, as the bob of a walk, is caught half way.
MOST_BEYOND, BACK_PACE = 0.4, 0.4


@dataclass(frozen=True, eq=False)
class Stop:
    """A figure that comes to rest.

    first, last   samples on which all is at rest
    dead          sample on which the last of the ease is over as well, as far as it can be told
    bodies (N,)   those that moved before, without a hand that hardly did
    at (N,)       where each has arrived, in samples with a fraction
    beyond (N,)   how far each goes beyond its place before it settles, as a share of its way there
    pace (N,)     metres a second, its fastest within the last way
    """

    first: int
    last: int
    dead: int
    bodies: tuple[int, ...]
    at: Floats
    beyond: Floats
    pace: Floats

    @property
    def spread(self) -> float:
        """Samples from the first arrival to the last."""
        return float(np.ptp(self.at))

    @property
    def overshoots(self) -> float:
        """The share of the parts that go beyond their place and come back."""
        return float(np.mean(self.beyond > BEYOND_SHARE))


def followed_bodies(basis: Basis) -> list[int]:
    """The bodies that arrive: the one that leads, chest, head, hands, what is held."""
    found = [
        n
        for n, body in enumerate(basis.bodies)
        if body.judged and split_part(body.part or "")[0] in FOLLOWED
    ]
    return found if basis.lead in found else [basis.lead, *found]


def find_stops_of_all(basis: Basis, bodies: list[int]) -> list[Stop]:
    """Where all bodies come to rest after most of them moved, trunk and a hand among them."""
    height, dt_s = basis.height.scene_m, basis.dt_s
    marks = basis.marks[:, bodies]
    ways = smooth(marks, dt_s, window_s=SMOOTH_S, degree=2, derivative=1)
    pace = np.sqrt((ways**2).sum(axis=-1).mean(axis=-1)) / height
    noise = _noise(marks, dt_s) / height
    rest = REST_SPEED + np.minimum(NOISE_TIMES * noise, MOST_NOISE)
    known = np.asarray(basis.valid[:, bodies].all(axis=1))
    still = (pace < rest).all(axis=1) & known
    found = []
    for first, last in runs(still):
        start = max(first - round(MOVED_S / dt_s), 0)
        long = (last - first + 1) * dt_s >= REST_S - 1e-9
        if long and first * dt_s >= LAST_S and known[start : first + 1].all():
            stop = _stop(basis, bodies, marks, np.maximum(pace - noise, 0.0), first, last)
            if stop is not None:
                found.append(stop)
    return found


def _noise(marks: Floats, dt_s: float) -> Floats:
    """(N,) metres a second of pace that the jitter of bodies' marks (T,N,3,3) makes.

    Jitter is told from third differences, where these are small: what is left of motion there is
    less than of jitter. A line fitted to n samples makes a speed of sqrt(12 / (n^3 - n)) of it.
    """
    if len(marks) < 8:
        return np.zeros(marks.shape[1])
    third = np.linalg.norm(np.diff(marks, 3, axis=0), axis=-1)
    jitter = np.percentile(third, QUIET, axis=0) / (np.sqrt(20.0) * QUIET_NORM)
    count = window_frames(SMOOTH_S, dt_s, degree=2)
    fitted = np.sqrt(12.0 / (count**3 - count)) / dt_s
    return np.asarray(np.sqrt(3.0 * (jitter**2).mean(axis=-1)) * fitted)


def _stop(
    basis: Basis, bodies: list[int], marks: Floats, pace: Floats, first: int, last: int
) -> Stop | None:
    dt_s = basis.dt_s
    start = max(first - round(MOVED_S / dt_s), 0)
    before = pace[start : first + 1]
    moved = (before.sum(axis=0) * dt_s >= WAY_SHARE) & (before.max(axis=0) >= PACE)
    named = np.array([split_part(basis.bodies[n].part or "")[0] for n in bodies])
    kinds = set(named[moved])
    lead = moved[bodies.index(basis.lead)]
    clear = np.count_nonzero(before.max(axis=0) >= CLEAR_PACE) >= CLEAR_PARTS
    if moved.sum() < FEWEST or not (lead or "chest" in kinds) or "hand" not in kinds or not clear:
        return None
    begin = max(first - round(LAST_S / dt_s), 0)
    hands = moved & (named == "hand")
    slow = hands & (before.max(axis=0) < SLOW_SHARE * before[:, hands].max())
    places = np.flatnonzero(moved & ~slow)
    end = min(last, first + round(2.0 * REST_S / dt_s))
    span = pace[begin : end + 1, places]
    over = first + round(EASED_S / dt_s) + 1
    fastest = pace[begin : first + 1, places].max(axis=0)
    at = begin + _arrival(span)
    if _creeps(pace[:, places], at, dt_s):
        return None
    quiet = (pace[first : min(over, last + 1)] < DEAD_SHARE * REST_SPEED).all(axis=1)
    return Stop(
        first=first,
        last=last,
        dead=first + int(np.argmax(np.append(quiet, True))),
        bodies=tuple(bodies[n] for n in places),
        at=at,
        beyond=_beyond(
            marks[start : first + 2, places], before[:, places], dt_s, basis.height.scene_m
        ),
        pace=fastest * basis.height.scene_m,
    )


def _creeps(pace: Floats, at: Floats, dt_s: float) -> bool:
    """Whether parts (T,N) that arrive at samples (N,) only crept before the usual arrival."""
    usual = round(float(np.median(at)))
    lately = pace[max(usual - round(LAST_S / dt_s), 0) : usual + 1].max(axis=0)
    return bool(np.count_nonzero(lately >= LAST_PACE) < CLEAR_PARTS)


def _arrival(pace: Floats) -> Floats:
    """(N,) samples after which parts have no more than their small share of the way left."""
    breath = np.minimum(BREATH, BREATH_SHARE * pace.max(axis=0))
    left = np.cumsum(np.maximum(pace - breath, 0.0)[::-1], axis=0)[::-1]
    left = np.concatenate((left, np.zeros_like(left[:1])))
    share = left / np.maximum(left[0], 1e-12)
    at = len(share) - 1 - np.argmax((share > LEFT_SHARE)[::-1], axis=0)
    at = np.where(left[0] > 0.0, np.minimum(at, len(share) - 2), 0)
    part = np.arange(share.shape[1])
    drop = np.maximum(share[at, part] - share[at + 1, part], 1e-12)
    return np.asarray(at + np.clip((share[at, part] - LEFT_SHARE) / drop, 0.0, 1.0))


def _beyond(marks: Floats, pace: Floats, dt_s: float, height_m: float) -> Floats:
    """(N,) how far parts go beyond where they end, on marks (T,N,3,3), as shares of their way.

    It goes on from where a part was fastest, to its end and beyond; of its tip, which turns with
    it. Its way there is all that lies between its place before the move and its end. 0 where it
    does not settle but turns around.
    """
    tips, end = marks[:, :, 1], marks[-1, :, 1]
    way = end - np.take_along_axis(tips, np.argmax(pace, axis=0)[None, :, None], axis=0)[0]
    length = np.linalg.norm(way, axis=-1)
    begin = len(tips) - max(round(BEYOND_S / dt_s), 2)
    along = np.einsum("tni,ni->tn", tips[max(begin, 0) :] - end, way)
    over = along.max(axis=0) / np.maximum(length, 1e-12)
    whole = np.maximum(np.linalg.norm(end - tips[0], axis=-1), length)
    share = over / np.maximum(whole, LEAST_WAY * height_m)
    after = np.arange(len(pace))[:, None] >= max(begin, 0) + np.argmax(along, axis=0)
    back = np.where(after, pace, 0.0).max(axis=0) < BACK_PACE * pace.max(axis=0)
    settles = (over >= SEEN_SHARE * height_m) & (share <= MOST_BEYOND) & back
    return np.asarray(np.where(settles, share, 0.0))
