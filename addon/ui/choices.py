# SPDX-License-Identifier: GPL-3.0-or-later
"""What is chosen before a check: the rows above the button."""

from typing import Any

import bpy


def draw_choices(_context: bpy.types.Context, layout: Any, session: Any) -> None:
    """Which rig, and what is asked of it."""
    column = layout.column()
    column.use_property_split = True
    column.use_property_decorate = False
    column.prop(session, "rig", icon="ARMATURE_DATA", placeholder="Active rig or object")
    column.prop(session, "cycle")
    column.prop(session, "stage")
    column.prop(session, "space")
    column.prop(session, "height_m")
