# SPDX-License-Identifier: GPL-3.0-or-later
"""A ball's clip joined with its figure's, so that the ball alone is judged, over the figure's feet.

The ball is joint 0 and plays the root, so that whatever poses the clip's first joint poses it.
The figure's joints stand behind it as they are; its own root and mover play no part any more.
"""

from dataclasses import replace
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..basis.bodies import find_roles
from ..clip import Clip
from ..curves import Curve
from ..errors import ClipError
from ..meta_ball import Ball
from ..plain_text import number_text

Floats = NDArray[np.float64]

# Parts that a ball stands for.
_GIVEN_UP = ("root", "mover")


def join_ball(
    figure: Clip, ball: Clip, *, ball_name: str, on: str = "", falls: bool = True
) -> Clip:
    """The clip of a ball over its figure.

    figure      the figure's clip; the joined one has its joints, supports, camera and floor
    ball        the ball's clip, of which the first joint is taken, on the same frames; channels,
                curves and controls are its own
    ball_name   what the joint and the joined clip are called
    on          the joint of the figure that the ball was put on: then the centre of mass goes
                along beside it as it does beside that joint, and is what falls, flies and lands;
                "" for a ball on the centre of mass, or on what is no joint: it falls itself

    falls       whether it stands for the body, which falls freely, and not for a hand or so

    Raises ClipError, one sentence, where the two do not go together.
    """
    _check_frames(figure, ball)
    if figure.meta.ball is not None:
        raise ClipError(
            f"{figure.meta.name!r} is a ball's clip itself, expected the clip of the figure: "
            "sample the figure."
        )
    name = _free_name(ball_name, figure.joints)
    roles = {p: names for p, names in find_roles(figure).parts.items() if p not in _GIVEN_UP}
    told = figure.meta
    meta = replace(
        told,
        name=name,
        roles=MappingProxyType({"root": (name,), **roles}),
        props=(),
        follow=(),
        curves=tuple(_driving(curve, ball.joints[0], name) for curve in ball.meta.curves),
        controls=ball.meta.controls,
        targets=MappingProxyType({}),
        carried=MappingProxyType({}),
        ball=Ball(
            figure=True,
            on=on,
            falls=falls,
            roles=told.roles,
            props=told.props,
            follow=told.follow,
        ),
    )
    return Clip(
        **_both(figure, ball),
        frames=figure.frames,
        fps=figure.fps,
        joints=(name, *figure.joints),
        parents=np.append(-1, np.where(figure.parents < 0, -1, figure.parents + 1)),
        points=figure.points,
        point_joint=None if figure.point_joint is None else figure.point_joint + 1,
        point_offset=figure.point_offset,
        camera_pose=figure.camera_pose,
        camera_projection=figure.camera_projection,
        camera_cut=figure.camera_cut,
        supports=figure.supports,
        ground_velocity=figure.ground_velocity,
        channels=ball.channels,
        channel_values=ball.channel_values,
        control_matrices=ball.control_matrices,
        meta=meta,
    )


def ball_alone(ball: Clip, *, scene_height_m: float | None = None) -> Clip:
    """The clip of a ball without a figure: its own bounces are its contacts.

    scene_height_m   how tall its figure is in the scene, metres, where that is known; else the
                     scene's metres are taken for true ones once a height is told
    """
    if len(ball.joints) != 1:
        raise ClipError(
            f"the clip has {len(ball.joints)} joints, expected one, the ball's: sample the ball "
            "by itself."
        )
    meta = replace(
        ball.meta,
        roles=MappingProxyType({"root": ball.joints}),
        props=(),
        follow=(),
        ball=Ball(figure=False, scene_height_m=scene_height_m),
    )
    return replace(ball, meta=meta)


def _both(figure: Clip, ball: Clip) -> dict[str, Any]:
    """What each joint has, of the ball and of the figure."""
    found: dict[str, Any] = {
        "positions": np.concatenate((ball.positions[:, :1], figure.positions), axis=1),
        "rotations": np.concatenate((ball.rotations[:, :1], figure.rotations), axis=1),
    }
    if figure.rest_positions is not None:
        place = ball.positions[0, :1] if ball.rest_positions is None else ball.rest_positions[:1]
        found["rest_positions"] = np.concatenate((place, figure.rest_positions))
    if figure.rest_rotations is not None:
        turn = ball.rotations[0, :1] if ball.rest_rotations is None else ball.rest_rotations[:1]
        found["rest_rotations"] = np.concatenate((turn, figure.rest_rotations))
    if figure.lengths is not None:
        long = np.zeros(1) if ball.lengths is None else ball.lengths[:1]
        found["lengths"] = np.concatenate((long, figure.lengths))
    if ball.valid is not None or figure.valid is not None:
        found["valid"] = np.concatenate((ball.valid_mask[:, :1], figure.valid_mask), axis=1)
    return found


def _driving(curve: Curve, joint: str, name: str) -> Curve:
    """A curve of the ball's, which drives it under the name that it has here."""
    return replace(curve, drives=tuple(name if each == joint else each for each in curve.drives))


def _free_name(name: str, joints: tuple[str, ...]) -> str:
    """The name, with a mark where a joint of the figure has it."""
    while name in joints:
        name += " (ball)"
    return name


def _check_frames(figure: Clip, ball: Clip) -> None:
    """Raise ClipError unless both clips have the same frames at the same rate."""
    if figure.fps != ball.fps:
        raise ClipError(
            f"the ball has {number_text(ball.fps)} frames a second and the figure "
            f"{number_text(figure.fps)}, expected the same: sample both in one scene."
        )
    if len(figure.frames) != len(ball.frames) or (figure.frames != ball.frames).any():
        ranges = [
            f"{number_text(each.frames[0])} to {number_text(each.frames[-1])} "
            f"({len(each.frames)} samples)"
            for each in (ball, figure)
        ]
        raise ClipError(
            f"the ball is known from frame {ranges[0]} and the figure from {ranges[1]}, expected "
            "the same frames: sample both over one range."
        )
