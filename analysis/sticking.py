# SPDX-License-Identifier: GPL-3.0-or-later
"""Where bodies stick on their way: stalls of all their tracks, against limits, one a moment."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .ends import Ends
from .parts import LEG, SIDES
from .stall import REACH, Stalls, find_stalls
from .still import Stillness
from .tracks import PARENT, WORLD, Track

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]

# A point that keeps no more than this share of its pace is dead; more than the other, it moves.
DEAD_PACE, MOST_PACE = 0.02, 0.25
# Residual over (floor + residual left): where the point is dead, where it creeps on, and where
# it keeps the most pace.
DEAD_RATIO, CREEPS_RATIO, MOST_RATIO = 0.6, 2.5, 5.0
# One sample alone may be dead by chance.
ONE_RATIO = 2.0
# The catch-up against the longest step around: of a dead point; of one that creeps on, or stands.
DEAD_BURST, BURST = 0.8, 1.2
# A dead point comes to its stop, or leaves it, at this share of its predicted step, one that
# creeps on at more: else it was eased. Beyond the catch-up it goes on, at this share of it.
ARRIVES, CREEPS_ARRIVES, GOES_ON = 0.3, 0.5, 0.1
# It was eased as well where its last step is so much shorter than one of the two before, and all
# are shorter than this share of its predicted step.
SLOWS, SLOW_ARRIVES = 0.7, 0.45
# Thigh and shin, or upper arm and forearm, are straight where they reach this far together.
STRAIGHT_SHARE = 0.9995
# Of the height: what counts as still, and what is too small to be seen (2 cm at 1.7 m).
FLOOR_SHARE, SEEN_SHARE = 1e-3, 0.012
# A stop that lasts longer is a hold, seconds; three samples may always be dead.
LONGEST_S, LEAST_WIDTHS = 0.25, 3
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

    known (T,B)   where a body is known for long enough
    """

    def __init__(self, basis: Basis, ends: Ends, still: Stillness, factor: float) -> None:
        self._height, self._factor = basis.height.scene_m, factor
        self._length, self._still = ends.length, still
        self._stride = max(round(FINE_S / basis.dt_s), 1)
        most = int(LONGEST_S / (basis.dt_s * self._stride) + 0.01)
        self._widths = range(1, max(most, LEAST_WIDTHS) + 1)
        self._shift = ends.around("marks")[1]
        self.known = _known(basis, REACH * self._stride)
        self._lenience = ends.lenience
        self._stands, self._straight = standing(basis), straight(basis)

    def hitches(self, track: Track) -> list[Hitch]:
        """All hitches of a track; those of one body may overlap."""
        found = []
        for stride in sorted({1, self._stride}):
            for phase in range(stride):
                place = _Place(stride, phase, self._shift)
                least = self._factor * SEEN_SHARE * self._height
                stalls = find_stalls(track.paths[phase::stride], self._widths, least=least)
                stalls = stalls.where(_sticks(stalls) & track.followed[stalls.body])
                found += self._of_track(track, stalls, place)
        return found

    def _of_track(self, track: Track, stalls: Stalls, place: _Place) -> list[Hitch]:
        """The stalls that are over their limits, as hitches."""
        first = place.in_range(stalls.start)
        inside = (first >= 0) & (first < self._length)
        stalls = stalls.where(inside & ~self._over_seam(stalls, place))
        first = place.in_range(stalls.start)
        last = np.minimum(place.in_range(stalls.start + stalls.width - 1), self._length - 1)
        limits = self._factor * _limits(stalls, self._height)
        creeps = stalls.pace > DEAD_PACE
        limits[creeps] *= _most(self._lenience, first, last, stalls.body)[creeps]
        stands = _most(self._stands, first, last, stalls.body) > 0.0
        stands &= track.space == WORLD
        fits = (stalls.size >= limits) & _catches_up(stalls, creeps | stands)
        fits &= self.known[first, stalls.body]
        if track.space == PARENT:  # pinned at its limit: it waits for the leg to be bent again
            fits &= _most(self._straight, first, last, stalls.body) == 0.0
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
                whole=whole,
                grain=self._stride,
            )
            for n in np.flatnonzero(fits).tolist()
            if (whole := self._whole(stalls, n, place)) or stalls.width[n] > 1
        ]

    def _over_seam(self, stalls: Stalls, place: _Place) -> Bools:
        """(C,) whether the catch-up leads from one round to the next: a loop's seam breaks."""
        before = np.where(stalls.after, stalls.dead + stalls.width, stalls.dead - 1)
        rounds = [place.in_range(at) // self._length for at in (before, before + 1)]
        return np.asarray(rounds[0] != rounds[1])

    def _whole(self, stalls: Stalls, n: int, place: _Place) -> bool:
        dead = stalls.dead[n : n + 1]
        first, last = place.on_track(dead), place.on_track(dead + stalls.width[n])
        return self._still.whole(int(first[0]), int(last[0]), place.stride)


def _sticks(stalls: Stalls) -> Bools:
    """(C,) whether the point hardly moves, without having been eased into that."""
    least = np.where(stalls.pace <= DEAD_PACE, ARRIVES, CREEPS_ARRIVES)
    arrives = stalls.arrives >= least * stalls.step
    return (stalls.pace <= MOST_PACE) & arrives & ~_eased(stalls)


def _eased(stalls: Stalls) -> Bools:
    """(C,) whether the point slows down into its stop, which then is a hold."""
    return (stalls.slows < SLOWS) & (stalls.arrives < SLOW_ARRIVES * stalls.step)


def _catches_up(stalls: Stalls, doubtful: Bools) -> Bools:
    """(C,) whether a step makes up for it: what is in doubt must go on beyond that step."""
    burst = np.where(doubtful, BURST, DEAD_BURST)
    goes_on = ~doubtful | (stalls.leaves >= GOES_ON * stalls.step)
    return (stalls.burst >= burst * stalls.beside) & goes_on


def _limits(stalls: Stalls, height: float) -> Floats:
    """(C,) metres that each stall must hide."""
    share = np.clip((stalls.pace - DEAD_PACE) / (MOST_PACE - DEAD_PACE), 0.0, 1.0)
    creeping = CREEPS_RATIO + (MOST_RATIO - CREEPS_RATIO) * share
    dead = np.where(stalls.width == 1, ONE_RATIO, DEAD_RATIO)
    ratio = np.where(stalls.pace <= DEAD_PACE, dead, creeping)
    return np.maximum(ratio * (FLOOR_SHARE * height + stalls.left), SEEN_SHARE * height)


def _most(values: Floats, first: Ints, last: Ints, body: Ints) -> Floats:
    """(C,) the largest of values (T,B) from a sample before `first` to one after `last`."""
    spans = zip(first.tolist(), last.tolist(), body.tolist(), strict=True)
    return np.array([values[max(a - 1, 0) : b + 2, n].max() for a, b, n in spans])


def standing(basis: Basis) -> Floats:
    """(T,B) 1 where a leg's foot is planted, else 0."""
    found = np.zeros(basis.valid.shape)
    for plant in basis.plants:
        leg = [basis.body(f"{part}.{plant.side}") for part in LEG]
        found[plant.first : plant.last + 1, [n for n in leg if n is not None]] = 1.0
    return found


def straight(basis: Basis) -> Floats:
    """(T,B) 1 for shins and forearms where knee or elbow is straight, else 0."""
    found = np.zeros(basis.valid.shape)
    for upper, lower, end in (("thigh", "shin", "foot"), ("upper_arm", "forearm", "hand")):
        for side in SIDES:
            chain = [basis.body(f"{part}.{side}") for part in (upper, lower, end)]
            hip, knee, foot = chain
            if hip is None or knee is None or foot is None:
                continue
            place = basis.positions
            bones = [place[:, knee] - place[:, hip], place[:, foot] - place[:, knee]]
            lengths = [np.linalg.norm(bone, axis=-1) for bone in (*bones, bones[0] + bones[1])]
            found[:, knee] = lengths[2] >= STRAIGHT_SHARE * (lengths[0] + lengths[1])
    return found


def _known(basis: Basis, reach: int) -> Bools:
    """(T,B) whether a body is known on a sample and `reach` and more around it."""
    gap = ~basis.valid
    near = gap.copy()
    for shift in range(1, reach + 1):
        near[shift:] |= gap[:-shift]
        near[:-shift] |= gap[shift:]
    return ~near


def clearest(found: list[Hitch]) -> list[Hitch]:
    """Of hitches that meet, the clearest alone; in time's order."""
    kept: list[Hitch] = []
    for each in sorted(found, key=lambda hitch: -hitch.rank):
        if not any(each.meets(other) for other in kept):
            kept.append(each)
    return sorted(kept, key=lambda hitch: hitch.first)
