# SPDX-License-Identifier: GPL-3.0-or-later
"""What Blender must know of the ball, in order."""

from .arcs_list import PLUMBLINE_UL_arcs
from .arcs_rows import PlumblineArc, PlumblineArcs
from .check_ball import PLUMBLINE_OT_ball_check, PLUMBLINE_OT_ball_leave
from .choices import PlumblineSphere
from .follow_operator import PLUMBLINE_OT_follow_sphere
from .hand_back.operators import PLUMBLINE_OT_hand_back_sphere
from .operators import (
    PLUMBLINE_OT_bake_sphere,
    PLUMBLINE_OT_hide_rest,
    PLUMBLINE_OT_remove_sphere,
    PLUMBLINE_OT_show_again,
)
from .panel import (
    PLUMBLINE_PT_sphere,
    PLUMBLINE_PT_sphere_again,
    PLUMBLINE_PT_sphere_arcs,
    PLUMBLINE_PT_sphere_hand_back,
)
from .turn_operator import PLUMBLINE_OT_turn_upright

# Before the session, which holds them.
GROUPS_OF_BALL = (PlumblineSphere, PlumblineArc, PlumblineArcs)
OF_BALL = (
    PLUMBLINE_OT_bake_sphere,
    PLUMBLINE_OT_follow_sphere,
    PLUMBLINE_OT_turn_upright,
    PLUMBLINE_OT_hide_rest,
    PLUMBLINE_OT_show_again,
    PLUMBLINE_OT_remove_sphere,
    PLUMBLINE_OT_hand_back_sphere,
    PLUMBLINE_OT_ball_check,
    PLUMBLINE_OT_ball_leave,
    PLUMBLINE_UL_arcs,
    PLUMBLINE_PT_sphere,
    PLUMBLINE_PT_sphere_arcs,
    PLUMBLINE_PT_sphere_hand_back,
    PLUMBLINE_PT_sphere_again,
)
