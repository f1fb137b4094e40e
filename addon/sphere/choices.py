# SPDX-License-Identifier: GPL-3.0-or-later
"""What is chosen for the ball: where it sits, which keys it gets, how it is handed back."""

import bpy

ROOT, PELVIS, COM, CONTROL = "ROOT", "PELVIS", "COM", "CONTROL"
EVERY, NEEDED, BALL = "EVERY", "NEEDED", "BALL"
ACTION, STRIP = "ACTION", "STRIP"
# How a ball is handed back: in the panel, and asked for by scripts.
HAND_KEYS = [
    (BALL, "The Ball's Own", "The ball's own keys, curved as they are"),
    (EVERY, "Every Frame", "A key on every frame"),
]
HAND_INTO = [
    (ACTION, "The Action", "In place of the keys that the control has"),
    (STRIP, "A New Strip", "Into a strip above; the action is left as it is"),
]


class PlumblineSphere(bpy.types.PropertyGroup):
    """Choices in the panel of the ball: on the window manager, never in the user's file."""

    on: bpy.props.EnumProperty(
        name="On",
        description="The point of the character that the ball stands for",
        items=[
            (ROOT, "Root", "The control or bone that carries the body"),
            (PELVIS, "Pelvis", "The hips, wherever they hang on"),
            (COM, "Centre of Mass", "Where the weight of the whole body is"),
            (
                CONTROL,
                "Active Control",
                "The active bone of the rig, or the active object where it has none",
            ),
        ],
    )
    keys: bpy.props.EnumProperty(
        name="Keys",
        description="How many keys a baked ball gets",
        default=NEEDED,
        items=[
            (EVERY, "Every Frame", "A key on every frame that plays"),
            (
                NEEDED,
                "Where Needed",
                "Keys where the control has keys, and where more are needed to stay within the "
                "error: curves that can be worked on",
            ),
        ],
    )
    error_m: bpy.props.FloatProperty(
        name="Error",
        description="How far the ball may be off its point on any frame, where not every frame "
        "gets a key",
        default=0.005,
        min=0.00001,
        soft_min=0.0005,
        soft_max=0.05,
        precision=4,
        step=0.1,
        unit="LENGTH",
    )
    rotation: bpy.props.BoolProperty(
        name="With Rotation",
        description="The ball turns as the point does, and does not only stand where it stands",
    )
    hand_keys: bpy.props.EnumProperty(
        name="Keys",
        description="Where the control gets keys",
        items=HAND_KEYS,
    )
    hand_into: bpy.props.EnumProperty(
        name="Into",
        description="Where the keys go",
        items=HAND_INTO,
    )
    hand_rotation: bpy.props.BoolProperty(
        name="Rotation Too",
        description="The control turns as the ball does; else no rotation is touched",
    )
