# SPDX-License-Identifier: GPL-3.0-or-later
"""The button that hands a ball's path back: one undo step, and a sentence that says what it did."""

import bpy

from ....analysis import PlumblineError
from ...ui.operators import refuse
from ...ui.session import session_of
from ..bake import refuse_linked
from ..choices import HAND_INTO, HAND_KEYS
from ..meant import meant_sphere
from ..ours import SPHERE_OF, rig_of_ball, spheres_in
from .hand import hand_back
from .told import drop, keep_told


class PLUMBLINE_OT_hand_back_sphere(bpy.types.Operator):
    """Let the control go as the ball goes now: its place alone, or its rotation as well"""

    bl_idname = "plumbline.hand_back_sphere"
    bl_label = "Hand Back to Rig"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012 - Blender reads this from the class

    keys: bpy.props.EnumProperty(
        name="Keys",
        description="Where the control gets keys",
        items=HAND_KEYS,
        options={"SKIP_SAVE"},
    )
    into: bpy.props.EnumProperty(
        name="Into",
        description="Where the keys go",
        items=HAND_INTO,
        options={"SKIP_SAVE"},
    )
    rotation: bpy.props.BoolProperty(
        name="Rotation Too",
        description="The control turns as the ball does; else no rotation is touched",
        options={"SKIP_SAVE"},
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only with a ball."""
        return bool(spheres_in(context.scene))

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Try it on a copy, write the keys, say what they do."""
        scene = context.scene
        self._take_choices(context)
        try:
            refuse_linked(scene)
            sphere = meant_sphere(context)
            drop(sphere)
            handed = hand_back(
                scene,
                sphere,
                _rig(scene, sphere),
                keys=self.keys,
                into=self.into,
                rotation=self.rotation,
            )
        except PlumblineError as error:
            return refuse(self, str(error))
        context.view_layer.update()
        keep_told(sphere, handed.sentences)
        for sentence in handed.sentences:
            self.report({"WARNING" if sentence in handed.feet else "INFO"}, sentence)
        return {"FINISHED"}

    def _take_choices(self, context: bpy.types.Context) -> None:
        """What the caller left open is as it is chosen in the panel."""
        chosen = session_of(context).sphere
        for name in ("keys", "into", "rotation"):
            if not self.properties.is_property_set(name):
                setattr(self, name, getattr(chosen, f"hand_{name}"))


def _rig(scene: bpy.types.Scene, sphere: bpy.types.Object) -> bpy.types.Object:
    """The rig, or object, on which a ball was put; raises PlumblineError where it has gone."""
    found = rig_of_ball(scene, sphere)
    if found is None:
        raise PlumblineError(
            f"there is no {sphere[SPHERE_OF]!r} in this scene, expected the rig that "
            f"{sphere.name!r} was put on: bake a ball on the rig that is here."
        )
    return found
