# SPDX-License-Identifier: GPL-3.0-or-later
"""The view at a finding: centred on it, square to it, and back to how it stood."""

from typing import Any

import bpy
import numpy as np

from ...analysis import Finding
from ...analysis.square_view import Sight, nearer_side, sight_of, view_distance, view_turn
from . import last_check
from .causes_session import chosen_finding
from .operators import refuse
from .redraw import redraw_viewports
from .view_state import has_view, remember_view, restore_view, turning_region

# A view that is nearer or farther than it would be, but by less than this, keeps its distance.
_NEAR_ENOUGH = 2.0


class PLUMBLINE_OT_square_view(bpy.types.Operator):
    """Turn this view so that it looks square at the error of this finding, on its frame"""

    bl_idname = "plumbline.square_view"
    bl_label = "Square View"
    bl_options = {"REGISTER"}  # noqa: RUF012 - views are no part of what is undone

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only with a finding that is read, and a view to turn."""
        if chosen_finding(context) is not None and view_area(context) is not None:
            return True
        cls.poll_message_set("Pick a finding, beside a 3D view")
        return False

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Turn it; it can be turned back."""
        finding, area = chosen_finding(context), view_area(context)
        check = last_check.last_check()
        if finding is None or area is None or check is None:
            return refuse(self, "No finding is read, expected one: pick a line of the list.")
        remember_view(area)
        square_at(area, sight_of(check.examination, finding), check.metres_per_unit)
        redraw_viewports(context)
        self.report({"INFO"}, "Square to the error. View Back returns to the view before.")
        return {"FINISHED"}


class PLUMBLINE_OT_view_back(bpy.types.Operator):
    """Return to the view, or the camera, as it was before it was turned to a finding"""

    bl_idname = "plumbline.view_back"
    bl_label = "View Back"
    bl_options = {"REGISTER"}  # noqa: RUF012

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only where a view was turned."""
        if has_view(view_area(context)):
            return True
        cls.poll_message_set("Turn the view square to a finding first")
        return False

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Turn it back."""
        area = view_area(context)
        if area is None or not has_view(area):
            return refuse(self, "This view was not turned, expected one that was: nothing to do.")
        restore_view(area)
        redraw_viewports(context)
        return {"FINISHED"}


def view_area(context: bpy.types.Context) -> bpy.types.Area | None:
    """The 3D view that the user is in, else the largest of the same window; None without one."""
    if context.area is not None and context.area.type == "VIEW_3D":
        return context.area
    if context.window is None:
        return None
    views = [area for area in context.window.screen.areas if area.type == "VIEW_3D"]
    return max(views, key=lambda area: area.width * area.height, default=None)


def frame_finding(context: bpy.types.Context, finding: Finding) -> bool:
    """Centre the view on a finding's point; False where it stays as the user has locked it."""
    area, check = view_area(context), last_check.last_check()
    if area is None or check is None:
        return False
    return centre_on(area, sight_of(check.examination, finding), check.metres_per_unit)


def centre_on(area: bpy.types.Area, sight: Sight, metres_per_unit: float) -> bool:
    """Look at a point from where the view looks now, at a distance that suits its size.

    A view through a camera, one that moves a camera with it, or one that is locked to an object or
    the cursor, stays as it is: then False.
    """
    space: Any = area.spaces.active
    region = turning_region(space)
    if region.view_perspective == "CAMERA" or _is_locked(space):
        return False
    region.view_location = sight.point / metres_per_unit
    distance = _distance(area, space, sight, metres_per_unit)
    if not distance / _NEAR_ENOUGH <= region.view_distance <= distance * _NEAR_ENOUGH:
        region.view_distance = distance
    return True


def square_at(area: bpy.types.Area, sight: Sight, metres_per_unit: float) -> None:
    """Look at a point along its direction, from the side that is nearer to the view as it is."""
    space: Any = area.spaces.active
    region = turning_region(space)
    _right, top, eye = np.array(region.view_rotation.to_matrix()).T
    if region.view_perspective == "CAMERA":
        region.view_perspective = "PERSP"
    # Locked, a view would take the camera along, or look at what it is locked to.
    space.lock_camera = space.lock_cursor = False
    space.lock_object = None
    region.is_orthographic_side_view = False
    region.view_rotation = view_turn(nearer_side(sight.direction, eye), top)
    region.view_location = sight.point / metres_per_unit
    region.view_distance = _distance(area, space, sight, metres_per_unit)


def _is_locked(space: Any) -> bool:
    return bool(space.lock_camera or space.lock_cursor or space.lock_object)


def _distance(area: bpy.types.Area, space: Any, sight: Sight, metres_per_unit: float) -> float:
    """Of four views each has a quarter of the area."""
    region = next((each for each in reversed(area.regions) if each.type == "WINDOW"), area)
    size = sight.size_m / metres_per_unit
    return view_distance(size, space.lens, float(region.width), float(region.height))
