# SPDX-License-Identifier: GPL-3.0-or-later
"""The basis of a ball that stands for the body: one point, over the feet of its figure.

What is asked of the centre of mass is asked of the ball: of its own place, or, where it is known
on which joint of the figure it was put, of the centre of mass beside it, as it was beside that
joint. A body that leans or swings its limbs in the air falls right by its centre of mass alone, and
no other point of it does. Height, floor, facing, feet and flights are the figure's.

Where the ball is lifted and the feet still stand there is no flight, however it moves: it is
carried, and what carries it may do as it likes. A ball that is alone bounces by itself: its flights
lie between the corners of its height.
"""

from dataclasses import dataclass, replace
from functools import cached_property
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from ..ball.bounces import bounced_arcs, find_lows
from ..ball.extremes import Extreme
from ..clip import Clip
from ..meta_ball import Ball
from ..roles import Roles
from .bodies import Body
from .contacts import Plant, Soles
from .core import Basis
from .flights import LEAST, Flight
from .ground import Ground
from .height import TRUE_SIZE_M, Height, find_height
from .slips import Slip
from .touch_points import TouchPoints

Floats = NDArray[np.float64]

# Within so many frames of a bounce its path breaks by right.
NEAR_FRAMES = 2


@dataclass(frozen=True, eq=False)
class BallBasis(Basis):
    """figure   the basis of the figure whose body it stands for; None of a ball that is alone"""

    figure: Basis | None

    @cached_property
    def offsets(self) -> Floats:
        """(1,3,3) all marks are the point itself: how a ball turns says nothing."""
        return np.zeros((1, 3, 3))

    def mark_name(self, body: int, mark: int) -> str:
        """None: it is called as it is."""
        return ""

    def has_part(self, part: str) -> bool:
        """The figure has it."""
        return super().has_part(part) or (self.figure is not None and self.figure.has_part(part))

    def frame_at(self, sample: float) -> float:
        """The frame number of a sample, with a fraction."""
        return float(self.frames[0] + sample * (self.frames[1] - self.frames[0]))

    @cached_property
    def aside(self) -> Floats:
        """(T,3) from the ball to the centre of mass, metres; 0 where the ball is that itself."""
        figure, ball = self.figure, self.clip.meta.ball
        if figure is None or figure.com is None or ball is None or not ball.on or ball.by_itself:
            return np.zeros((len(self.frames), 3))
        joint = figure.clip.joint(ball.on)
        if not figure.clip.valid_mask[:, joint].all():
            return np.zeros((len(self.frames), 3))
        return np.asarray(figure.com - figure.clip.positions[:, joint])

    @cached_property
    def com(self) -> Floats | None:
        """(T,3) the centre of mass that it carries: its own place where nothing else is told."""
        return np.asarray(self.positions[:, 0] + self.aside)

    def beside(self, frames: Floats, places: Floats) -> Floats:
        """(N,3) where the ball is on frames (N,) while the centre of mass is in places (N,3)."""
        aside = [np.interp(frames, self.frames, self.aside[:, axis]) for axis in range(3)]
        return np.asarray(places - np.stack(aside, axis=-1))

    @cached_property
    def forward(self) -> Floats:
        """The figure's; of a ball that is alone, where it travels."""
        return super().forward if self.figure is None else self.figure.forward

    @property
    def soles(self) -> tuple[Soles, ...]:
        """The figure's."""
        return () if self.figure is None else self.figure.soles

    @property
    def ground(self) -> Ground:
        """The figure's."""
        return super().ground if self.figure is None else self.figure.ground

    @cached_property
    def plants(self) -> tuple[Plant, ...]:
        """The figure's."""
        return () if self.figure is None else self.figure.plants

    @cached_property
    def slips(self) -> tuple[Slip, ...]:
        """The figure's."""
        return () if self.figure is None else self.figure.slips

    @cached_property
    def touch_points(self) -> TouchPoints:
        """The figure's, each on the ball: no other body is followed here."""
        if self.figure is None:
            return super().touch_points
        points = self.figure.touch_points
        return replace(points, body=np.zeros_like(points.body))

    @cached_property
    def lows(self) -> tuple[Extreme, ...]:
        """Of a ball that is alone the lows of its height, in time's order; else none."""
        if self.figure is not None:
            return ()
        return find_lows(self.positions[:, 0, 2], self.height.scene_m)

    @cached_property
    def flights(self) -> tuple[Flight, ...]:
        """The figure's; of a ball that is alone those between two bounces."""
        if self.figure is not None:
            return self.figure.flights
        # The first and the last sample of an arc stand for those on the ground.
        return tuple(
            Flight(first + 1, last - 1, whole=True)
            for first, last in bounced_arcs(self.lows)
            if last - first - 1 >= LEAST
        )

    @cached_property
    def leg_lenience(self) -> Floats:
        """(T,1) infinity where a ball that is alone bounces, else 1."""
        return self._lenience(len(self.frames))

    def loop_lenience(self, length: int) -> Floats:
        """The same for the first `length` samples."""
        return self._lenience(length)

    def _lenience(self, count: int) -> Floats:
        factors = np.ones((count, 1))
        for low in self.lows:
            for at in [low.first] * low.comes + [low.last] * low.goes:
                near = max(int(np.ceil(at)) - NEAR_FRAMES, 0), int(at) + NEAR_FRAMES + 1
                factors[slice(*near)] = np.inf
        return factors


def over_feet(basis: Basis) -> Basis:
    """The basis whose bodies the feet are: of a ball its figure's, else the same."""
    return basis.figure if isinstance(basis, BallBasis) and basis.figure is not None else basis


def ball_body(clip: Clip) -> Body:
    """The ball as the body that leads and is judged."""
    return Body("root", clip.joints[0], 0, -1)


def figure_of(clip: Clip, ball: Ball) -> Clip:
    """The clip of the figure alone, as it was before a ball was joined to it.

    Without channels and curves: these are the ball's.
    """
    meta = replace(
        clip.meta,
        roles=ball.roles,
        props=ball.props,
        follow=ball.follow,
        ball=None,
        curves=(),
        controls=(),
        targets=MappingProxyType({}),
        carried=MappingProxyType({}),
    )

    def behind(values: NDArray[np.float64] | None, axis: int = 0) -> Floats | None:
        return None if values is None else np.take(values, range(1, values.shape[axis]), axis)

    return replace(
        clip,
        joints=clip.joints[1:],
        parents=np.maximum(clip.parents[1:] - 1, -1),
        positions=clip.positions[:, 1:],
        rotations=clip.rotations[:, 1:],
        rest_positions=behind(clip.rest_positions),
        rest_rotations=behind(clip.rest_rotations),
        lengths=behind(clip.lengths),
        valid=None if clip.valid is None else clip.valid[:, 1:],
        point_joint=None if clip.point_joint is None else clip.point_joint - 1,
        channels=(),
        channel_values=None,
        control_matrices=None,
        meta=meta,
    )


def lone_height(clip: Clip, ball: Ball, asked_m: float | None) -> Height:
    """The height of the figure that a ball stands for which is alone.

    Where it is told for the story and not for the scene, the scene's metres are true ones.
    Where neither is told, lengths are compared with how far the ball moves.
    """
    story, scene = asked_m or clip.meta.height_m, ball.scene_height_m
    if scene is None and story is None:
        return find_height(clip, Roles({}, "given"), None)
    scene = scene or story or 1.0
    if story is None and TRUE_SIZE_M[0] <= scene <= TRUE_SIZE_M[1]:
        story = scene
    return Height(scene, story)
