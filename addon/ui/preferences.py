# SPDX-License-Identifier: GPL-3.0-or-later
"""The user's preferences, and how the rest reads them: an extension may run without any."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

import bpy

from ... import __package__ as EXTENSION  # noqa: N812 - the name that Blender knows it by
from ...analysis.settings import TOLERANCES
from ..overlay.look import held_preferences
from .asked_checks import PlumblineAskedChecks, draw_asked_checks, switched_off
from .keys import draw_keys
from .look_preferences import PlumblineLook, draw_look
from .redraw import redraw_sidebars

TOLERANCE_TEXTS = {
    "strict": ("Strict", "Limits at three quarters: for hero shots"),
    "normal": ("Normal", "Limits as the checks state them"),
    "loose": ("Loose", "Limits at one and a half: for crowds and rough passes"),
}

UNITS = (
    ("scene", "As in the Scene", "As the scene's unit system says; metric where it has none"),
    ("metric", "Metric", "Metres, centimetres and kilograms"),
    ("imperial", "Imperial", "Feet, inches and pounds"),
)


def tolerance_items() -> list[tuple[str, str, str]]:
    """The tolerances as a menu shows them."""
    return [(name, *TOLERANCE_TEXTS[name]) for name in TOLERANCES]


@dataclass(frozen=True, kw_only=True)
class Preferred:
    """tolerance       strict | normal | loose: what the panel begins with
    off             check -> why it is not asked
    keep_passes     what was measured goes into the file as it is saved
    frame_view      going to a finding turns the view to it
    select_control  going to a finding selects the control and the key
    author          who writes notes; may be empty
    """

    tolerance: str = "normal"
    off: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    keep_passes: bool = True
    frame_view: bool = True
    select_control: bool = True
    author: str = ""


class PlumblinePreferences(bpy.types.AddonPreferences):
    """What holds for every file: tolerance, units, checks, looks, going to findings, keys."""

    bl_idname = EXTENSION

    tolerance: bpy.props.EnumProperty(
        name="Tolerance",
        description="How far off is too far, where the panel has no other choice for the shot",
        items=tolerance_items(),
        default="normal",
    )
    asked: bpy.props.PointerProperty(
        type=PlumblineAskedChecks,
        name="Checks",
        description="The checks that are asked",
    )
    keep_passes: bpy.props.BoolProperty(
        name="Keep Passes in the File",
        description=(
            "Saving a file keeps what the last check measured in it, so that the next one can tell "
            "what is mended and what is new; what you kept as intended, and notes, stay either way"
        ),
        default=True,
    )
    frame_view: bpy.props.BoolProperty(
        name="Frame the View",
        description="Going to a finding moves the view to where it is; never while looking "
        "through a camera",
        default=True,
    )
    select_control: bpy.props.BoolProperty(
        name="Select the Control",
        description="Going to a finding selects the control that makes it, and the key",
        default=True,
    )
    units: bpy.props.EnumProperty(
        name="Units",
        description="In which units panels tell how much; saved reports and the command line are "
        "metric, and a key's values are those of the Graph Editor",
        items=UNITS,
        default="scene",
        update=lambda _self, context: redraw_sidebars(context),
    )
    author: bpy.props.StringProperty(
        name="Name on Notes",
        description="Who writes the notes that you add; may stay empty",
    )
    look: bpy.props.PointerProperty(
        type=PlumblineLook,
        name="Look",
        description="How the picture in the viewport looks",
    )

    def draw(self, _context: bpy.types.Context) -> None:
        """All of it, short before long."""
        layout = self.layout
        layout.use_property_split = True
        column = layout.column()
        column.prop(self, "tolerance")
        column.prop(self, "units")
        column.prop(self, "author")
        together = layout.column(heading="On Go To")
        together.prop(self, "frame_view")
        together.prop(self, "select_control")
        layout.column(heading="On Save").prop(self, "keep_passes")
        layout.use_property_split = False
        layout.label(text="In the Viewport")
        draw_look(layout, self.look)
        layout.label(text="Checks That Are Asked")
        draw_asked_checks(layout, self.asked)
        layout.label(text="Keys")
        draw_keys(layout)


def is_imperial(context: bpy.types.Context) -> bool:
    """Whether panels tell lengths in feet and inches, as the user prefers or the scene has it."""
    return is_imperial_in(context.scene, held_preferences(context))


def is_imperial_in(scene: bpy.types.Scene, held: Any) -> bool:
    """The same in a scene, with preferences, which may be None."""
    units = "scene" if held is None else held.units
    if units == "scene":
        return bool(scene.unit_settings.system == "IMPERIAL")
    return bool(units == "imperial")


def preferences_of(context: bpy.types.Context) -> Preferred:
    """What the user prefers; the defaults where the extension runs without preferences.

    It does where it is enabled for one session only (`--addons`, scripts).
    """
    held = held_preferences(context)
    if held is None:
        return Preferred()
    return Preferred(
        tolerance=held.tolerance,
        off=MappingProxyType(switched_off(held.asked)),
        keep_passes=held.keep_passes,
        frame_view=held.frame_view,
        select_control=held.select_control,
        author=held.author.strip(),
    )
