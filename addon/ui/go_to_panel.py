# SPDX-License-Identifier: GPL-3.0-or-later
"""What the details of a finding offer besides its causes: sight of its control and its place."""

from typing import Any

import bpy

from ...analysis import Finding
from .hidden import hidden_text
from .show_control import PLUMBLINE_OT_show_control, hidden_target
from .wrapping import draw_text


def draw_go_to(context: bpy.types.Context, layout: Any, finding: Finding | None) -> None:
    """What hides the control, with a button that shows it."""
    if finding is None:
        return
    target, hiders = hidden_target(context)
    if target is not None and hiders:
        draw_text(context, layout, hidden_text(target.control, hiders), icon="HIDE_ON")
        layout.operator(PLUMBLINE_OT_show_control.bl_idname, icon="HIDE_OFF")
