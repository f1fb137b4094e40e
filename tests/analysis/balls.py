# SPDX-License-Identifier: GPL-3.0-or-later
"""Balls whose ways are known by Newton's formulas, alone and over a figure."""

from dataclasses import dataclass

import numpy as np

from analysis import Clip, Meta
from analysis.ball.joined import ball_alone, join_ball

# Standard gravity, m/s2 (3rd CGPM 1901).
GRAVITY = 9.80665
RADIUS = 0.1


def ball_clip(path, fps=24.0, name="Ball", **meta):
    """A plain object that goes along a way (T,3)."""
    count = len(path)
    return Clip(
        frames=np.arange(1, count + 1),
        fps=fps,
        joints=(name,),
        parents=[-1],
        positions=np.asarray(path)[:, None],
        rotations=np.tile([1.0, 0.0, 0.0, 0.0], (count, 1, 1)),
        lengths=[RADIUS],
        meta=Meta(name=name, **meta),
    )


def alone(path, fps=24.0, **meta):
    """The same as a ball that is alone, of a story of which the height is told."""
    return ball_alone(ball_clip(path, fps, **{"height_m": 1.7, **meta}))


def over(figure, path=None, on="root", **meta):
    """A ball over a figure, on one of its joints (`on`) unless it has a way of its own."""
    path = figure.positions[:, figure.joint(on or "root")] if path is None else path
    return join_ball(figure, ball_clip(path, figure.fps, **meta), ball_name="Ball", on=on)


@dataclass(frozen=True)
class Bouncing:
    """Dropped from `height` metres at time 0, it bounces so many times, by restitution.

    With restitution e it leaves the ground at e times the speed that it came with (Newton), so
    that each rise is e^2 times as high as the one before and lasts e times as long.
    phase   share of a frame between the drop and the first frame
    """

    height: float = 1.0
    restitution: float = 0.8
    fps: float = 24.0
    phase: float = 0.3
    bounces: int = 5
    speed: float = 0.8

    @property
    def contacts(self):
        """(N,) seconds after the drop at which it is on the ground: t = sqrt(2 h / g)."""
        times = [np.sqrt(2.0 * self.height / GRAVITY)]
        speed = self.restitution * GRAVITY * times[0]
        for _ in range(self.bounces - 1):
            times.append(times[-1] + 2.0 * speed / GRAVITY)
            speed *= self.restitution
        return np.array(times)

    @property
    def contact_frames(self):
        """(N,) the frame numbers of these, with fractions."""
        return self.contacts * self.fps - self.phase + 1.0

    @property
    def seconds(self):
        """(T,) of each frame since the drop: up to its last bounce."""
        return (np.arange(int(self.contacts[-1] * self.fps)) + self.phase) / self.fps

    def places(self, seconds):
        """(N,3) where it is, so many seconds after the drop: Galilei's h - g t^2 / 2."""
        contacts, heights = self.contacts, []
        for time in seconds:
            n = int(np.searchsorted(contacts, time, side="right"))
            since = time - contacts[n - 1] if n else time
            leaves = self.restitution**n * np.sqrt(2.0 * GRAVITY * self.height) if n else 0.0
            start = 0.0 if n else self.height
            heights.append(start + leaves * since - 0.5 * GRAVITY * since**2)
        along = self.speed * np.asarray(seconds)
        return np.stack((0.0 * along, -along, np.array(heights) + RADIUS), -1)

    def path(self):
        """(T,3) metres."""
        return self.places(self.seconds)

    def clip(self, scale=1.0, **meta):
        """As a ball that is alone."""
        return alone(self.path() * scale, self.fps, **meta)


def to_and_fro(kind, period, *, amount=0.1, phase=0.0, rounds=4, drift=0.0):
    """(T,3) a way to the side (X): `sine`, or `even` spacing that turns at once; in frames."""
    time = np.arange(int(rounds * period)) + phase
    turn = time / period
    even = 2.0 * np.abs(2.0 * (turn - np.floor(turn + 0.5))) - 1.0
    aside = amount * (np.sin(2.0 * np.pi * turn) if kind == "sine" else even)
    return np.stack((aside, -drift * time, 0.95 + 0.0 * time), -1)
