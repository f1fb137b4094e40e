# SPDX-License-Identifier: GPL-3.0-or-later
"""What the details of a finding offer besides its causes: sight of its control and its place."""

from typing import Any

import bpy

from ...analysis import Finding
from ...analysis.square_view import camera_text
from . import last_check
from .go_to_view import PLUMBLINE_OT_square_view, PLUMBLINE_OT_view_back
from .hidden import hidden_text
from .show_control import PLUMBLINE_OT_show_control, hidden_control
from .wrapping import draw_text

# Findings that may be a matter of what the figure stands on.
OF_CONTACT = (
    *("slide", "sink", "stomp", "push", "carry", "balance"),
    *("gravity", "hang_time", "locked_knee", "knee_pop"),
)
# Operators whose files hold panels, which stand inside the one that draws this.
DECLARE_EVENT, BEAR_FOUND = "plumbline.declare_event", "plumbline.bear_found"


def draw_go_to(context: bpy.types.Context, layout: Any, finding: Finding | None) -> None:
    """What hides the control, with a button that shows it; whether the camera sees it; how the view
    turns to it; what may be declared about it.
    """
    check = last_check.last_check()
    if finding is None or check is None:
        return
    control, hiders = hidden_control(context)
    if control is not None and hiders:
        draw_text(context, layout, hidden_text(control.name, hiders), icon="HIDE_ON")
        layout.operator(PLUMBLINE_OT_show_control.bl_idname, icon="HIDE_OFF")
    if told := camera_text(check.examination, finding):
        draw_text(context, layout, told, icon="CAMERA_DATA")
    row = layout.row(align=True)
    row.operator(PLUMBLINE_OT_square_view.bl_idname)
    row.operator(PLUMBLINE_OT_view_back.bl_idname)
    row = layout.row(align=True)
    row.operator(DECLARE_EVENT).of_finding = True
    if finding.check in OF_CONTACT:
        row.operator(BEAR_FOUND)
