# SPDX-License-Identifier: GPL-3.0-or-later
"""Where bodies stick on their way: stalls of all their tracks, against limits, one a moment."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .by_limb import limb_groups
from .ends import Ends
from .memory import recalled
from .pinned import standing, straight
from .stall import REACH, Stalls, find_stalls
from .stall_limits import CREEPS, SEEN_SHARE, catches_up, may_be_whole, must_hide, sticks
from .still import Stillness
from .tracks import PARENT, WORLD, Track

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]

# A stop that lasts longer is a hold, seconds; two samples may always be dead.
LONGEST_S, LEAST_WIDTHS = 0.25, 2
# At high rates a frame of animation lasts several samples: so many seconds are looked at as one.
FINE_S = 1.0 / 27.0
# The joint tells what all marks show alike, and the world what all spaces show.
PREFERRED_MARK, PREFERRED_WORLD = np.array([1.1, 1.05, 1.0]), 1.05


@dataclass(frozen=True, eq=False)
class Hitch:
    """A body that is dead on samples first..last of the range, worst at `peak`.

    hidden (3,)   from where its mark is to where it should be, in the axes of the track
    size, limit   metres; step: metres that it would go in a sample
    after         whether it catches up afterwards; else it jumps ahead and waits
    whole         whether the whole figure is dead meanwhile
    grain         samples that were looked at as one
    """

    body: int
    mark: int
    first: int
    last: int
    peak: int
    track: Track
    hidden: Floats
    size: float
    limit: float
    step: float
    after: bool
    whole: bool
    grain: int = 1

    @property
    def rank(self) -> float:
        """How clear it is: the larger, the clearer."""
        world = PREFERRED_WORLD if self.track.space == WORLD else 1.0
        return self.size / self.limit * float(PREFERRED_MARK[self.mark]) * world

    def meets(self, other: "Hitch") -> bool:
        """Whether both are dead on a common sample, or on neighbours."""
        near = max(self.grain, other.grain)
        return self.first <= other.last + near and other.first <= self.last + near


@dataclass(frozen=True)
class _Place:
    """Where samples of a thinned track lie: every `stride`-th from `phase`, in a range that
    begins at sample `shift` of the track."""

    stride: int
    phase: int
    shift: int

    def on_track(self, at: Ints) -> Ints:
        return at * self.stride + self.phase

    def in_range(self, at: Ints) -> Ints:
        return self.on_track(at) - self.shift


class Search:
    """Looks for hitches on the tracks of a basis; limits are multiplied by `factor`.

    known (T,B)   where a body is known, and on all samples that foretell it from either side
    """

    def __init__(self, basis: Basis, ends: Ends, still: Stillness, factor: float) -> None:
        self._basis, self._height, self._factor = basis, basis.height.scene_m, factor
        self._length, self._still = ends.length, still
        self._stride = max(round(FINE_S / basis.dt_s), 1)
        most = int(LONGEST_S / (basis.dt_s * self._stride) + 0.01)
        self._widths = range(1, max(most, LEAST_WIDTHS) + 1)
        self._shift = ends.around("marks")[1]
        reach = REACH * self._stride
        self.known = ends.known(reach, reach)[self._shift : self._shift + ends.length]
        self._lenience = ends.lenience
        self._stands, self._straight = standing(basis), straight(basis)

    def hitches(self, track: Track) -> list[Hitch]:
        """All hitches of a track; those of one body may overlap."""
        found = []
        for stride in sorted({1, self._stride}):
            for phase in range(stride):
                place = _Place(stride, phase, self._shift)
                least = self._factor * SEEN_SHARE * self._height
                stalls = self._stalls(track.paths[phase::stride], least)
                stalls = stalls.where(sticks(stalls) & track.followed[stalls.body])
                found += self._of_track(track, stalls, place)
        return found

    def _stalls(self, paths: Floats, least: float) -> Stalls:
        """`find_stalls` limb by limb, put together in its order."""
        found = []
        for limb in limb_groups(self._basis):
            own = np.ascontiguousarray(paths[:, limb])
            widths = self._widths.start, self._widths.stop
            each = recalled(self._basis.memory, _stalls_of, own, widths, least)
            found.append(replace(each, body=limb[each.body]))
        columns = zip(*(vars(each).values() for each in found), strict=True)
        every = Stalls(*(np.concatenate(column) for column in columns))
        order = (every.mark, every.body, every.start, ~every.after, every.width)
        return every.where(np.lexsort(order))

    def _of_track(self, track: Track, stalls: Stalls, place: _Place) -> list[Hitch]:
        """The stalls that are over their limits, as hitches."""
        first = place.in_range(stalls.start)
        inside = (first >= 0) & (first < self._length)
        stalls = stalls.where(inside & ~self._over_seam(stalls, place))
        first = place.in_range(stalls.start)
        last = np.minimum(place.in_range(stalls.start + stalls.width - 1), self._length - 1)
        whole = self._whole(stalls, place)
        creeps = stalls.pace > CREEPS
        limits = self._factor * must_hide(stalls, whole, self._height)
        limits[creeps] *= _most(self._lenience, first - 1, last + 1, stalls.body)[creeps]
        fits = (stalls.size >= limits) & self._known(track, stalls.body, first, last)
        fits &= np.where(whole, may_be_whole(stalls), stalls.width > 1)
        fits &= self._by_itself(track, stalls, first, last, creeps)
        return [
            Hitch(
                body=int(stalls.body[n]),
                mark=int(stalls.mark[n]),
                first=int(first[n]),
                last=int(last[n]),
                peak=int(np.clip(place.in_range(stalls.worst[n]), first[n], last[n])),
                track=track,
                hidden=stalls.hidden[n],
                size=float(stalls.size[n]),
                limit=float(limits[n]),
                step=float(stalls.step[n]) / place.stride,
                after=bool(stalls.after[n]),
                whole=bool(whole[n]),
                grain=self._stride,
            )
            for n in np.flatnonzero(fits)
        ]

    def _known(self, track: Track, body: Ints, first: Ints, last: Ints) -> Bools:
        """(C,) whether bodies, and what each is followed against, are known around the samples."""
        carrier = track.carriers[body]
        carrier = np.where(carrier < 0, body, carrier)
        found = [self.known[at, who] for at in (first, last) for who in (body, carrier)]
        return np.asarray(np.all(found, axis=0))

    def _by_itself(
        self, track: Track, stalls: Stalls, first: Ints, last: Ints, creeps: Bools
    ) -> Bools:
        """(C,) whether a limb catches up, and neither stands there nor is pinned at its limit."""
        hinge = track.space == PARENT
        doubtful = creeps
        if track.space == WORLD:
            doubtful = creeps | (_most(self._stands, first, last, stalls.body) > 0.0)
        found = catches_up(stalls, doubtful, hinge=hinge)
        if hinge:  # pinned straight: it waits for the limb to be bent again
            found &= _most(self._straight, first, last, stalls.body) == 0.0
        return found

    def _over_seam(self, stalls: Stalls, place: _Place) -> Bools:
        """(C,) whether the catch-up leads from one round to the next: a loop's seam breaks."""
        before = np.where(stalls.after, stalls.dead + stalls.width, stalls.dead - 1)
        rounds = [place.in_range(at) // self._length for at in (before, before + 1)]
        return np.asarray(rounds[0] != rounds[1])

    def _whole(self, stalls: Stalls, place: _Place) -> Bools:
        """(C,) whether the whole figure is dead on those samples."""
        first = place.on_track(stalls.dead).tolist()
        last = place.on_track(stalls.dead + stalls.width).tolist()
        spans = zip(first, last, strict=True)
        return np.array([self._still.whole(a, b, place.stride) for a, b in spans], dtype=bool)


def _stalls_of(paths: Floats, widths: tuple[int, int], least: float) -> Stalls:
    return find_stalls(paths, range(*widths), least=least)


def _most(values: Floats, first: Ints, last: Ints, body: Ints) -> Floats:
    """(C,) the largest of values (T,B) on samples first..last, as far as there are such."""
    spans = zip(first.tolist(), last.tolist(), body.tolist(), strict=True)
    return np.array([values[max(a, 0) : b + 1, n].max() for a, b, n in spans])


def clearest(found: list[Hitch]) -> list[Hitch]:
    """Of hitches that meet, the clearest alone; in time's order."""
    kept: list[Hitch] = []
    for each in sorted(found, key=lambda hitch: -hitch.rank):
        if not any(each.meets(other) for other in kept):
            kept.append(each)
    return sorted(kept, key=lambda hitch: hitch.first)
