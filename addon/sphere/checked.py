# SPDX-License-Identifier: GPL-3.0-or-later
"""A ball that is checked is judged beside its figure: its feet tell when it is in the air."""

from dataclasses import replace

import bpy

from ...analysis import Clip, PlumblineError
from ...analysis.ball.joined import ball_alone, join_ball
from ...analysis.basis.bodies import find_roles
from .facts import COM, place_of
from .ours import SPHERE_OF, rig_of_ball, spheres_in

GONE = "its rig is gone"


def rig_name_of(scene: bpy.types.Scene, item: bpy.types.Object) -> str:
    """The full name of the rig whose ball an object is; empty where it is none."""
    return str(item[SPHERE_OF]) if item in spheres_in(scene) else ""


def figure_of(scene: bpy.types.Scene, item: bpy.types.Object) -> bpy.types.Object | None:
    """The rig of a ball; None where it is gone, or the object is no ball."""
    return rig_of_ball(scene, item) if rig_name_of(scene, item) else None


def beside_figure(item: bpy.types.Object, ball: Clip, figure: Clip | PlumblineError | None) -> Clip:
    """The clip of a ball beside its figure's; alone where that is gone or cannot be read, which is
    told."""
    if isinstance(figure, Clip):
        on, falls = _put_on(item, figure)
        return join_ball(figure, ball, ball_name=ball.meta.name, on=on, falls=falls)
    alone = ball_alone(ball)
    why = GONE if figure is None else str(figure).rstrip(".")
    return replace(alone, meta=replace(alone.meta, extra={**alone.meta.extra, "alone": why}))


def _put_on(item: bpy.types.Object, figure: Clip) -> tuple[str, bool]:
    """On which joint of its figure a ball was put, empty for the centre of mass; and whether it
    stands for the body there."""
    told, parts = place_of(item), find_roles(figure).parts
    body = (*parts.get("root", ()), *parts.get("pelvis", ()))
    if told.get("what") == COM:
        return "", True
    joint = told.get("joint", "") if told else body[0] if body else ""
    return (joint, True) if joint in body else ("", False)
