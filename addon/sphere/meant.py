# SPDX-License-Identifier: GPL-3.0-or-later
"""Which rig, which point of it and which ball the operators of the ball mean."""

from typing import Any

import bpy

from ...analysis import PlumblineError
from ...analysis.words import size_text
from ..sampling.scene_facts import is_rig
from ..ui.operators import chosen_rig, chosen_subject
from ..ui.session import session_of
from .choices import CONTROL
from .ours import ball_of, is_ours, is_upright, rig_of_ball, sphere_of, spheres_in
from .point import Point, find_point


def meant_point(context: bpy.types.Context, on: str) -> tuple[bpy.types.Object, Point]:
    """The rig, or the plain object, and the point of it that a ball is to be put on.

    Raises PlumblineError, one sentence, where there is none.
    """
    rig = meant_rig(context, on)
    return rig, find_point(context.scene, rig, on, _active_bone(rig) if on == CONTROL else "")


def meant_rig(context: bpy.types.Context, on: str) -> bpy.types.Object:
    """The rig of the ball that is active; else the one that Check takes.

    For the active control, what is active counts: a rig, or an object that moves by itself.
    """
    ball = active_ball(context)
    if ball is not None:
        rig = rig_of_ball(context.scene, ball)
        if rig is not None and (on == CONTROL or rig.type == "ARMATURE"):
            return rig
    name, active = session_of(context).rig, context.object
    checked = next((each for each in spheres_in(context.scene) if each.name_full == name), None)
    if checked is not None:
        rig = rig_of_ball(context.scene, checked)
        name = "" if rig is None else rig.name_full
    if on == CONTROL and active is not None and not is_ours(active):
        if is_rig(active):
            return chosen_rig(context, active.name_full)
        if active == chosen_subject(context, ""):
            return active
    return chosen_rig(context, name)


def active_ball(context: bpy.types.Context) -> bpy.types.Object | None:
    """The active ball, or that whose upright copy is active."""
    active = context.object
    if active is not None and is_upright(active):
        active = ball_of(context.scene, active)
    return active if active in spheres_in(context.scene) else None


def meant_sphere(context: bpy.types.Context) -> bpy.types.Object:
    """The active ball, else the only one, else that of the rig which Check takes."""
    spheres, active = spheres_in(context.scene), active_ball(context)
    checked = next((each for each in spheres if each.name_full == session_of(context).rig), None)
    if active is not None or checked is not None:
        return active or checked
    name = session_of(context).rig
    is_rig_meant = bool(name) or (context.object is not None and is_rig(context.object))
    if len(spheres) == 1:
        (only,) = spheres
        if not is_rig_meant or rig_of_ball(context.scene, only) is None:
            return only
    rig = chosen_rig(context, name)
    sphere = sphere_of(context.scene, rig)
    if sphere is None:
        raise PlumblineError(
            f"there is no sphere of {rig.name!r} among {len(spheres)} spheres, expected one: "
            "select the sphere that is meant."
        )
    return sphere


def is_seen(context: bpy.types.Context, sphere: bpy.types.Object) -> bool:
    """Whether a ball is seen in the 3D view that was pressed in, else in the view layer."""
    # In 4.2 and 4.3 `visible_in_viewport_get` knows of no local view.
    space: Any = context.space_data
    if space is not None and space.type == "VIEW_3D":
        return bool(sphere.visible_get(viewport=space))
    return bool(sphere.visible_get())


def is_open(context: bpy.types.Context, sphere: bpy.types.Object) -> bool:
    """Whether a ball would be seen but for a local view that it is not in."""
    with context.temp_override(area=None, region=None):  # else the view's own is asked
        return bool(sphere.visible_get())


def unseen(context: bpy.types.Context, sphere: bpy.types.Object) -> str:
    """What to say besides of a ball that is not seen."""
    context.view_layer.update()
    return "" if is_seen(context, sphere) else "; it is hidden here"


def off_text(metres: float) -> str:
    """How far a ball is off: 4 mm, 0.02 mm; from a centimetre on as all sizes are told. Less than a
    hundredth of a millimetre is told as that much: no key is truer."""
    return f"{1000.0 * max(metres, 1e-5):.2g} mm" if metres < 0.01 else size_text(metres)


def _active_bone(rig: bpy.types.Object) -> str:
    bone = rig.data.bones.active if is_rig(rig) else None
    if is_rig(rig) and bone is None and not _has_object_keys(rig):
        raise PlumblineError(
            f"no bone of {rig.name!r} is active, expected the control that the ball is to stand "
            "on: select it in Pose Mode."
        )
    return "" if bone is None else str(bone.name)


def _has_object_keys(rig: bpy.types.Object) -> bool:
    data = rig.animation_data
    return data is not None and (data.action is not None or bool(data.nla_tracks))
