# SPDX-License-Identifier: GPL-3.0-or-later
"""Choices of the session beyond who is checked and at which stage: range, tolerance, style."""

from typing import Any

import bpy

from ...analysis.settings import TOLERANCES
from ..sampling.scene_facts import frame_range
from .preferences import preferences_of, tolerance_items

PLAYS, OWN = "plays", "own"


def _read_tolerance(self: Any) -> int:
    """What was chosen for the shot; until then what the user prefers, as it is now."""
    return TOLERANCES.index(self.own_tolerance or preferences_of(bpy.context).tolerance)


def _write_tolerance(self: Any, number: int) -> None:
    self.own_tolerance = TOLERANCES[number]


def _begin_own_range(self: Any, context: bpy.types.Context) -> None:
    """A range of its own begins as the one that plays; one that was typed stays, as typed."""
    if self.range_of == OWN and self.last_frame == self.first_frame:
        self.first_frame, self.last_frame = frame_range(context.scene)


class MoreChoices:
    """Properties that `PlumblineSession` has besides its own."""

    range_of: bpy.props.EnumProperty(
        name="Frames",
        description="Which frames are measured",
        items=[
            (PLAYS, "As Played", "The preview range where it is on, else the scene's range"),
            (OWN, "Own Range", "From a first to a last frame of your choice"),
        ],
        update=_begin_own_range,
    )
    first_frame: bpy.props.IntProperty(name="First", description="First frame that is measured")
    last_frame: bpy.props.IntProperty(name="Last", description="Last frame that is measured")
    # Empty: as in the preferences.
    own_tolerance: bpy.props.StringProperty()
    tolerance: bpy.props.EnumProperty(
        name="Tolerance",
        description="How far off is too far, in this shot",
        items=tolerance_items(),
        get=_read_tolerance,
        set=_write_tolerance,
    )
    style_path: bpy.props.StringProperty()


def forget_choices(session: Any) -> None:
    """Another file begins with the usual ones."""
    for name in (
        *("cycle", "stage", "space"),
        *("range_of", "first_frame", "last_frame", "own_tolerance", "style_path", "sphere"),
    ):
        session.property_unset(name)
