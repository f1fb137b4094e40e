# SPDX-License-Identifier: GPL-3.0-or-later
"""One round of a loop: a pose for every moment of it, and how it is carried into the next.

A round holds its poses in place, as on a treadmill; the travel over the floor and the turn about
the vertical are laid on evenly. So the same round plays in place, straight on or in a circle,
from any frame, for any number of frames, and between frames as well.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis import Clip
from analysis import quaternions as quat

from .figure import Channels, posed

Floats = NDArray[np.float64]

# Below this turn a round goes straight on, radians.
_STRAIGHT = 1e-6


@dataclass(frozen=True, eq=False)
class Round:
    """A periodic motion of L samples.

    form            a clip with the figure: joints, rest pose, roles, rate; its motion is not used
    channels        L samples of the joints in their parents' axes; the root's as in place
    turn            radians about the vertical from round to round
    travel (2,)     metres over the floor along the arc of a round, as headed at its beginning
    """

    form: Clip
    channels: Channels
    turn: float = 0.0
    travel: tuple[float, float] = (0.0, 0.0)

    @property
    def length(self) -> int:
        """L, the samples of one round."""
        return len(self.channels.places)

    def played(self, phases: Floats, name: str = "") -> Clip:
        """The clip whose sample n shows the round at phases[n], counted in samples of the round.

        Whole phases give the round's own samples; between them a cubic runs through four.
        """
        places, turns = _between(self.channels, phases)
        at, about = screw(self.turn, self.travel, phases / self.length)
        root = int(np.flatnonzero(self.form.parents < 0)[0])
        places[:, root] = quat.rotate(about, places[:, root]) + at
        turns[:, root] = quat.multiply(about, turns[:, root])
        count, joints = places.shape[:2]
        still = np.tile([1.0, 0.0, 0.0, 0.0], (count, joints, 1))
        blank = replace(
            self.form,
            frames=np.arange(1, count + 1, dtype=np.float64),
            positions=np.zeros((count, joints, 3)),
            rotations=still,
            meta=replace(self.form.meta, name=name or self.form.meta.name, cycle=True),
        )
        return posed(blank, Channels(places, quat.continuous(turns)))

    def from_frame(self, first: int) -> "Round":
        """The same round begun at another of its frames."""
        places, turns = (np.roll(v, -first, axis=0) for v in vars(self.channels).values())
        return replace(self, channels=Channels(places, quat.continuous(turns)))


def screw(turn: float, travel: tuple[float, float], rounds: Floats) -> tuple[Floats, Floats]:
    """Where (N,3) and how turned (N,4) the ground under a round is after so many rounds."""
    angle = turn * rounds
    along, across = (
        (np.sin(angle) / turn, (1.0 - np.cos(angle)) / turn)
        if abs(turn) > _STRAIGHT
        else (rounds, np.zeros_like(rounds))
    )
    x, y = travel
    at = np.stack((along * x - across * y, across * x + along * y, np.zeros_like(rounds)), axis=-1)
    half, zero = 0.5 * angle, np.zeros_like(angle)
    return at, np.stack((np.cos(half), zero, zero, np.sin(half)), axis=-1)


def travel_of(turn: float, gap: Floats) -> tuple[float, float]:
    """The travel along the arc that ends at `gap` (2,) after one round: `screw` undone."""
    along, across = (
        (np.sin(turn) / turn, (1.0 - np.cos(turn)) / turn) if abs(turn) > _STRAIGHT else (1.0, 0.0)
    )
    x, y = np.linalg.solve(np.array([[along, -across], [across, along]]), gap)
    return float(x), float(y)


def in_place(channels: Channels, root: int, turn: float, travel: tuple[float, float]) -> Channels:
    """A round's channels with even travel and turn taken off its root: `Round.played` undone."""
    places, turns = channels.places.copy(), channels.turns.copy()
    at, about = screw(turn, travel, np.arange(len(places)) / len(places))
    back = quat.conjugate(about)
    places[:, root] = quat.rotate(back, places[:, root] - at)
    turns[:, root] = quat.multiply(back, turns[:, root])
    return Channels(places, quat.continuous(turns))


def _between(channels: Channels, phases: Floats) -> tuple[Floats, Floats]:
    """Channels at fractional samples of the round, wrapped around."""
    length = len(channels.places)
    before = np.floor(phases + 1e-9).astype(int)
    u = (phases - before)[:, None, None]
    u = np.where(np.abs(u) < 1e-9, 0.0, u)
    weights = (
        0.5 * u * (-1.0 + u * (2.0 - u)),
        1.0 + 0.5 * u * u * (-5.0 + 3.0 * u),
        0.5 * u * (1.0 + u * (4.0 - 3.0 * u)),
        0.5 * u * u * (u - 1.0),
    )
    around = [(before + shift) % length for shift in (-1, 0, 1, 2)]
    places = sum((w * channels.places[n] for w, n in zip(weights, around, strict=True)), 0.0)
    near = channels.turns[around[1]]
    turns = np.zeros_like(near)
    for weight, at in zip(weights, around, strict=True):
        other = channels.turns[at]
        same = np.sign(np.sum(other * near, axis=-1, keepdims=True))
        turns = turns + weight * np.where(same < 0.0, -other, other)
    return np.asarray(places), quat.normalise(turns)
