# SPDX-License-Identifier: GPL-3.0-or-later
"""Registers everything that Blender must know, in order, and takes it back in reverse."""

import bpy

from ..overlay import handlers
from ..signals import aside
from ..signals.operators import PLUMBLINE_OT_remove_signals, PLUMBLINE_OT_signals
from ..sphere import renamed, since
from ..sphere.classes import GROUPS_OF_BALL, OF_BALL
from ..sphere.hand_back import told
from ..watch import listening
from . import changes, earlier_pass, keeping, keys, last_check, opened, read_again, room
from .ask_here import PLUMBLINE_OT_ask_here
from .asked_checks import PlumblineAskedChecks
from .bear_found import PLUMBLINE_OT_bear_found
from .checking import PLUMBLINE_OT_check, PLUMBLINE_OT_stop
from .empty import PLUMBLINE_OT_show_answers
from .events import (
    PLUMBLINE_OT_declare_event,
    PLUMBLINE_OT_take_event_back,
    PLUMBLINE_PT_events,
)
from .filters import PlumblineFilters
from .find_causes import PLUMBLINE_OT_find_causes
from .fixed import PLUMBLINE_OT_fix_prop
from .go_to import PLUMBLINE_OT_go_on, PLUMBLINE_OT_go_to
from .go_to_view import PLUMBLINE_OT_square_view, PLUMBLINE_OT_view_back
from .ground import PLUMBLINE_OT_bear_no_weight, PLUMBLINE_OT_bear_weight, PLUMBLINE_PT_ground
from .handlers import listen, listen_no_longer
from .house_style import PLUMBLINE_OT_drop_style, PLUMBLINE_OT_pick_style
from .intended import PLUMBLINE_OT_keep_intended, PLUMBLINE_OT_unkeep
from .intended_panel import PLUMBLINE_PT_intended
from .kept_panel import PLUMBLINE_OT_clear, PLUMBLINE_PT_kept
from .lines import PlumblineFinding, PlumblineIntended, PlumblineNote
from .list_panel import PLUMBLINE_OT_show_all, PLUMBLINE_PT_filters, PLUMBLINE_UL_findings
from .look_preferences import PLUMBLINE_OT_reset_look, PlumblineLook
from .markers import PLUMBLINE_OT_remove_markers, PLUMBLINE_OT_write_markers
from .masses import register_mass, unregister_mass
from .mend_operators import (
    OF_MEND,
    PLUMBLINE_OT_mend_asked,
    PLUMBLINE_OT_play_loop,
    PLUMBLINE_OT_select_asked_key,
    PLUMBLINE_OT_select_key,
)
from .notes import OF_NOTES
from .notes_files import PLUMBLINE_OT_open_notes, PLUMBLINE_OT_save_notes
from .notes_panel import PLUMBLINE_PT_notes
from .panel import (
    PLUMBLINE_PT_check,
    PLUMBLINE_PT_fixed,
    PLUMBLINE_PT_good,
    PLUMBLINE_PT_looks,
    PLUMBLINE_PT_not_told,
    PLUMBLINE_PT_skipped,
)
from .parts import PLUMBLINE_OT_drop_part, PLUMBLINE_OT_find_part, PLUMBLINE_OT_tell_part
from .parts_panel import PLUMBLINE_PT_parts
from .points import PLUMBLINE_OT_follow, PLUMBLINE_OT_unfollow, PLUMBLINE_PT_points
from .preferences import PlumblinePreferences
from .session import PlumblineSession
from .show_control import PLUMBLINE_OT_show_control
from .spacing_panel import PLUMBLINE_PT_spacing
from .spacing_session import PlumblineSpacing
from .stepped import end_all
from .steps import PLUMBLINE_OT_step
from .trails_layers import PlumblineLayers
from .trails_panel import (
    PLUMBLINE_PT_trails,
    PLUMBLINE_PT_trails_layers,
    PLUMBLINE_PT_trails_more,
)
from .trails_session import PlumblineTrailPart, PlumblineTrails
from .view_state import forget_views, forget_views_on_load

CLASSES = (
    PlumblineAskedChecks,
    PlumblineLayers,
    PlumblineLook,
    PlumblinePreferences,
    PlumblineFinding,
    PlumblineIntended,
    PlumblineNote,
    PlumblineTrailPart,
    PlumblineTrails,
    PlumblineSpacing,
    PlumblineFilters,
    *GROUPS_OF_BALL,
    PlumblineSession,
    PLUMBLINE_OT_check,
    PLUMBLINE_OT_stop,
    PLUMBLINE_OT_reset_look,
    PLUMBLINE_OT_go_to,
    PLUMBLINE_OT_go_on,
    PLUMBLINE_OT_show_control,
    PLUMBLINE_OT_step,
    PLUMBLINE_OT_show_all,
    PLUMBLINE_OT_square_view,
    PLUMBLINE_OT_view_back,
    PLUMBLINE_OT_write_markers,
    PLUMBLINE_OT_remove_markers,
    PLUMBLINE_OT_show_answers,
    PLUMBLINE_OT_keep_intended,
    PLUMBLINE_OT_unkeep,
    PLUMBLINE_OT_find_causes,
    PLUMBLINE_OT_select_key,
    *OF_MEND.values(),
    PLUMBLINE_OT_play_loop,
    PLUMBLINE_OT_ask_here,
    PLUMBLINE_OT_select_asked_key,
    PLUMBLINE_OT_mend_asked,
    PLUMBLINE_OT_pick_style,
    PLUMBLINE_OT_drop_style,
    PLUMBLINE_UL_findings,
    PLUMBLINE_PT_filters,
    PLUMBLINE_PT_check,
    PLUMBLINE_PT_fixed,
    PLUMBLINE_PT_not_told,
    PLUMBLINE_PT_intended,
    *OF_NOTES,
    PLUMBLINE_OT_open_notes,
    PLUMBLINE_OT_save_notes,
    PLUMBLINE_PT_notes,
    PLUMBLINE_PT_trails,
    PLUMBLINE_PT_trails_layers,
    PLUMBLINE_PT_trails_more,
    PLUMBLINE_OT_signals,
    PLUMBLINE_OT_remove_signals,
    PLUMBLINE_PT_spacing,
    *OF_BALL,
    PLUMBLINE_PT_looks,
    PLUMBLINE_PT_good,
    PLUMBLINE_PT_skipped,
    PLUMBLINE_OT_bear_weight,
    PLUMBLINE_OT_bear_found,
    PLUMBLINE_OT_fix_prop,
    PLUMBLINE_OT_bear_no_weight,
    PLUMBLINE_PT_ground,
    PLUMBLINE_OT_declare_event,
    PLUMBLINE_OT_take_event_back,
    PLUMBLINE_PT_events,
    PLUMBLINE_OT_tell_part,
    PLUMBLINE_OT_drop_part,
    PLUMBLINE_OT_find_part,
    PLUMBLINE_PT_parts,
    PLUMBLINE_OT_follow,
    PLUMBLINE_OT_unfollow,
    PLUMBLINE_PT_points,
    PLUMBLINE_OT_clear,
    PLUMBLINE_PT_kept,
)


def register() -> None:
    """Register the classes and the session that hangs on the window manager."""
    for cls in CLASSES:
        bpy.utils.register_class(cls)
    register_mass()
    bpy.types.WindowManager.plumbline = bpy.props.PointerProperty(type=PlumblineSession)
    bpy.app.handlers.load_post.append(forget_views_on_load)
    keeping.register()
    aside.register()
    changes.register()
    read_again.register()
    handlers.register()
    listening.register()
    keys.register()
    listen(since.HANDLERS)
    listen(renamed.HANDLERS)


def unregister() -> None:
    """Leave nothing behind."""
    listen_no_longer(renamed.HANDLERS)
    renamed.forget()
    listen_no_longer(since.HANDLERS)
    since.forget()
    told.forget()
    keys.unregister()
    listening.unregister()
    opened.forget()
    room.forget()
    end_all()
    handlers.unregister()
    aside.unregister()
    keeping.unregister()
    last_check.clear()
    earlier_pass.clear()
    forget_views()
    read_again.unregister()
    changes.unregister()
    bpy.app.handlers.load_post.remove(forget_views_on_load)
    for manager in bpy.data.window_managers:
        manager.property_unset("plumbline")  # or what it holds would stay behind
    del bpy.types.WindowManager.plumbline
    unregister_mass()
    for cls in reversed(CLASSES):
        bpy.utils.unregister_class(cls)
